"""An opening's rim: its edges, throat and rounded corners, and how near a hand comes through it."""

from enum import Enum
from typing import Final

import numpy as np

from layout.boat.faces import FACE_OF
from layout.boat.parts import Opening
from layout.geometry.frames import Array

CORNER_STEPS: Final = 6
TAPER_STEPS: Final = 3
RIM_MM: Final = 70.0  # how broad a rim is drawn
Box = tuple[Array, Array, str]  # low corner, high corner, key


class Cover(Enum):
    """Which side of a rounded corner the steps stay on.

    Outer: they take in a little of the true opening, used to prove that something goes in. Inner:
    a little less than the true material, used to prove that it cannot.
    """

    OUTER = "outer"
    INNER = "inner"


def corner_cover_error_mm(radius_mm: float, steps: int = CORNER_STEPS) -> float:
    """Greatest distance between the true corner arc and its outer cover.

    The arc is cut at even angles; a step's inner corner stands off the arc by at most this.

    >>> round(corner_cover_error_mm(40.0), 1)
    5.4
    """
    a = np.linspace(0, np.pi / 2, steps + 1)
    x, y = radius_mm * (1 - np.sin(a)), radius_mm * (1 - np.cos(a))
    worst = 0.0
    for k in range(steps):
        corner = np.array([max(x[k], x[k + 1]), max(y[k], y[k + 1])])
        off = radius_mm - float(np.hypot(radius_mm - corner[0], radius_mm - corner[1]))
        worst = max(worst, off)
    return worst


def corner_steps(radius_mm: float, cover: Cover) -> list[tuple[float, float]]:
    """Rectangles from the square corner, (along u, along v), whose union covers the material.

    Outer: the union holds the whole of the material; inner: it lies within the material.
    """
    a = np.linspace(0, np.pi / 2, CORNER_STEPS + 1)
    u = radius_mm * (1 - np.sin(a))  # from radius down to 0
    v = radius_mm * (1 - np.cos(a))  # from 0 up to radius
    if cover is Cover.OUTER:
        steps = range(CORNER_STEPS)
        return [(float(u[k]), float(v[k + 1])) for k in steps if u[k] > 0 and v[k + 1] > 0]
    return [(float(u[k]), float(v[k])) for k in range(1, CORNER_STEPS)]


def rim_key(opening: Opening, axis: int, sign: int) -> str:
    """The key of an opening's edge on one side."""
    return f"rim:{opening.key}.{FACE_OF[axis, sign]}"


def corner_key(opening: Opening) -> str:
    """The key of an opening's rounded corners."""
    return f"corner:{opening.key}"


def span(opening: Opening, axis: int) -> tuple[float, float]:
    """From where to where an opening reaches along one of its own axes."""
    half = opening.size[opening.others.index(axis)] / 2
    return float(opening.centre[axis] - half), float(opening.centre[axis] + half)


def nearest_point(opening: Opening, at: Array) -> Array:
    """The point of the opening's plane, within its rim, nearest to a place."""
    out = opening.centre.copy()
    for k in opening.others:
        out[k] = np.clip(at[k], *span(opening, k))
    return out


def _sizes_at(opening: Opening, layer: int, layers: int, cover: Cover) -> Array:
    """The clear size of one layer of a tapering throat, counted from the inner face."""
    ends = [
        opening.inner_size + (opening.size - opening.inner_size) * t / layers
        for t in (layer, layer + 1)
    ]
    if cover is Cover.OUTER:
        return np.minimum(*ends)
    return np.maximum(*ends)


def throat_boxes(opening: Opening, low: Array, high: Array, cover: Cover) -> list[Box]:
    """Rounded corners and taper inside a throat cut through the slab from low to high."""
    taper = bool(np.any(np.abs(opening.inner_size - opening.size) > 1e-9))
    layers = TAPER_STEPS if taper else 1
    depth = (high[opening.axis] - low[opening.axis]) / layers
    out: list[Box] = []
    for k in range(layers):
        a, b = low.copy(), high.copy()
        if opening.sign > 0:
            a[opening.axis], b[opening.axis] = (
                low[opening.axis] + k * depth,
                low[opening.axis] + (k + 1) * depth,
            )
        else:
            a[opening.axis], b[opening.axis] = (
                high[opening.axis] - (k + 1) * depth,
                high[opening.axis] - k * depth,
            )
        size = _sizes_at(opening, k, layers, cover)
        out += _taper_boxes(opening, a, b, size) + _corner_boxes(opening, a, b, size, cover)
    return out


def _taper_boxes(opening: Opening, low: Array, high: Array, size: Array) -> list[Box]:
    """What a layer of a throat is narrower than the rim, on each of its four sides."""
    out: list[Box] = []
    for n, axis in enumerate(opening.others):
        if size[n] >= opening.size[n] - 1e-9:
            continue
        for sign in (-1, 1):
            a, b = low.copy(), high.copy()
            for k in opening.others:
                a[k], b[k] = span(opening, k)
            (a if sign > 0 else b)[axis] = opening.centre[axis] + sign * size[n] / 2
            out.append((a, b, rim_key(opening, axis, sign)))
    return out


def _corner_boxes(
    opening: Opening, low: Array, high: Array, size: Array, cover: Cover
) -> list[Box]:
    """The steps that cover a layer's four rounded corners."""
    if opening.radius_mm <= 0:
        return []
    u, v = opening.others
    out: list[Box] = []
    for su in (-1, 1):
        for sv in (-1, 1):
            cu, cv = opening.centre[u] + su * size[0] / 2, opening.centre[v] + sv * size[1] / 2
            for du, dv in corner_steps(opening.radius_mm, cover):
                a, b = low.copy(), high.copy()
                a[u], b[u] = sorted((cu, cu - su * du))
                a[v], b[v] = sorted((cv, cv - sv * dv))
                out.append((a, b, corner_key(opening)))
    return out


def rim_bars(opening: Opening) -> list[tuple[Array, Array]]:
    """Middle and half size of four bars round an opening, as deep as its throat, to be drawn."""
    u, v = opening.others
    middle = opening.centre.copy()
    middle[opening.axis] += opening.sign * opening.throat_mm / 2
    out = []
    for axis, other, k in ((u, v, 0), (v, u, 1)):
        for sign in (-1, 1):
            c, h = middle.copy(), np.empty(3)
            c[axis] += sign * (opening.size[k] / 2 + RIM_MM / 2)
            h[axis], h[opening.axis] = RIM_MM / 2, opening.throat_mm / 2
            h[other] = opening.size[1 - k] / 2 + (RIM_MM if k == 0 else 0)
            out.append((c, h))
    return out
