"""`python -m benchmarks.passage.sweep [--cases N] [--seed S]`: near-critical cases like a shop's.

Boards and boxes through holes from 15 mm too small to 60 mm to spare, one in three past a sloping
side, one in four through two openings, one in six longer than 1.2 m. No answer is known; every
answer given is checked again by code that shares nothing with the engine, and at most 3 % may stay
not settled. 1 when an answer does not stand or too many stay open.
"""

import argparse
import json
import sys
import time

import numpy as np
from scipy.spatial.transform import Rotation

from benchmarks.passage.files import box_set
from benchmarks.passage.shapes import Box, board, box, locker, rim, solid
from layout.passage import Effort, Pose, Problem, Verdict, find_passage
from layout.recheck.common import RecheckFailed
from layout.recheck.proofs import recheck_proof
from layout.recheck.walk import recheck_way

MOST_OPEN = 0.03
PLAY_MM = (-15.0, 60.0)
SLOPED, TWO_OPENINGS, LONG = 3, 4, 6  # one in so many


def _sloped(depth: float, breadth: float, degrees: float) -> Box:
    """A ship's side that leans in over one side of the locker."""
    turn = Rotation.from_euler("x", degrees, degrees=True)
    at = np.array([0.0, breadth / 2, -depth]) + turn.as_matrix() @ [0.0, 20.0, depth / 2]
    return {
        "centre": at.tolist(),
        "half": [1200.0, 20.0, depth],
        "quat": turn.as_quat().tolist(),
    }


def case(rng: np.random.Generator, k: int) -> tuple[str, Problem]:
    """The k-th case: its name and its question."""
    long = float(rng.uniform(1200, 1600) if k % LONG == 0 else rng.uniform(300, 620))
    broad, high = float(rng.uniform(140, 380)), float(rng.uniform(60, 200))
    body = board(long, broad, high) if k % 2 else solid(long, broad, high)
    small, middle = sorted((broad, high))
    play = rng.uniform(*PLAY_MM, 2)
    wide, tall = middle + float(play[0]), small + float(play[1])
    if rng.uniform() < 0.5:  # as often a hole for it lying flat
        wide = long + float(play[0])
    depth = float(max(high, 0) + rng.uniform(30, 420))
    length, breadth = long + float(rng.uniform(20, 400)), broad + float(rng.uniform(20, 300))
    deep = float(rng.uniform(15, 70))
    shift = float(rng.uniform(-0.3, 0.3)) * max(0.0, length - wide)
    fixed = rim(wide, max(20.0, tall), deep, 2200.0, (shift, 0.0))
    fixed += locker(length, breadth, depth)
    words = []
    if k % SLOPED == 0:
        fixed.append(_sloped(depth, breadth, float(rng.uniform(5, 25))))
        words.append("sloped")
    top = deep
    if k % TWO_OPENINGS == 0:
        over = float(rng.uniform(500, 900))
        upper = rim(wide + 60, tall + 60, deep, 2200.0, (float(rng.uniform(-150, 150)), 0.0))
        for b in upper:
            b["centre"][2] += over
        fixed += upper
        fixed += [
            box([-2260, -2260, 0], [-2200, 2260, over]),
            box([2200, -2260, 0], [2260, 2260, over]),
            box([-2200, -2260, 0], [2200, -2200, over]),
            box([-2200, 2200, 0], [2200, 2260, over]),
        ]
        top = over + deep
        words.append("two openings")
    start = Pose.checked([0.0, 0.0, top + long + 150.0])
    aside = float(rng.uniform(-0.5, 0.5)) * (length - long - 4)
    goal = Pose.checked([aside, 0.0, -depth + high / 2 + 1.0])
    name = f"{k}: {long:.0f} x {broad:.0f} x {high:.0f} by {wide:.0f} x {tall:.0f} {words}"
    problem = Problem(box_set(body), box_set(fixed), start, goal, outside=(2, 1, top))
    return name, problem


def stands(problem: Problem, answer: object) -> str:
    """What the re-check says; empty where the answer stands."""
    try:
        if answer.verdict is Verdict.GOES_IN:  # type: ignore[attr-defined]
            path = [(p.at_mm, p.quat) for p in answer.path]  # type: ignore[attr-defined]
            recheck_way(problem, path, 0.0, 20.0)
        elif answer.verdict is Verdict.CANNOT:  # type: ignore[attr-defined]
            recheck_proof(problem, answer.proof)  # type: ignore[attr-defined]
    except RecheckFailed as e:
        return str(e)
    return ""


def main() -> int:
    """0 when every answer stands and few enough stay open."""
    parser = argparse.ArgumentParser(prog="benchmarks.passage.sweep")
    parser.add_argument("--cases", type=int, default=200)
    parser.add_argument("--seed", type=int, default=7)
    args = parser.parse_args()
    rng = np.random.default_rng(args.seed)
    found: dict[str, int] = {}
    wrong, slow = 0, 0.0
    for k in range(args.cases):
        name, problem = case(rng, k)
        began = time.perf_counter()
        answer = find_passage(problem, Effort(improve_steps=0))
        seconds = time.perf_counter() - began
        said = stands(problem, answer)
        wrong += bool(said)
        found[answer.verdict.value] = found.get(answer.verdict.value, 0) + 1
        if answer.verdict is Verdict.CANNOT:
            slow = max(slow, seconds)
        row = {"name": name, "verdict": answer.verdict.value, "evidence": answer.evidence.value}
        print(json.dumps({**row, "seconds": round(seconds, 2), "wrong": said}), flush=True)
    share = found.get(Verdict.NOT_SETTLED.value, 0) / args.cases
    sums = {
        **found,
        "open_share": round(share, 3),
        "wrong": wrong,
        "slowest_cannot": round(slow, 1),
    }
    print(json.dumps(sums))
    return 0 if not wrong and share <= MOST_OPEN else 1


if __name__ == "__main__":
    sys.exit(main())
