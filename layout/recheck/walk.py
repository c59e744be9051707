"""Walk a way again in small steps, measuring every pair of boxes by bounded least squares."""

from typing import Any

import numpy as np
from scipy.spatial.transform import Rotation, Slerp

from layout.recheck.common import Floats, RecheckFailed, distance_mm


def recheck_way(
    body: Any,
    fixed: Any,
    path: list[tuple[Floats, Floats]],
    clearance_mm: float,
    step_mm: float = 5.0,
) -> float:
    """Least distance met walking a way in small steps. Raises RecheckFailed below the clearance.

    body, fixed: anything with centre_mm, half_mm, rotation; path: (place, quaternion) pairs.
    """
    least = np.inf
    reach = float(
        np.max(np.linalg.norm(body.centre_mm, axis=1) + np.linalg.norm(body.half_mm, axis=1))
    )
    for (p0, q0), (p1, q1) in zip(path, path[1:], strict=False):
        turn = Slerp([0, 1], Rotation.from_quat([q0, q1]))
        angle = (Rotation.from_quat(q1) * Rotation.from_quat(q0).inv()).magnitude()
        steps = max(2, int(np.ceil((np.linalg.norm(p1 - p0) + reach * angle) / step_mm)) + 1)
        for t in np.linspace(0, 1, steps):
            r, p = turn(t).as_matrix(), p0 + (p1 - p0) * t
            for i in range(len(body.centre_mm)):
                c, m = p + r @ body.centre_mm[i], r @ body.rotation[i]
                for j in range(len(fixed.centre_mm)):
                    away = np.maximum(
                        np.abs(fixed.rotation[j].T @ (c - fixed.centre_mm[j])) - fixed.half_mm[j], 0
                    )
                    if np.linalg.norm(away) - np.linalg.norm(body.half_mm[i]) > min(
                        least, clearance_mm + 50
                    ):
                        continue
                    least = min(
                        least,
                        distance_mm(
                            c,
                            body.half_mm[i],
                            m,
                            fixed.centre_mm[j],
                            fixed.half_mm[j],
                            fixed.rotation[j],
                        ),
                    )
                    if least < clearance_mm - 1e-4:
                        raise RecheckFailed(
                            f"only {least:.4f} mm at {p.round(2)}, {clearance_mm:g} mm claimed"
                        )
    return float(least)
