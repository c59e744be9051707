"""Things to be placed, and how each may stand: its boxes in every turn a face allows."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.boat.faces import FACES, direction_of
from layout.boat.parts import Boat, Piece, RoomNeeded, Terminal
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose

FLOOR, WALL, OVERHEAD = "floor", "wall", "overhead"
FLOOR_ONLY: Final = frozenset({"battery"})


@dataclass(frozen=True, slots=True)
class Stands:
    """How a thing may stand: on what, and how it may be turned on a wall."""

    on: tuple[str, ...]
    turned: str  # "any way", "upright", "on end"


@dataclass(frozen=True, slots=True, eq=False)
class Thing:
    """A thing to be placed: a piece as it stands somewhere, how it may stand, what it gives off."""

    piece: Piece
    stands: Stands
    splash_proof: bool = False

    @property
    def key(self) -> str:
        """Its key."""
        return self.piece.key


@dataclass(frozen=True, slots=True, eq=False)
class Posture:
    """A thing turned to stand on a face: `turn` of its mounting frame, its boxes and rooms from the
    middle of its foot.
    """

    face: str
    along: str
    top: str
    turn: Array
    boxes: Array  # (n, 6) low and high, in hull axes
    rooms: Array  # (m, 6)

    @property
    def axis(self) -> int:
        """The axis across its face."""
        return FACES[self.face][0]

    @property
    def sign(self) -> int:
        """Which side of its space the face is."""
        return FACES[self.face][1]


def kind_of_face(face: str) -> str:
    """What a face is to a thing that is put on it."""
    return {"bottom": FLOOR, "top": OVERHEAD}.get(face, WALL)


def default_stands(kind: str, fits_on: list[str], turned: str) -> Stands:
    """How a type may stand: as it says, else anywhere, and batteries on the floor alone."""
    if fits_on:
        return Stands(tuple(fits_on), turned)
    return Stands((FLOOR,) if kind in FLOOR_ONLY else (FLOOR, WALL, OVERHEAD), turned)


def postures(thing: Thing, face: str) -> list[Posture]:
    """Every way a thing may stand on a face; equal ones once."""
    if kind_of_face(face) not in thing.stands.on:
        return []
    axis, sign = FACES[face]
    top = np.zeros(3)
    top[axis] = -sign
    out: list[Posture] = []
    seen: set[bytes] = set()
    for k in range(3):
        for s in (1, -1):
            if k == axis:
                continue
            along = np.zeros(3)
            along[k] = s
            turn = np.column_stack([along, np.cross(top, along), top])
            if not _may(thing, face, turn):
                continue
            p = _posture(thing, face, direction_of(along), direction_of(top), turn)
            mark = np.round(np.vstack([p.boxes, p.rooms]), 3)
            key = mark[np.lexsort(mark.T)].tobytes()
            if key not in seen:
                seen.add(key)
                out.append(p)
    return out


def _may(thing: Thing, face: str, turn: Array) -> bool:
    """Whether a thing may be turned so."""
    tilt = np.arccos(np.clip(turn[2, 2], -1.0, 1.0))
    if tilt > thing.piece.max_tilt_rad + 1e-9:
        return False
    if kind_of_face(face) != WALL or thing.stands.turned == "any way":
        return True
    up = turn[2, 1]
    return bool(abs(up) > 0.5) if thing.stands.turned == "on end" else bool(up > 0.5)


def _own(thing: Thing) -> tuple[Array, Array]:
    """Boxes and rooms in the mounting frame, from the middle of the foot: low and high, (n, 6)."""
    p = thing.piece
    rest, r, foot = p.at_rest(), p.turn, foot_of(p)
    c = (rest.centre_mm - foot) @ r
    h = np.einsum("nij,nj->ni", np.abs(r.T @ rest.rotation), rest.half_mm)
    rooms = [((q.centre - foot) @ r, np.abs(r.T @ q.rotation) @ q.half) for q in p.rooms]
    rc = np.array([x for x, _ in rooms]).reshape(-1, 3)
    rh = np.array([x for _, x in rooms]).reshape(-1, 3)
    return np.hstack([c - h, c + h]), np.hstack([rc - rh, rc + rh])


def foot_of(piece: Piece) -> Array:
    """The middle of a piece's foot, or of a board's back, in the hull."""
    rest = piece.at_rest()
    c = (rest.centre_mm - piece.rest.at_mm) @ piece.turn
    h = np.einsum("nij,nj->ni", np.abs(piece.turn.T @ rest.rotation), rest.half_mm)
    low, high = (c - h).min(axis=0), (c + h).max(axis=0)
    mid = (low + high) / 2
    mid[2] = low[2]
    if piece.is_board:
        mid[:2] = c[0, :2]
    return piece.rest.at_mm + piece.turn @ mid


def _turned(boxes: Array, turn: Array) -> Array:
    if not len(boxes):
        return boxes.reshape(0, 6)
    c, h = (boxes[:, :3] + boxes[:, 3:]) / 2, (boxes[:, 3:] - boxes[:, :3]) / 2
    c, h = c @ turn.T, h @ np.abs(turn).T
    return np.hstack([c - h, c + h])


def _posture(thing: Thing, face: str, along: str, top: str, turn: Array) -> Posture:
    boxes, rooms = _own(thing)
    return Posture(face, along, top, turn, _turned(boxes, turn), _turned(rooms, turn))


def stood(thing: Thing, posture: Posture, foot: Array, space: str) -> Piece:
    """The thing standing there."""
    p = thing.piece
    move = posture.turn @ p.turn.T
    old = foot_of(p)
    rest = p.at_rest()
    centre = (rest.centre_mm - old) @ move.T + foot
    half = np.einsum("nij,nj->ni", np.abs(move @ rest.rotation), rest.half_mm)
    low, high = (centre - half).min(axis=0), (centre + half).max(axis=0)
    middle = (low + high) / 2
    rooms = tuple(
        RoomNeeded(q.why, q.owner, move @ (q.centre - old) + foot, np.abs(move) @ q.half, np.eye(3))
        for q in p.rooms
    )
    ends = {
        name: Terminal(
            move @ (t.at - old) + foot, move @ t.out, t.stud, t.blade, t.lead_mm, t.pole,
            t.largest_mm2,
        )
        for name, t in p.terminals.items()
    }  # fmt: skip
    return replace(
        p,
        body=BoxSet.checked(centre - middle, half, None, rest.names),
        rest=Pose.checked(middle),
        space=space,
        way=None,
        up=posture.turn[:, 2].copy(),
        rooms=rooms,
        terminals=ends,
        balance=move @ (p.balance - old) + foot,
        fixed_already=False,
        size_mm=high - low,
        turn=posture.turn,
    )


def without(boat: Boat, keys: set[str]) -> Boat:
    """The boat less some pieces."""
    return replace(boat, pieces={k: p for k, p in boat.pieces.items() if k not in keys})


def with_piece(boat: Boat, piece: Piece) -> Boat:
    """The boat with a piece where it is told, in place of its like."""
    return replace(boat, pieces={**boat.pieces, piece.key: piece})
