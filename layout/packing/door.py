"""Where can a thing stand, and does it go in there: a few plain answers, each proven.

Every face of every space is looked at with every turn the thing allows; what is left free by
bodies, rooms, openings, hazards and distances makers ask is ranked by cable, then by how near an
opening it is; places that break a rule are left out; the best are tried until enough go in.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.bench.frontier import PassEffort
from layout.boat.faces import FACES
from layout.boat.parts import OUTSIDE, Boat, Piece, Space
from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.packing.free import Taken, blockers, free_places, gap_mm, taken_in
from layout.packing.things import (
    Posture,
    Thing,
    foot_of,
    postures,
    stood,
    with_piece,
    without,
)
from layout.passage import Passage, Verdict, find_passage
from layout.verdict.place import beyond_its_space
from layout.verdict.question import question, ways_in
from layout.verdict.rest import clashes_at_rest
from layout.verdict.rules import RuleFinding, Urgency
from layout.verdict.standing import standing_rules

MOST_ANSWERS: Final = 4
MOST_A_FACE: Final = 3
MOST_TRIED: Final = 14
NEAR_WORTH: Final = 0.15  # a millimetre from the opening beside a millimetre of the least cable
REACH_MM: Final = 600.0  # of an arm through an opening: memory
MINDS_HEAT: Final = frozenset({"battery", "instrument", "radio", "fuse panel", "fuse", "charger"})
SHIFTS: Final = ((0, 1), (0, -1), (1, 1), (1, -1), (2, 1), (2, -1))
MOST_SHIFT_MM: Final = 300.0


@dataclass(frozen=True, slots=True)
class Pull:
    """A cable a thing has: its terminal, where the other end is, what a millimetre is worth."""

    terminal: str
    to: tuple[float, float, float]
    worth: float


@dataclass(frozen=True, slots=True, eq=False)
class PlaceAsk:
    """What is asked: things, the spaces to look in, their cables, distances by kind."""

    boat: Boat
    things: tuple[Thing, ...]
    spaces: tuple[str, ...]
    pulls: dict[str, tuple[Pull, ...]]
    apart: tuple[tuple[str, str, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A place that is free: the thing standing there, its posture, foot, and what it costs."""

    piece: Piece
    posture: Posture
    foot: Array
    cable_mm: float
    from_opening_mm: float
    score: float
    gap_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Stood:
    """A thing at a place it is proven to go into. `alone` is True where other gear is to be fitted
    after it: with all of it there no way was found.
    """

    spot: Spot
    passage: Passage
    way: tuple[str, ...]
    alone: bool
    findings: tuple[RuleFinding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Opens:
    """What would open a place: one thing moved a little, along an axis."""

    spot: Spot
    moved: str
    axis: int
    by_mm: float


def spots(ask: PlaceAsk, thing: Thing, boat: Boat, corners: bool = False) -> list[Spot]:
    """Free places of a thing, the cheapest first, a few of every face; with `corners` the outermost
    of each face too, which leave the most for what comes after.
    """
    rest = without(boat, {thing.key})
    out: list[Spot] = []
    for key in ask.spaces:
        space = rest.spaces[key]
        if not ways_in(rest, replace(thing.piece, space=key, way=None)):
            continue  # no opening leads there
        if space.site == "engine" and thing.piece.kinds & MINDS_HEAT:
            continue
        taken = taken_in(rest, space, _apart(ask, thing, rest), frozenset())
        for face in FACES:
            mine = [
                s
                for p in postures(thing, face)
                for s in _on(ask, thing, rest, space, p, taken, corners)
            ]
            out += sorted(mine, key=_rank) if corners else _spread(sorted(mine, key=_rank))
    return sorted(out, key=_rank)


def _rank(s: Spot) -> tuple[float, ...]:
    return (round(s.score, 3), *np.round(s.foot, 3))


def _spread(rows: list[Spot]) -> list[Spot]:
    """The best of a face that stand apart from one another."""
    out: list[Spot] = []
    for s in rows:
        if len(out) >= MOST_A_FACE:
            break
        if all(np.abs(s.foot - o.foot).max() > 40.0 for o in out):
            out.append(s)
    return out


def _on(
    ask: PlaceAsk, thing: Thing, boat: Boat, space: Space, posture: Posture, taken: list[Taken],
    corners: bool,
) -> list[Spot]:  # fmt: skip
    """Free places on one face in one turn."""
    pulls = ask.pulls.get(thing.key, ())
    wanted = [np.array(p.to) for p in pulls[:4]]
    found = free_places(space, posture, taken, wanted)
    if not len(found.feet):
        return []
    near = [o.centre for o in boat.openings.values() if space.key in (o.inner, o.outer)]
    move = posture.turn @ thing.piece.turn.T
    old = foot_of(thing.piece)
    costs = np.zeros(len(found.feet))
    cable = np.zeros(len(found.feet))
    for p in pulls:
        end = move @ (thing.piece.terminals[p.terminal].at - old)
        far = np.abs(found.feet + end - np.array(p.to)).sum(axis=1)
        cable += far
        costs += p.worth * far
    away = (
        np.min([np.linalg.norm(found.feet - c, axis=1) for c in near], axis=0)
        if near
        else np.zeros(len(found.feet))
    )
    score = costs + NEAR_WORTH * away
    out = []
    best = np.argsort(score, kind="stable")[: 1 if corners else 4 * MOST_A_FACE]
    if corners:
        along = found.feet[:, [k for k in range(3) if k != posture.axis]]
        outer = [int(np.argmin(along @ np.array(w))) for w in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
        best = np.array(list(dict.fromkeys([*(int(i) for i in best), *outer])))
    for i in best:
        piece = stood(thing, posture, found.feet[i], space.key)
        if beyond_its_space(boat, piece, piece.at_rest()) is None:
            gap = gap_mm(piece, taken)
            foot = found.feet[i]
            out.append(
                Spot(piece, posture, foot, float(cable[i]), float(away[i]), float(score[i]), gap)
            )
    return out


def _apart(ask: PlaceAsk, thing: Thing, boat: Boat) -> dict[str, float]:
    """What distances by kind ask of everything that is there."""
    out: dict[str, float] = {}
    mine = thing.piece.kinds
    for a, b, mm in ask.apart:
        for first, second in ((a, b), (b, a)):
            if first not in mine:
                continue
            for p in boat.pieces.values():
                if second in p.kinds:
                    out[f"piece:{p.key}"] = max(out.get(f"piece:{p.key}", 0.0), mm)
            for h in boat.hazards.values():
                if h.kind == second:
                    out[f"hazard:{h.key}"] = max(out.get(f"hazard:{h.key}", 0.0), mm)
    return out


def broken(boat: Boat, spot: Spot) -> tuple[list[RuleFinding], bool]:
    """(what rules find about it there, whether any forbids it)."""
    here = with_piece(boat, spot.piece)
    about = f"piece:{spot.piece.key}"
    mine = [f for f in standing_rules(here) if about in f.about or about in f.values.values()]
    clash, rooms = clashes_at_rest(
        here, spot.piece, [p for k, p in here.pieces.items() if k != spot.piece.key]
    )
    return mine, bool(clash or rooms) or any(f.urgency is Urgency.MUST for f in mine)


def goes(boat: Boat, piece: Piece, fitted: list[Piece], effort: PassEffort) -> (
    tuple[Passage, tuple[str, ...]] | None
):  # fmt: skip
    """A proven way in past what is fitted; None where none was found."""
    effort.unless_stopped()
    for way in ways_in(boat, piece):
        q = question(boat, piece, way, fitted, boat.clearance_mm)
        found = find_passage(q.outer, effort.passage, q.inner)
        if found.verdict is Verdict.GOES_IN:
            return found, way.keys
    return None


def answer(thing: Thing, boat: Boat, spot: Spot, effort: PassEffort) -> Stood | None:
    """The place with its proof; None where a rule forbids it or no way was found."""
    found, forbidden = broken(boat, spot)
    if forbidden:
        return None
    here = with_piece(boat, spot.piece)
    others = [p for k, p in here.pieces.items() if k != thing.key and p.space != OUTSIDE]
    way = goes(here, spot.piece, others, effort)
    alone = way is None
    if way is None:
        there = [p for p in others if p.fixed_already]
        way = goes(here, spot.piece, there, effort)
    return None if way is None else Stood(spot, way[0], way[1], alone, tuple(found))


def places(
    ask: PlaceAsk, thing: Thing, boat: Boat, effort: PassEffort, most: int = MOST_ANSWERS
) -> list[Stood]:
    """A few places, the cheapest first, at most one or two of a face, each proven."""
    out: list[Stood] = []
    faces: dict[tuple[str, str], int] = {}
    for n, spot in enumerate(spots(ask, thing, boat)):
        if len(out) >= most or n >= MOST_TRIED * 2:
            break
        face = (spot.piece.space, spot.posture.face)
        if faces.get(face, 0) >= 1:
            continue
        effort.told(f"a place for {thing.piece.label}")
        found = answer(thing, boat, spot, effort)
        if found is not None:
            out.append(found)
            faces[face] = faces.get(face, 0) + 1
    return sorted(out, key=lambda s: (s.alone, _rank(s.spot)))


def openers(ask: PlaceAsk, thing: Thing, boat: Boat) -> list[Opens]:
    """Where one thing, moved a little, would open a place: the least moves first."""
    out: list[Opens] = []
    movable = {f"piece:{p.key}" for p in boat.pieces.values() if not p.fixed_already}
    for spot in _nearly(ask, thing, boat):
        space = boat.spaces[spot.piece.space]
        taken = taken_in(without(boat, {thing.key}), space, {}, frozenset())
        keys = blockers(spot.posture, taken, spot.foot)
        if len(keys) != 1 or keys[0] not in movable:
            continue
        moved = boat.pieces[keys[0].removeprefix("piece:")]
        shift = _shift(boat, moved, spot.piece)
        if shift is not None:
            out.append(Opens(spot, moved.key, *shift))
    out.sort(key=lambda o: (abs(o.by_mm), o.moved, _rank(o.spot)))
    unique: dict[str, Opens] = {}
    for o in out:
        unique.setdefault(o.moved, o)
    return list(unique.values())[:3]


def _nearly(ask: PlaceAsk, thing: Thing, boat: Boat) -> Iterator[Spot]:
    """Places that would be free but for one movable thing."""
    for piece in boat.pieces.values():
        if piece.fixed_already or piece.key == thing.key or piece.space not in ask.spaces:
            continue
        less = without(boat, {piece.key})
        here = replace(ask, spaces=(piece.space,))
        for spot in spots(here, thing, less)[:6]:
            if not broken(less, spot)[1]:
                yield spot


def _shift(boat: Boat, moved: Piece, beside: Piece) -> tuple[int, float] | None:
    """The least straight move of one piece that clears another and stands free itself."""
    low, high = moved.extent()
    theirs = beside.extent()
    best: tuple[int, float] | None = None
    for axis, sign in SHIFTS:
        far = (theirs[1][axis] - low[axis]) if sign > 0 else (high[axis] - theirs[0][axis])
        by = float(np.ceil(far + 3.0))
        if not 0 < by <= MOST_SHIFT_MM or (best is not None and by >= abs(best[1])):
            continue
        if _stands(boat, moved, beside, axis, sign * by):
            best = (axis, sign * by)
    return best


def _stands(boat: Boat, moved: Piece, beside: Piece, axis: int, by: float) -> bool:
    at = moved.rest.at_mm.copy()
    at[axis] += by
    rooms = tuple(replace(q, centre=q.centre + by * np.eye(3)[axis]) for q in moved.rooms)
    there = replace(moved, rest=Pose.checked(at), rooms=rooms)
    if beyond_its_space(boat, there, there.at_rest()) is not None:
        return False
    others = [p for k, p in boat.pieces.items() if k not in (moved.key, beside.key)]
    clash, taken = clashes_at_rest(boat, there, [*others, beside])
    return not clash and not taken
