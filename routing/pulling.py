"""Heads through holes, and the order of pulling: can a plug pass beside what is in a bore already.

"Passes" is shown by construction: the plug is laid against the bore's wall and every cable found a
place beside it, each touching two others or the wall. Not finding such a packing is taken as "does
not pass": the cautious side.
"""

from typing import Final

import numpy as np

HEAD_ROOM_MM: Final = 2.0  # a plug needs this much over its own size: trade rule, 2 to 3 mm
TOUCH: Final = 1e-6


def passes(bore_mm: float, inside_mm: list[float], head_mm: float) -> bool:
    """True when a head can pass a round bore with cables of given diameters lying in it."""
    big = head_mm + HEAD_ROOM_MM
    if big > bore_mm + TOUCH:
        return False
    area = big**2 + sum(d**2 for d in inside_mm)
    if area > bore_mm**2 + TOUCH:
        return False
    wall = bore_mm / 2
    placed = [(wall - big / 2, 0.0, big / 2)]
    for d in sorted(inside_mm, reverse=True):
        spot = _place(wall, placed, d / 2)
        if spot is None:
            return False
        placed.append(spot)
    return True


def _place(wall: float, placed: list[tuple[float, float, float]], r: float) -> tuple[float, float, float] | None:
    """A free place for a circle of radius r: touching the wall and one circle, or two circles; the fullest corner first."""
    rings = [(0.0, 0.0, wall - r)] + [(x, y, s + r) for x, y, s in placed]
    spots: list[tuple[float, float]] = []
    for i in range(len(rings)):
        for j in range(i + 1, len(rings)):
            spots += _crossings(rings[i], rings[j])
    good = [
        (x, y) for x, y in spots
        if np.hypot(x, y) <= wall - r + TOUCH and all(np.hypot(x - a, y - b) >= r + s - TOUCH for a, b, s in placed)
    ]
    if not good:
        return None
    x, y = min(good, key=lambda p: (sum(abs(np.hypot(p[0] - a, p[1] - b) - r - s) > 1e-4 for a, b, s in placed), np.hypot(p[0] - placed[0][0], p[1] - placed[0][1])))
    return (x, y, r)


def _crossings(p: tuple[float, float, float], q: tuple[float, float, float]) -> list[tuple[float, float]]:
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
    """Bore over cable diameter where three cables of one size lie in it, else None; 2.8 to 3.2 jams (NEC handbook rule)."""
    if len(diameters_mm) != 3 or max(diameters_mm) > 1.05 * min(diameters_mm):
        return None
    return bore_mm / (sum(diameters_mm) / 3)
