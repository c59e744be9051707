"""What lies on a shop's shelf after a job has been cut from it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

LEAST_MM: Final = 500.0  # of cable worth keeping: common practice
LEAST_SHEET_MM: Final = 120.0  # of an offcut's lesser side worth keeping: common practice
SAME_MM: Final = 0.5


@dataclass(frozen=True, slots=True)
class Length:
    """Some equal lengths of one cable."""

    cable: str
    length_mm: float
    count: int
    label: str = ""


def after_cutting(
    shelf: Iterable[Length], used: Iterable[tuple[str, float]], left: Iterable[tuple[str, float]]
) -> list[Length]:
    """The shelf less the remnants a job is cut from, with what is left of everything it cut.

    `used` and `left` are (cable, mm). Raises ValueError for a remnant that is not there.
    """
    there = list(shelf)
    for cable, mm in used:
        k = next(
            (k for k, s in enumerate(there)
             if s.cable == cable and abs(s.length_mm - mm) < SAME_MM and s.count),
            None,
        )  # fmt: skip
        if k is None:
            raise ValueError(f"no {cable} of {mm:.0f} mm lies on the shelf any more")
        there[k] = replace(there[k], count=there[k].count - 1)
    out = [s for s in there if s.count]
    kept: dict[tuple[str, float], int] = {}
    for cable, mm in left:
        if mm >= LEAST_MM:
            key = (cable, round(mm))
            kept[key] = kept.get(key, 0) + 1
    return out + [Length(cable, float(mm), n) for (cable, mm), n in kept.items()]
