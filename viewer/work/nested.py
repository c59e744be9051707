"""The job's plates cut from sheet, as rows: asked for with the bench papers."""

from layout.bench.nesting import USUAL_MM as USUAL
from layout.bench.nesting import Blank, Sheet, nest, offcuts, worth
from layout.boat.reader import Reader, sizes_of
from layout.job.reading import JobFiles
from viewer.work.bench_rows import BenchRow, NestingRow, SheetCutRow, SheetRow

USUAL_LABEL = "usual sheet, 8 x 4 ft"
Kind = tuple[str, float]  # material and thickness


def nested(files: JobFiles, benches: tuple[BenchRow, ...]) -> NestingRow:
    """Every plate on a sheet of its material and thickness."""
    reader = Reader(files, sizes_of(files, []))
    kerf = reader.mm(files.job.job.kerf, "job.kerf", 0)
    kinds: dict[Kind, list[BenchRow]] = {}
    for b in (b for b in benches if not b.panel):
        kinds.setdefault((b.material, round(b.thickness_mm, 3)), []).append(b)
    sheets: list[SheetRow] = []
    cuts: list[SheetCutRow] = []
    cost = bound = 0.0
    too_large: list[str] = []
    for kind, boards in kinds.items():
        stock = _stock(reader, files, kind)
        blanks = [
            Blank(b.key, b.length_mm, b.height_mm, files.job.boards[b.key].grain) for b in boards
        ]
        found = nest(blanks, stock, kerf)
        first = len(sheets)
        for n, k in enumerate(found.used):
            laid = [x for x in found.laid if x.sheet == n]
            sheets.append(
                SheetRow(
                    number=first + n + 1,
                    material=kind[0],
                    thickness_mm=kind[1],
                    length_mm=stock[k].length_mm,
                    height_mm=stock[k].height_mm,
                    price=stock[k].price,
                    label=stock[k].label,
                    offcuts=tuple(offcuts(stock[k], laid, kerf)),
                )
            )
        cuts += [
            SheetCutRow(
                board=x.key,
                sheet=first + x.sheet + 1,
                x_mm=x.x,
                y_mm=x.y,
                length_mm=x.length_mm,
                height_mm=x.height_mm,
                turned=x.turned,
            )
            for x in found.laid
        ]
        cost, bound = cost + found.cost, bound + found.bound
        too_large += found.too_large
    return NestingRow(
        sheets=tuple(sheets),
        cuts=tuple(cuts),
        kerf_mm=kerf,
        cost=cost,
        bound=bound,
        too_large=tuple(too_large),
    )


def _stock(reader: Reader, files: JobFiles, kind: Kind) -> list[Sheet]:
    """The job's sheets of a material and thickness; a usual one where it has none."""
    out = []
    for k, s in enumerate(files.job.sheets):
        key = f"sheets[{k + 1}]"
        thick = reader.mm(s.thickness, f"{key}.thickness", 0.5)
        length, height = (float(v) for v in reader.vec(s.size, f"{key}.size", 1))
        if s.material == kind[0] and abs(thick - kind[1]) < 0.05:
            out.append(Sheet(s.label or f"sheet {k + 1}", length, height, s.price, s.count))
    return sorted(out, key=worth) or [Sheet(USUAL_LABEL, *USUAL, 0.0, None)]
