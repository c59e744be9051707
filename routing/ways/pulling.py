"""Heads through holes, and the order of pulling: can a plug pass beside what is in a bore already.

"Passes" is shown by construction: the plug is laid against the bore's wall and every cable found a
place beside it, each touching two others or the wall. Not finding such a packing is taken as "does
not pass": the cautious side.
"""

from typing import Final

import numpy as np

HEAD_ROOM_MM: Final = 2.0  # a plug needs this much over its own size: trade rule, 2 to 3 mm
TOUCH: Final = 1e-5
MOST_TRIES: Final = 400


def passes(bore_mm: float, inside_mm: list[float], head_mm: float) -> bool:
    """True when a head can pass a round bore with cables of given diameters lying in it."""
    big = head_mm + HEAD_ROOM_MM
    if big > bore_mm + TOUCH:
        return False
    area = big**2 + sum(d**2 for d in inside_mm)
    if area > bore_mm**2 + TOUCH:
        return False
    wall = bore_mm / 2
    tries = [MOST_TRIES]
    return _fits(
        wall,
        [(wall - big / 2, 0.0, big / 2)],
        sorted((d / 2 for d in inside_mm), reverse=True),
        tries,
    )


def _fits(
    wall: float, placed: list[tuple[float, float, float]], left: list[float], tries: list[int]
) -> bool:
    """True when the circles left (radii, largest first) are all placed; places are tried in turn,
    up to a limit.
    """
    if not left:
        return True
    for x, y in _places(wall, placed, left[0]):
        if tries[0] <= 0:
            return False
        tries[0] -= 1
        if _fits(wall, [*placed, (x, y, left[0])], left[1:], tries):
            return True
    return False


def _places(
    wall: float, placed: list[tuple[float, float, float]], r: float
) -> list[tuple[float, float]]:
    """Free places for a circle of radius r that touch the wall and one circle, or two circles:
    along the wall first.
    """
    rings = [(0.0, 0.0, wall - r)] + [(x, y, s + r) for x, y, s in placed]
    spots: list[tuple[float, float]] = []
    for i in range(len(rings)):
        for j in range(i + 1, len(rings)):
            spots += _crossings(rings[i], rings[j])
    good = {
        (round(x, 6), round(y, 6))
        for x, y in spots
        if np.hypot(x, y) <= wall - r + TOUCH
        and all(np.hypot(x - a, y - b) >= r + s - TOUCH for a, b, s in placed)
    }
    return sorted(
        good,
        key=lambda p: (
            -round(float(np.hypot(p[0], p[1])), 3),
            np.hypot(p[0] - placed[0][0], p[1] - placed[0][1]),
            p[1],
        ),
    )


def _crossings(
    p: tuple[float, float, float], q: tuple[float, float, float]
) -> list[tuple[float, float]]:
    """Where two circles cross."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    d = float(np.hypot(dx, dy))
    if d < 1e-12 or d > p[2] + q[2] or d < abs(p[2] - q[2]):
        return []
    a = (p[2] ** 2 - q[2] ** 2 + d * d) / (2 * d)
    h = float(np.sqrt(max(0.0, p[2] ** 2 - a * a)))
    x, y = p[0] + a * dx / d, p[1] + a * dy / d
    return [(x - h * dy / d, y + h * dx / d), (x + h * dy / d, y - h * dx / d)]


def jam_ratio(bore_mm: float, diameters_mm: list[float]) -> float | None:
    """Bore over cable diameter where three cables of one size lie in it, else None; 2.8 to 3.2
    jams (NEC handbook rule).
    """
    if len(diameters_mm) != 3 or max(diameters_mm) > 1.05 * min(diameters_mm):
        return None
    return bore_mm / (sum(diameters_mm) / 3)
