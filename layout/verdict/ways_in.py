"""The ways in for a thing, and the passage problem each one makes."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Opening, Thing
from layout.boat.walls import Cover, fixed_boxes
from layout.geometry.frames import Array
from layout.passage.motion import motion_clear
from layout.passage.problem import BoxSet, Pose, Problem
from layout.passage.proof.moment import blocked_depth
from layout.passage.search.easing import ease
from layout.passage.search.plan import Scene

LONGEST_CHAIN: Final = 4
START_BEYOND_MM: Final = 120.0  # the body starts this far clear of the outermost opening
SEATED_MM: Final = 0.01  # a gap or clash smaller than this at rest is contact, not room


@dataclass(frozen=True, slots=True, eq=False)
class WayIn:
    """A chain of openings from outside to a thing's space, with the spaces it crosses."""

    openings: tuple[Opening, ...]
    spaces: tuple[str, ...]

    @property
    def label(self) -> str:
        """The openings by name."""
        return " then ".join(o.label for o in self.openings)


@dataclass(frozen=True, slots=True, eq=False)
class Entry:
    """A problem made for a way in: up to a hover over the seat, then straight on to it."""

    way: WayIn
    problem: Problem
    seat: Pose
    rest_gap_mm: float
    rest_touch: str
    clearance_mm: float


def chains(boat: Boat, thing: Thing) -> list[WayIn]:
    """All ways in to a thing's space, shortest first; only the given one when the job names it."""
    out: list[WayIn] = []
    frontier: list[tuple[str, tuple[Opening, ...], tuple[str, ...]]] = [(OUTSIDE, (), ())]
    while frontier:
        here, openings, spaces = frontier.pop(0)
        if here == thing.space:
            out.append(WayIn(openings, spaces))
            continue
        if len(openings) >= LONGEST_CHAIN:
            continue
        for o in boat.openings.values():
            ends = (o.inner, o.outer)
            if here in ends:
                there = ends[1] if ends[0] == here else ends[0]
                if there not in spaces and there != OUTSIDE:
                    frontier.append((there, (*openings, o), (*spaces, there)))
    if thing.way is not None:
        return [w for w in out if tuple(o.name for o in w.openings) == thing.way]
    return out


def _out_direction(o: Opening, first_space: str) -> Array:
    d = np.zeros(3)
    d[o.axis] = o.sign if o.inner == first_space else -o.sign
    return d


def start_pose(thing: Thing, way: WayIn) -> Pose:
    """Outside the first opening, square on to it, turned as it will stand."""
    o = way.openings[0]
    d = _out_direction(o, way.spaces[0])
    radius = float(np.sqrt((thing.body.corner_array() ** 2).sum(-1)).max())
    at = o.centre + d * (o.throat_mm + radius + START_BEYOND_MM)
    return Pose.checked(at)


def anchor(way: WayIn) -> Array:
    """The point a way's middle poses are tied to when sizes change: the last opening's middle."""
    return way.openings[-1].centre


def entry(
    boat: Boat,
    thing: Thing,
    way: WayIn,
    fitted: Iterable[Thing],
    cover: Cover,
    wanted_mm: float,
    without: frozenset[str] = frozenset(),
) -> Entry:
    """The passage problem of a thing through a way, with other things already there."""
    fixed = fixed_boxes(boat, way.openings, list(way.spaces), list(fitted), cover, without)
    return entry_among(thing, way, fixed, wanted_mm)


def entry_among(thing: Thing, way: WayIn, fixed: BoxSet, wanted_mm: float) -> Entry:
    """The same with the fixed boxes given."""
    start = start_pose(thing, way)
    at_rest = Problem(thing.body, fixed, start, thing.rest, 0.0, thing.up, thing.max_tilt_rad)
    gap, touch = blocked_depth(at_rest, thing.rest)
    hover, clearance = thing.rest, 0.0
    if gap > -SEATED_MM:
        hover, clearance = _hover(at_rest, wanted_mm)
    problem = Problem(thing.body, fixed, start, hover, clearance, thing.up, thing.max_tilt_rad)
    return Entry(way, problem, thing.rest, gap, touch.fixed if touch is not None else "", clearance)


def _hover(p: Problem, wanted_mm: float) -> tuple[Pose, float]:
    """A pose just off the seat with the wanted room (or what room there is), proven to reach it."""
    s = Scene.of(p)
    up = np.ascontiguousarray(p.up)
    for share in (1.0, 0.5, 0.2):
        wanted = wanted_mm * share
        at, quat = p.goal.at_mm.copy(), p.goal.quat.copy()
        if not ease(*s.body, *s.fixed, at, quat, wanted + 0.01, s.gyration_mm, 60, up, p.cos_tilt):
            continue
        # a shift without turning reads better, and reaches the seat straight
        straight = p.goal.quat.copy()
        for q in (straight, quat):
            held = Problem(p.body, p.fixed, p.start, Pose(at, q), wanted, p.up, p.max_tilt_rad)
            room, _ = blocked_depth(held, held.goal)
            if room >= wanted and motion_clear(
                *s.body, *s.fixed, s.fixed_corners, at, q, p.goal.at_mm, p.goal.quat, -SEATED_MM
            ):
                return Pose(at, q), wanted
    return p.goal, 0.0
