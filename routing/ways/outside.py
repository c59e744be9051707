"""The last stretch outside: from the mouth of a hole in the deck to a terminal there."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE
from layout.geometry.frames import Array
from layout.known import Known, always, mark
from routing.ways.leads import GivenUp, Lead, Stop, as_boxes, as_near_as, is_own
from routing.ways.obstacles import Kind, Obstacles, meets
from routing.ways.ways import Ways

MOST_KEPT: Final = 5_000  # kept: of a few boats, with each rule left out in turn
KEPT: Final[Known[Lead | None]] = Known(MOST_KEPT)
PAST_OWN_MM: Final = 5.0  # past its own part, when it turns back


def outside_lead(ways: Ways, stop: Stop, mouth: Array) -> Lead | None:
    """The way from a terminal outside to the mouth of a hole; None where all ways touch something.

    Straight out of its terminal first, but where it points down into its own foot. What the
    terminal or the mouth stands in cannot be kept off, and is told.
    """
    key = mark(ways.mark_of(OUTSIDE), stop, mouth)
    return KEPT.of(key, lambda: _found(ways, stop, mouth), always)


def _found(ways: Ways, stop: Stop, mouth: Array) -> Lead | None:
    at, r = np.array(stop.at), stop.od_mm / 2
    kept, one = as_near_as(ways.obstacles(OUTSIDE), at, r)
    kept, other = as_near_as(kept, mouth, r, Kind.BODY)
    stands_in = tuple(dict.fromkeys((*one, *other)))
    under = stop.out is not None and _into_boat(ways, stop)
    own = np.array([is_own(key, stop.own) for key in kept.keys], dtype=bool)
    ahead = as_boxes(kept.only(~own))
    whole = stop.out is None or under
    best: Lead | None = None
    if not whole:
        x = at + (stop.lug_mm + stop.radius_mm) * np.array(stop.out)
        best = _shortest(_onward(at, x, mouth, kept.only(own), r), as_boxes(kept), ahead, r)
        whole = best is not None
    if best is None:
        best = _shortest(_round_corners(np.array([at]), mouth), ahead, ahead, r)
    if best is None or (whole and not stands_in and not under):
        return best
    radius, lug = (stop.radius_mm, stop.lug_mm) if whole else (0.0, 0.0)
    told = GivenUp(radius, lug, stands_in, under_foot=under)
    return Lead(best.points, best.face, best.length_mm, told)


def _shortest(
    paths: Iterator[Array],
    boxes: tuple[Array, Array, Array, Array],
    ahead: tuple[Array, Array, Array, Array],
    r: float,
) -> Lead | None:
    """The shortest path that touches nothing; the first piece may touch its own part."""
    best: Lead | None = None
    for path in paths:
        mm = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
        if best is not None and mm >= best.length_mm:
            continue
        pairs = enumerate(zip(path, path[1:], strict=False))
        if all(meets(p, q, r, *(ahead if k == 0 else boxes)) < 0 for k, (p, q) in pairs):
            best = Lead(path, (OUTSIDE, 2, 1), mm)
    return best


def _onward(at: Array, x: Array, mouth: Array, own: Obstacles, r: float) -> Iterator[Array]:
    """Paths from the first corner to the mouth: straight, or past an edge of its own part first."""
    yield from _round_corners(np.array([at, x]), mouth)
    low, high = own.extents(r + PAST_OWN_MM)
    for k in range(3):
        for place in {float(v) for v in (*low[:, k], *high[:, k])}:
            y = x.copy()
            y[k] = place
            if abs(place - x[k]) > 1.0:
                yield from _round_corners(np.array([at, x, y]), mouth)


def _round_corners(start: Array, mouth: Array) -> Iterator[Array]:
    """Straight to the mouth, or level round one corner."""
    a = start[-1]
    yield np.vstack([start, mouth])
    for k in (0, 1):
        corner = mouth.copy()
        corner[k] = a[k]
        if np.linalg.norm(corner - a) > 1 and np.linalg.norm(corner - mouth) > 1:
            yield np.vstack([start, corner, mouth])


def _into_boat(ways: Ways, stop: Stop) -> bool:
    """True when a terminal outside points into the boat: its lead comes out of its foot."""
    out = np.array(stop.out)
    for t in np.linspace(5.0, max(20.0, stop.lug_mm + stop.radius_mm), 8):
        x = np.array(stop.at) + t * out
        for s in ways.boat.spaces.values():
            if np.all(x > s.low - s.wall_mm) and np.all(x < s.high + s.wall_mm):
                return True
    return False
