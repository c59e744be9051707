"""The bends a cable is led round by hand, place by place."""

from collections import Counter
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE
from layout.geometry.frames import Array
from routing.ways.graph import JOINTS
from viewer.work.way_rows import LegRow

BEND_DEG: Final = 45.0
HAND_MM: Final = 100.0  # a hand's breadth: turns nearer than that are led round in one


def bends_by_place(legs: list[LegRow]) -> dict[str, int]:
    """How many bends there are in each space, on deck under `outside`.

    A bend is a turn of more than 45°. Turns within a hand's breadth of the one before are one
    with it, those so near a hole or pipe belong to going through that.
    """
    points, places = _line(legs)
    ends = [np.array(x) for leg in legs if leg.kind in JOINTS for x in leg.points]
    least, last = float(np.cos(np.radians(BEND_DEG))), None
    out: Counter[str] = Counter()
    for k in range(1, len(points) - 1):
        before, after = points[k] - points[k - 1], points[k + 1] - points[k]
        far = float(np.linalg.norm(before) * np.linalg.norm(after))
        if float(before @ after) >= least * far or _near(points[k], ends):
            continue
        if last is None or not _near(points[k], [last]):
            last = points[k]
            out[places[k + 1]] += 1
    return dict(out)


def _line(legs: list[LegRow]) -> tuple[list[Array], list[str]]:
    """The points of a way, none twice, and the place of the step that ends at each."""
    points: list[Array] = []
    places: list[str] = []
    for leg in legs:
        for x in (np.array(x) for x in leg.points):
            if not points or np.linalg.norm(x - points[-1]) > 1.0:
                points.append(x)
                places.append(leg.place or OUTSIDE)
    return points, places


def _near(x: Array, others: list[Array]) -> bool:
    return any(float(np.linalg.norm(x - o)) < HAND_MM for o in others)
