"""Boxes that passage cases are made of: rims, lockers, boards; and a case as its file holds it."""

from typing import Any

import numpy as np

Box = dict[str, list[float]]
SQUARE = [0.0, 0.0, 0.0, 1.0]


def box(low: list[float], high: list[float]) -> Box:
    """A square box from two corners."""
    lo, hi = np.array(low, float), np.array(high, float)
    return {"centre": ((lo + hi) / 2).tolist(), "half": ((hi - lo) / 2).tolist()}


def rim(
    long: float, wide: float, deep: float, reach: float = 700.0, at: tuple[float, float] = (0, 0)
) -> list[Box]:
    """Four boxes round a hole long x wide in a deck `deep` thick, its lower face at z = 0."""
    x, y = at
    return [
        box([-reach, -reach, 0], [x - long / 2, reach, deep]),
        box([x + long / 2, -reach, 0], [reach, reach, deep]),
        box([x - long / 2, -reach, 0], [x + long / 2, y - wide / 2, deep]),
        box([x - long / 2, y + wide / 2, 0], [x + long / 2, reach, deep]),
    ]


def corner_steps(long: float, wide: float, deep: float, radius: float, steps: int = 4) -> list[Box]:
    """Boxes that fill rounded corners from inside the material (never more than is there)."""
    out = []
    for k in range(steps):
        a0 = radius * k / steps
        depth = radius - float(np.sqrt(radius**2 - (radius - a0) ** 2)) if k else radius
        a1 = radius * (k + 1) / steps
        inner = radius - float(np.sqrt(max(0.0, radius**2 - (radius - a1) ** 2)))
        if inner <= 0.01:
            continue
        del depth
        for sx in (-1, 1):
            for sy in (-1, 1):
                xs = sorted([sx * (long / 2 - a0), sx * (long / 2 - a1)])
                ys = sorted([sy * (wide / 2), sy * (wide / 2 - inner)])
                out.append(box([xs[0], ys[0], 0], [xs[1], ys[1], deep]))
    return out


def locker(
    length: float,
    breadth: float,
    height: float,
    at: tuple[float, float] = (0, 0),
    wall: float = 30.0,
) -> list[Box]:
    """Floor and four sides of a locker under z = 0."""
    x, y = at
    x0, x1, y0, y1 = x - length / 2, x + length / 2, y - breadth / 2, y + breadth / 2
    return [
        box([x0 - wall, y0 - wall, -height - wall], [x1 + wall, y1 + wall, -height]),
        box([x0 - wall, y0 - wall, -height], [x0, y1 + wall, 0]),
        box([x1, y0 - wall, -height], [x1 + wall, y1 + wall, 0]),
        box([x0, y0 - wall, -height], [x1, y0, 0]),
        box([x0, y1, -height], [x1, y1 + wall, 0]),
    ]


def case(  # noqa: PLR0913, PLR0917
    name: str,
    source: str,
    body: list[Box],
    fixed: list[Box],
    start: list[float],
    goal: list[float],
    expected: str | None = None,
    clearance: float = 0.0,
    goal_quat: list[float] | None = None,
    start_quat: list[float] | None = None,
    play: float | None = None,
) -> dict[str, Any]:
    """One case in the file format."""
    out: dict[str, Any] = {
        "name": name,
        "source": source,
        "body": body,
        "fixed": fixed,
        "start": {"at": start, "quat": start_quat or SQUARE},
        "goal": {"at": goal, "quat": goal_quat or SQUARE},
        "clearance_mm": clearance,
    }
    if expected:
        out["expected"] = expected
    if play is not None:
        out["play_mm"] = play
    return out


def solid(x: float, y: float, z: float) -> list[Box]:
    """A single box body of full sizes x, y, z."""
    return [{"centre": [0, 0, 0], "half": [x / 2, y / 2, z / 2]}]


def board(length: float = 480, breadth: float = 300, height: float = 140) -> list[Box]:
    """A backing plate with two lumps of gear, as from the bench."""
    p = 12.0
    z0 = -height / 2
    return [
        box([-length / 2, -breadth / 2, z0], [length / 2, breadth / 2, z0 + p]),
        box([-length * 0.42, -breadth * 0.4, z0 + p], [-length * 0.02, breadth * 0.4, height / 2]),
        box(
            [length * 0.06, -breadth * 0.45, z0 + p],
            [length * 0.44, breadth * 0.45, height / 2 - 12],
        ),
    ]
