"""The ways in for a piece, and the passage question each one makes, built once and handed on."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from layout.boat.openings import Cover, span
from layout.boat.parts import OUTSIDE, Boat, Opening, Piece
from layout.boat.walls import fixed_boxes, openings_beside
from layout.geometry.frames import Array, least_upright
from layout.geometry.shapes import BoxSet, Pose
from layout.passage.free import clearance_at
from layout.passage.motion import motion_clear
from layout.passage.problem import Door, Problem
from layout.passage.search.easing import ease

LONGEST_CHAIN: Final = 4
START_BEYOND_MM: Final = 120.0  # the body starts this far clear of the outermost opening
SEATED_MM: Final = 0.01  # a gap or clash smaller than this at rest is contact, not room
HOVER_SHARES: Final = (1.0, 0.5, 0.2)  # of the wanted clearance, tried in turn off the seat
# how far to the sides and out a place to hold the piece is looked for, in its own reaches
ASIDE: Final = (0.0, 1.0, -1.0, 2.0, -2.0, 3.5, -3.5)
FARTHER: Final = (0.0, 1.5, 3.0)


@dataclass(frozen=True, slots=True, eq=False)
class WayIn:
    """A chain of openings from outside to a piece's space, with the spaces it crosses."""

    openings: tuple[Opening, ...]
    spaces: tuple[str, ...]
    also: tuple[Opening, ...] = ()  # others that stand open: an end may be poked through them

    @property
    def all_openings(self) -> tuple[Opening, ...]:
        """Those it leads by and those that stand open beside it."""
        return (*self.openings, *self.also)

    @property
    def all_spaces(self) -> tuple[str, ...]:
        """The spaces it crosses and those behind what stands open."""
        behind = [s for o in self.also for s in (o.inner, o.outer) if s != OUTSIDE]
        return tuple(dict.fromkeys([*self.spaces, *behind]))

    @property
    def keys(self) -> tuple[str, ...]:
        """The openings by key."""
        return tuple(opening.key for opening in self.openings)

    @property
    def anchor(self) -> Array:
        """The point a way's poses are tied to when sizes change: the last opening's middle."""
        return self.openings[-1].centre


def ways_in(boat: Boat, piece: Piece) -> list[WayIn]:
    """All ways in to a piece's space, shortest first; only the given one when the job names it."""
    out: list[WayIn] = []
    frontier: list[tuple[str, tuple[Opening, ...], tuple[str, ...]]] = [(OUTSIDE, (), ())]
    while frontier:
        here, openings, spaces = frontier.pop(0)
        if here == piece.space:
            out.append(WayIn(openings, spaces))
            continue
        if len(openings) >= LONGEST_CHAIN:
            continue
        for opening in boat.openings.values():
            if here in (opening.inner, opening.outer):
                there = opening.outer if opening.inner == here else opening.inner
                if there not in spaces and there != OUTSIDE:
                    frontier.append((there, (*openings, opening), (*spaces, there)))
    if piece.way is not None:
        return [w for w in out if w.keys == piece.way]
    return out


def with_beside(boat: Boat, way: WayIn) -> WayIn:
    """The same way with every other opening of the spaces it crosses open."""
    return replace(way, also=tuple(openings_beside(boat, way.openings, way.spaces)))


@dataclass(frozen=True, eq=False)
class Question:
    """Does a piece go in by a way, past what is fitted: up to a hover, then straight on to its
    seat.

    `outer` covers rounded corners from outside and asks for the clearance: "goes in" is proven on
    it. `inner` covers them from inside and asks for none: "cannot" is proven on it.
    """

    boat: Boat
    piece: Piece
    way: WayIn
    fitted: tuple[Piece, ...]
    wanted_mm: float
    without: frozenset[str] = frozenset()  # removable solids that were taken off

    @property
    def seat(self) -> Pose:
        """Where the piece stands."""
        return self.piece.rest

    def fixed(self, cover: Cover) -> BoxSet:
        """Everything that stands still on the way."""
        return fixed_boxes(
            self.boat, self.way.all_openings, self.way.all_spaces, self.fitted, cover, self.without
        )

    @cached_property
    def outer(self) -> Problem:
        """The question for "goes in"."""
        return self._problem(self.fixed(Cover.OUTER), self.wanted_mm)

    @cached_property
    def inner(self) -> Problem:
        """The question for "cannot"."""
        shut = self._problem(self.fixed(Cover.INNER), 0.0)
        beside = openings_beside(self.boat, self.way.openings, self.way.spaces)
        if not beside:
            return shut
        room = fixed_boxes(
            self.boat,
            self.way.openings,
            self.way.spaces,
            self.fitted,
            Cover.INNER,
            self.without,
            beside,
        )
        spaces = self.way.spaces
        doors = tuple(_door(o, s) for o in beside for s in spaces if s in (o.inner, o.outer))
        return replace(shut, room=room, doors=doors)

    @cached_property
    def rest_gap_mm(self) -> float:
        """Exact least distance at rest; minus the depth of a clash."""
        return clearance_at(self._at_rest(self.outer.fixed), self.seat)[0]

    def _at_rest(self, fixed: BoxSet) -> Problem:
        p = self.piece
        return Problem(p.body, fixed, p.rest, p.rest, 0.0, p.up, p.max_tilt_rad)

    def _problem(self, fixed: BoxSet, wanted_mm: float) -> Problem:
        p = self.piece
        at_rest = self._at_rest(fixed)
        gap, _ = clearance_at(at_rest, p.rest)
        hover, clearance = p.rest, 0.0
        if gap > -SEATED_MM:
            hover, clearance = _hover(at_rest, wanted_mm)
        start = start_pose(p, self.way, fixed, clearance)
        return Problem(
            p.body, fixed, start, hover, clearance, p.up, p.max_tilt_rad, outside_of(self.way)
        )


def _door(opening: Opening, space: str) -> Door:
    """Where an opening is, seen from a space."""
    low, high = opening.centre.copy(), opening.centre.copy()
    for k in opening.others:
        low[k], high[k] = span(opening, k)
    if opening.inner != space:  # the other space begins where the opening's depth ends
        low[opening.axis] = high[opening.axis] = (
            opening.centre[opening.axis] + opening.sign * opening.throat_mm
        )
    return Door(low, high, opening.axis, -opening.sign if opening.inner == space else opening.sign)


def out_direction(opening: Opening, first_space: str) -> Array:
    """The unit direction out through a way's first opening."""
    d = np.zeros(3)
    d[opening.axis] = opening.sign if opening.inner == first_space else -opening.sign
    return d


def outside_of(way: WayIn) -> tuple[int, int, float]:
    """(axis, sign, plane) of the outer end of a way's first opening: beyond it all is outside."""
    o = way.openings[0]
    out = out_direction(o, way.spaces[0])
    sign = int(out[o.axis])
    plane = float(o.centre[o.axis]) + sign * (o.throat_mm if o.sign == sign else 0.0)
    return o.axis, sign, plane


def start_pose(piece: Piece, way: WayIn, fixed: BoxSet, clearance_mm: float) -> Pose:
    """A free pose outside the first opening, turned as the piece will stand.

    Square on to the opening when that is free, else to the sides or farther out; square on all the
    same when none of those looked at is.
    """
    o = way.openings[0]
    out = out_direction(o, way.spaces[0])
    radius = piece.body.reach_mm
    first = o.centre + out * (o.throat_mm + radius + START_BEYOND_MM)
    u, v = (np.eye(3)[k] for k in o.others)
    spots = sorted(
        ((a, b, c) for c in FARTHER for a in ASIDE for b in ASIDE),
        key=lambda s: abs(s[0]) + abs(s[1]) + s[2],
    )
    for a, b, c in spots:
        pose = Pose.checked(first + radius * (a * u + b * v + c * out))
        held = Problem(piece.body, fixed, pose, pose, clearance_mm)
        if clearance_at(held, pose)[0] > clearance_mm + SEATED_MM:
            return pose
    return Pose.checked(first)


def _hover(problem: Problem, wanted_mm: float) -> tuple[Pose, float]:
    """A pose just off the seat with the wanted room (or what room there is), proven to reach it."""
    scene = problem.scene
    for share in HOVER_SHARES:
        wanted = wanted_mm * share
        at, quat = problem.goal.at_mm.copy(), problem.goal.quat.copy()
        if not ease(scene, at, quat, wanted + SEATED_MM):
            continue
        # a shift without turning reads better, and reaches the seat straight
        for q in (problem.goal.quat.copy(), quat):
            held = Pose(at, q)
            room, _ = clearance_at(problem, held)
            upright = least_upright(q, problem.goal.quat, scene.up) >= problem.cos_tilt
            if room < wanted or not upright:
                continue
            if motion_clear(
                scene.body, scene.fixed, at, q, problem.goal.at_mm, problem.goal.quat, -SEATED_MM
            ):
                return held, wanted
    return problem.goal, 0.0


def question(
    boat: Boat,
    piece: Piece,
    way: WayIn,
    fitted: Iterable[Piece],
    wanted_mm: float,
    without: frozenset[str] = frozenset(),
) -> Question:
    """The passage question of a piece through a way, with other pieces already there."""
    return Question(boat, piece, way, tuple(fitted), wanted_mm, without)
