"""`python -m benchmarks.passage.recheck [FILE...]`: every answer checked again, the long way.

"Goes in" is walked in steps of 0.25 mm with a general collision library, "cannot" is taken apart
by `layout.recheck`, which shares no code with the engine. One JSON line a case.
"""

import argparse
import json
import sys
from pathlib import Path

import fcl
import numpy as np
from scipy.spatial.transform import Rotation, Slerp

from benchmarks.passage.files import read_case
from layout.passage import Effort, Passage, Problem, Verdict, find_passage
from layout.recheck.common import RecheckFailed
from layout.recheck.proofs import recheck_proof

STEP_MM = 0.25
DRAWN_IN_MM = 0.01  # bodies are drawn in by this, so that contact is no collision to the library


def walk(problem: Problem, answer: Passage, step_mm: float) -> int:
    """Poses looked at along the way. Raises RecheckFailed where the library sees a collision."""
    fixed = [
        fcl.CollisionObject(fcl.Box(*(2 * h)), fcl.Transform(r, c))
        for c, h, r in zip(
            problem.fixed.centre_mm, problem.fixed.half_mm, problem.fixed.rotation, strict=True
        )
    ]
    manager = fcl.DynamicAABBTreeCollisionManager()
    manager.registerObjects(fixed)
    manager.setup()
    body = [
        (fcl.CollisionObject(fcl.Box(*(2 * (h - DRAWN_IN_MM)))), c, r)
        for c, h, r in zip(
            problem.body.centre_mm, problem.body.half_mm, problem.body.rotation, strict=True
        )
    ]
    looked = 0
    for a, b in zip(answer.path, answer.path[1:], strict=False):
        turn = Slerp([0, 1], Rotation.from_quat([a.quat, b.quat]))
        angle = (Rotation.from_quat(b.quat) * Rotation.from_quat(a.quat).inv()).magnitude()
        steps = int((np.linalg.norm(b.at_mm - a.at_mm) + problem.radius_mm * angle) / step_mm) + 2
        for t in np.linspace(0, 1, steps):
            r, p = turn(t).as_matrix(), a.at_mm + (b.at_mm - a.at_mm) * t
            for part, c, m in body:
                part.setTransform(fcl.Transform(r @ m, p + r @ c))
                data = fcl.CollisionData()
                manager.collide(part, data, fcl.defaultCollisionCallback)
                if data.result.is_collision:
                    raise RecheckFailed(f"collision at {p.round(3).tolist()}")
            looked += 1
    return looked


def main() -> int:
    """0 when every answer stands."""
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--step", type=float, default=STEP_MM)
    args = parser.parse_args()
    failed = 0
    for path in args.files or sorted(Path(__file__).parent.glob("*.json")):
        raw, problem = read_case(path)
        answer = find_passage(problem, Effort(improve_steps=0))
        row = {"name": raw.get("name", path.stem), "verdict": answer.verdict.value}
        try:
            if answer.verdict is Verdict.GOES_IN:
                row["poses"] = walk(problem, answer, args.step)
            elif answer.verdict is Verdict.CANNOT and answer.proof is not None:
                row["checked"] = recheck_proof(problem, answer.proof)
        except RecheckFailed as e:
            row["failed"] = str(e)
            failed += 1
        print(json.dumps(row), flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
