"""What differs between two boats: a mark for each part, so that answers can be used again."""

import hashlib
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

import numpy as np

from layout.boat.parts import OUTSIDE, Boat

GROUPS = ("spaces", "openings", "solids", "hazards", "holes", "pipes", "trays", "pieces", "lengths")
Marks = dict[str, bytes]


@cache
def _field_names(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


def feed(digest: Any, value: Any) -> None:
    """Feed any plain data (arrays, dataclasses, texts, numbers, tables) into a digest."""
    if isinstance(value, np.ndarray):
        digest.update(f"a{value.dtype.str}{value.shape}".encode())
        digest.update(np.ascontiguousarray(value).tobytes())
    elif is_dataclass(value) and not isinstance(value, type):
        digest.update(type(value).__name__.encode())
        for name in _field_names(type(value)):
            feed(digest, getattr(value, name))
    elif isinstance(value, dict):
        digest.update(b"{")
        for k, v in value.items():
            feed(digest, k)
            feed(digest, v)
        digest.update(b"}")
    elif isinstance(value, list | tuple):
        digest.update(b"(")
        for v in value:
            feed(digest, v)
        digest.update(b")")
    elif isinstance(value, set | frozenset):
        feed(digest, sorted(value, key=str))
    else:
        digest.update(f"{type(value).__name__}:{value!r};".encode())


def mark(*values: Any) -> bytes:
    """A mark of some plain data: equal data have equal marks on any machine."""
    digest = hashlib.blake2b(digest_size=16)
    feed(digest, values)
    return digest.digest()


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
    out = [f"spaces.{s}" for s in spaces] + [f"openings.{o}" for o in openings]
    out += [f"solids.{s.key}" for s in boat.solids.values() if s.space in inside]
    out += [f"pieces.{p.key}" for p in boat.pieces.values() if p.space in spaces]
    return sorted(out)
