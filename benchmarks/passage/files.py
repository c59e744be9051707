"""Read a passage case file.

{"name", "source", "body": [{"centre", "half", "quat"?}], "fixed": [same], "start": {"at", "quat"},
"goal": {"at", "quat"}, "clearance_mm", "expected"?: "goes in" or "cannot"}; mm, quaternions x y z
w, boxes square in their own frame and turned by `quat`.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from layout.errors import ShapeError
from layout.geometry.frames import matrix_from_quat
from layout.passage import BoxSet, Pose, Problem


def box_set(rows: list[dict[str, Any]]) -> BoxSet:
    """Boxes as the file writes them."""
    turns = []
    for b in rows:
        q = np.array(b.get("quat") or [0, 0, 0, 1], dtype=np.float64)
        turns.append(matrix_from_quat(q / np.linalg.norm(q)))
    return BoxSet.checked(
        [b["centre"] for b in rows], [b["half"] for b in rows], np.array(turns).reshape(-1, 3, 3)
    )


def read_case(path: Path) -> tuple[dict[str, Any], Problem]:
    """The raw case and the problem. Raises ShapeError naming the file when it is no case."""
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
        start, goal = raw["start"], raw["goal"]
        problem = Problem(
            box_set(raw["body"]),
            box_set(raw["fixed"]),
            Pose.checked(start["at"], start.get("quat") or [0, 0, 0, 1]),
            Pose.checked(goal["at"], goal.get("quat") or [0, 0, 0, 1]),
            float(raw.get("clearance_mm", 0.0)),
        )
    except (
        OSError,
        UnicodeDecodeError,
        json.JSONDecodeError,
        KeyError,
        TypeError,
        ValueError,
    ) as e:
        raise ShapeError(f"{path}: not a passage case: {type(e).__name__}: {e}") from e
    return raw, problem
