"""Does a piece stand clear: bodies that overlap at rest, and rooms that are taken."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, PLATE_ROW, Boat, Piece
from layout.boat.swinging import SWING
from layout.geometry.boxes import box_distance
from layout.geometry.frames import Array

CLASH_MM: Final = 0.01  # boxes that overlap by more than this clash


@dataclass(frozen=True, slots=True)
class Clash:
    """Two things that overlap at rest, by key; or a room of `what` that is taken by `other`."""

    what: str
    other: str
    depth_mm: float
    room: str = ""  # what the room is for; empty for a body


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """One box with its key."""

    key: str
    centre: Array
    half: Array
    rotation: Array


def _blocks(piece: Piece) -> list[_Block]:
    b = piece.at_rest()
    rows = zip(b.names, b.centre_mm, b.half_mm, b.rotation, strict=True)
    return [_Block(*row) for row in rows]


def _overlap(p: _Block, q: _Block) -> float:
    """How deep two boxes overlap, mm; 0 or less when they do not."""
    n = np.empty(3)
    d = box_distance(p.centre, p.half, p.rotation, q.centre, q.half, q.rotation, n)
    return -float(d)


def _near(p: _Block, q: _Block) -> bool:
    """False when balls round two boxes are apart."""
    reach = np.sqrt((p.half**2).sum()) + np.sqrt((q.half**2).sum())
    return bool(((p.centre - q.centre) ** 2).sum() < reach * reach)


def clashes_at_rest(
    boat: Boat, piece: Piece, others: list[Piece]
) -> tuple[list[Clash], list[Clash]]:
    """(body clashes, rooms taken) of a piece at rest against everything else and itself."""
    mine = _blocks(piece)
    rooms = [(q, _Block(q.owner, q.centre, q.half, q.rotation)) for q in piece.rooms]
    foreign = [
        _Block(f"solid:{solid.key}", solid.centre, solid.half, solid.rotation)
        for solid in boat.solids.values()
    ]
    foreign += [b for p in others for b in _blocks(p)]
    bodies: list[Clash] = []
    taken: list[Clash] = []
    for other in foreign:
        for b in mine:
            if _near(b, other) and (deep := _overlap(b, other)) > CLASH_MM:
                bodies.append(Clash(b.key, other.key, deep))
        for q, block in rooms:
            if _near(block, other) and (deep := _overlap(block, other)) > CLASH_MM:
                taken.append(Clash(q.owner, other.key, deep, q.why))
    bodies += _parts_in_parts(piece, mine)
    for q, block in rooms:  # a part of the same board in another part's room
        for b in mine if q.why != SWING else ():
            if _owner(b.key) != q.owner and (deep := _overlap(block, b)) > CLASH_MM:
                taken.append(Clash(q.owner, b.key, deep, q.why))
    if piece.space != OUTSIDE and not piece.panel:  # a panel stands in the side itself
        bodies += _beyond(boat, piece, mine, "")
        for q, block in rooms:
            taken += _beyond(boat, piece, [block], q.why)
    return _deepest(bodies), _deepest(taken)


def _owner(key: str) -> str:
    """The part a box belongs to: its key less the word for one box of several."""
    return key.partition("/")[0]


def _parts_in_parts(piece: Piece, mine: list[_Block]) -> list[Clash]:
    """Parts of one board that overlap each other."""
    if not piece.is_board:
        return []
    parts = [b for k, b in enumerate(mine) if k != PLATE_ROW]
    out = []
    for i, p in enumerate(parts):
        for q in parts[i + 1 :]:
            if _owner(p.key) != _owner(q.key) and (deep := _overlap(p, q)) > CLASH_MM:
                out.append(Clash(p.key, q.key, deep))
    return out


def _beyond(boat: Boat, piece: Piece, blocks: list[_Block], room: str) -> list[Clash]:
    """What reaches beyond the sides of its space."""
    space = boat.spaces[piece.space]
    out = []
    for b in blocks:
        reach = np.abs(b.rotation) @ b.half
        low, high = b.centre - reach, b.centre + reach
        over = float(np.max(np.concatenate([space.low - low, high - space.high])))
        if over > CLASH_MM:
            out.append(Clash(b.key, f"space:{space.key}", over, room))
    return out


def _deepest(clashes: list[Clash]) -> list[Clash]:
    """One line for each pair, its deepest; the deepest first."""
    best: dict[tuple[str, str, str], Clash] = {}
    for clash in clashes:
        pair = (clash.what, clash.other, clash.room)
        if pair not in best or clash.depth_mm > best[pair].depth_mm:
            best[pair] = clash
    return sorted(best.values(), key=lambda c: (-c.depth_mm, c.what, c.other))
