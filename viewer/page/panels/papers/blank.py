"""The measuring sheet of a job's boat, from the dimensions the page shows."""

from typing import Final

from viewer.page.survey import named_sizes, size_words
from viewer.page.wire import DeskRow
from viewer.sheets.measuring import Sheet, SheetBox, SheetSize

ORIGIN: Final = (0.0, 0.0, 0.0)


def sheet_of(row: DeskRow) -> Sheet:
    """The sheet, the sizes that matter most first."""
    boat = row.boat
    sizes = sorted(row.dimensions, key=lambda d: d.rank)
    spaces = () if boat is None else boat.spaces
    things: list[SheetBox] = []
    for solid in () if boat is None else boat.solids:
        c, h = solid.box.centre_mm, solid.box.half_mm
        low = (c[0] - h[0], c[1] - h[1], c[2] - h[2])
        high = (c[0] + h[0], c[1] + h[1], c[2] + h[2])
        label = row.labels.get(f"solid:{solid.key}", solid.key)
        things.append(SheetBox(f"solid:{solid.key}", label, f"space:{solid.space}", low, high))
    inner = {} if boat is None else {o.key: o.inner for o in boat.openings}
    for o in row.openings:
        u, v = (k for k in range(3) if k != o.axis)
        low2, high2 = list(o.centre_mm), list(o.centre_mm)
        for k, size in ((u, o.size_mm[0]), (v, o.size_mm[1])):
            low2[k], high2[k] = low2[k] - size / 2, high2[k] + size / 2
        things.append(
            SheetBox(
                f"opening:{o.key}",
                row.labels.get(f"opening:{o.key}", o.key),
                f"space:{inner.get(o.key, '')}",
                (low2[0], low2[1], low2[2]),
                (high2[0], high2[1], high2[2]),
            )
        )
    return Sheet(
        row.hull,
        (
            *(SheetSize(words, "", None, ORIGIN, ORIGIN) for words, _ in named_sizes(row)),
            *(SheetSize(size_words(row, d), d.whose, d.axis, d.from_mm, d.to_mm) for d in sizes),
        ),
        tuple(
            SheetBox(
                f"space:{s.key}",
                row.labels.get(f"space:{s.key}", s.key),
                f"space:{s.key}",
                s.low_mm,
                s.high_mm,
            )
            for s in spaces
        ),
        tuple(things),
    )
