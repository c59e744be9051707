"""How long a cable laid square would be if it were pulled straight over the same faces and through
the same holes: what dressing it costs, side by side with what is laid.
"""

from typing import Final

import numpy as np

from layout.geometry.frames import Array
from routing.ways.routes import Leg, Route, edges_between, pull_tight
from routing.ways.ways import FaceKey, Ways

STRAIGHT: Final = 1 - 1e-9
TIMES: Final = 4  # corners left out and edges slid, in turn


def pulled_straight_mm(ways: Ways, route: Route) -> float:
    """The length of a route pulled straight; its own where none of it is laid square."""
    total, chain = 0.0, list[Leg]()
    for leg in route.legs:
        if leg.kind == "face" and leg.face is not None:
            chain.append(leg)
            continue
        total += _pulled(ways, chain) + leg.length_mm
        chain = []
    return total + _pulled(ways, chain)


def _pulled(ways: Ways, chain: list[Leg]) -> float:
    """The length of legs over faces, one after another, pulled straight between their ends."""
    if not any(leg.square for leg in chain):
        return sum(leg.length_mm for leg in chain)
    x, faces = _turns(chain)
    for _ in range(TIMES):
        x, faces = _leave_out(ways, x, faces)
        line = np.array(x)
        slide, pairs = edges_between(ways, line, faces)
        pull_tight(line, slide, pairs)
        x = list(line)
    return float(np.linalg.norm(np.diff(np.array(x), axis=0), axis=1).sum())


def _turns(chain: list[Leg]) -> tuple[list[Array], list[FaceKey]]:
    """The corners of legs over faces, and the faces between them."""
    x = np.array([chain[0].points[0], *(leg.points[-1] for leg in chain)])
    keys = [leg.face for leg in chain if leg.face is not None]
    d = np.diff(x, axis=0)
    d /= np.maximum(np.linalg.norm(d, axis=1), 1e-9)[:, None]
    on = np.einsum("ij,ij->i", d[:-1], d[1:]) > STRAIGHT
    goes_on = [bool(o) and a == b for o, a, b in zip(on, keys, keys[1:], strict=False)]
    stays = [k for k, g in enumerate(goes_on, start=1) if not g]
    return [x[0], *(x[k] for k in stays), x[-1]], [keys[k - 1] for k in (*stays, len(keys))]


def _leave_out(
    ways: Ways, x: list[Array], faces: list[FaceKey]
) -> tuple[list[Array], list[FaceKey]]:
    """Leave out every corner that the points beside it on the same face see past."""
    points, on = [x[0]], list[FaceKey]()
    k = 0
    while k < len(faces):
        patch = ways.patches[faces[k]]
        far = k + 1
        while far < len(faces) and faces[far] == faces[k]:
            far += 1
        start, uv = patch.flat(points[-1]), patch.flat(np.array(x[k : far + 1]))
        while far > k + 1 and not patch.sees_one(start, uv[far - k]):
            far -= 1
        points.append(x[far])
        on.append(faces[k])
        k = far
    return points, on
