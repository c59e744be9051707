"""Plain geometry of polylines: how far places are from one, and one without its straight joints."""

from typing import Final

import numpy as np

from layout.geometry.frames import Array

SAME_MM: Final = 1e-9
STRAIGHT: Final = 1 - 1e-9


def from_polyline(x: Array, line: Array) -> Array:
    """The distance of places (n, 3) from a polyline (m, 3), (n,)."""
    best = np.full(len(x), np.inf)
    for p, q in zip(line, line[1:], strict=False):
        d = q - p
        t = np.clip((x - p) @ d / max(float(d @ d), 1e-12), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(x - p - t[:, None] * d, axis=1))
    return best


def cornered(x: Array) -> Array:
    """A polyline without doubled points and those on its straight pieces."""
    x = x[np.concatenate([[True], np.abs(np.diff(x, axis=0)).max(axis=1) > SAME_MM])]
    if len(x) < 3:
        return x
    d = np.diff(x, axis=0)
    d /= np.linalg.norm(d, axis=1)[:, None]
    turns = np.einsum("ij,ij->i", d[:-1], d[1:]) < STRAIGHT
    return np.asarray(x[np.concatenate([[True], turns, [True]])])
