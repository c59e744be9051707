"""The room a hung board sweeps as it swings out: its outer box in small steps, each grown to cover
what is swept between two.
"""

from typing import Final

import numpy as np

from layout.boat.hull_parts import axis_turn
from layout.boat.parts import RoomNeeded
from layout.geometry.frames import Array
from layout.job.board_models import HingeModel

STEP_DEG: Final = 5.0
SWING: Final = "swing"


def swing_rooms(
    key: str, hinge: HingeModel, plate: Array, low: Array, high: Array
) -> list[RoomNeeded]:
    """Rooms in the mounting frame (its back at nought): the box from `low` to `high` turned about
    the plate's back edge. A point `far` from the hinge moves at most far x sin(step / 2) off the
    nearest of two steps, and every box is grown by that.
    """
    axis, sign, at = {
        "left": (1, -1.0, np.array([-plate[0] / 2, 0, 0])),
        "right": (1, 1.0, np.array([plate[0] / 2, 0, 0])),
        "upper": (0, -1.0, np.array([0, plate[1] / 2, 0])),
        "lower": (0, 1.0, np.array([0, -plate[1] / 2, 0])),
    }[hinge.edge]
    steps = max(1, int(np.ceil(hinge.opens_degrees / STEP_DEG)))
    step = np.deg2rad(hinge.opens_degrees / steps)
    middle, half = (low + high) / 2, (high - low) / 2
    corners = np.array([middle + half * np.array(s) for s in _SIGNS]) - at
    across = [k for k in range(3) if k != axis]
    far = float(np.linalg.norm(corners[:, across], axis=1).max())
    grow = np.zeros(3)
    grow[across] = far * np.sin(step / 2)
    out = []
    for n in range(1, steps + 1):
        turn = axis_turn(axis, sign * n * step)
        out.append(RoomNeeded(SWING, key, at + turn @ (middle - at), half + grow, turn))
    return out


_SIGNS: Final = [(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)]
