"""What differs between two boats: a mark for each part, so that answers can be used again."""

from layout.boat.parts import OUTSIDE, Boat
from layout.known import mark

GROUPS = ("spaces", "openings", "solids", "hazards", "holes", "pipes", "trays", "pieces", "lengths")
Marks = dict[str, bytes]


def marks_of(boat: Boat) -> Marks:
    """The mark of every part of a boat, by group and key: `openings.hatch`."""
    out: Marks = {}
    for group in GROUPS:
        for key, part in getattr(boat, group).items():
            out[f"{group}.{key}"] = mark(part)
    return out


def changed(before: Marks, after: Marks) -> frozenset[str]:
    """The parts that differ, by group and key."""
    return frozenset(k for k in before.keys() | after.keys() if before.get(k) != after.get(k))


def parts_on_the_way(boat: Boat, spaces: frozenset[str], openings: frozenset[str]) -> list[str]:
    """The parts a way through some openings into some spaces can meet, sorted."""
    inside = spaces | {OUTSIDE}
    out = [f"spaces.{s}" for s in spaces] + [f"openings.{opening}" for opening in openings]
    out += [f"solids.{solid.key}" for solid in boat.solids.values() if solid.space in inside]
    out += [f"pieces.{piece.key}" for piece in boat.pieces.values() if piece.space in spaces]
    return sorted(out)
