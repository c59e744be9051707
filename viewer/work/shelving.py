"""The shop's shelf brought up to date once a job is cut from it."""

from pathlib import Path

import tomlkit

from layout.errors import CoamingError, one_line
from layout.job.reading import SHELF_LABEL, JobFiles
from layout.job.shop_models import OffcutModel, RemnantModel, ShelfFile, TakenFromShelf
from routing.stock.shelf import LEAST_SHEET_MM, Length, after_cutting
from viewer.files import write_text
from viewer.work.bench_rows import NestingRow
from viewer.work.rows import Result


def shelf_after(files: JobFiles, result: Result, on: str) -> ShelfFile:
    """What lies on the shelf when the job has taken its share. Raises CoamingError."""
    job = files.job_path.name
    taken = next((t for t in files.shelf.taken if t.job == job), None)
    if taken is not None:
        raise CoamingError(
            f"{one_line(job)} took from the shelf before ({taken.on or 'no date'}): take its line "
            "out of [[taken]] in the shelf file to take again"
        )
    shelf = [Length(r.cable, r.length_mm, r.count, r.label) for r in files.shelf.remnants]
    mine = [c for c in result.cuts if c.stock.startswith(SHELF_LABEL)]
    try:
        lengths = after_cutting(
            shelf,
            [(c.cable, c.stock_mm) for c in mine],
            [(c.cable, c.left_mm) for c in result.cuts],
        )
    except ValueError as e:
        raise CoamingError(f"{one_line(job)}: {e}: work the job out again") from None
    return ShelfFile(
        remnants=[
            RemnantModel(cable=x.cable, length_mm=x.length_mm, count=x.count, label=x.label)
            for x in lengths
        ],
        offcuts=_offcuts(files.shelf.offcuts, result.nesting),
        taken=[*files.shelf.taken, TakenFromShelf(job=job, on=on)],
    )


def _offcuts(before: list[OffcutModel], nesting: NestingRow | None) -> list[OffcutModel]:
    """Offcuts less those cut from, with what is left of each sheet."""
    if nesting is None:
        return list(before)
    there = [o.model_copy() for o in before]
    out: list[OffcutModel] = []
    counts = [o.count for o in there]
    for s in nesting.sheets:
        for k, o in enumerate(there):
            same = (o.material, o.thickness_mm, *o.size_mm) == (
                s.material, s.thickness_mm, s.length_mm, s.height_mm
            )  # fmt: skip
            if s.label.startswith(SHELF_LABEL) and same and counts[k]:
                counts[k] -= 1
                break
        for _, _, wide, high in s.offcuts:
            if min(wide, high) >= LEAST_SHEET_MM:
                size = [round(wide, 1), round(high, 1)]
                out.append(OffcutModel(material=s.material, thickness_mm=s.thickness_mm,
                                       size_mm=size))  # fmt: skip
    kept = [o.model_copy(update={"count": n}) for o, n in zip(there, counts, strict=True) if n]
    return kept + out


def write_shelf(path: Path, shelf: ShelfFile) -> None:
    """Write a shelf file whole."""
    data = shelf.model_dump(exclude_defaults=True)
    head = "# What lies on the shop's shelf. coaming buy --take brings it up to date.\n\n"
    write_text(path, head + tomlkit.dumps(data))
