"""`python -m benchmarks.passage.shrinking [--runs N]`: three bars through a hole that shrinks.

Finds the largest hole proven impassable, the smallest one passed and the band left between, then
runs the sizes the library can solve many times with both. One JSON line a size.
"""

import argparse
import json
import statistics
import time
from typing import Any

from benchmarks.passage.files import box_set
from benchmarks.passage.shapes import locker, rim
from layout.passage import Effort, Pose, Problem, Verdict, find_passage

BODY: list[dict[str, Any]] = [
    {"centre": [0.0, 0.0, 0.0], "half": [200.0, 25.0, 25.0]},
    {"centre": [-175.0, 125.0, 0.0], "half": [25.0, 150.0, 25.0]},
    {"centre": [175.0, 0.0, 125.0], "half": [25.0, 25.0, 150.0]},
]


def problem(hole_mm: float) -> Problem:
    """The twisted body above a deck with a square hole, to go to a room below it."""
    fixed = box_set(rim(hole_mm, hole_mm, 60, 800) + locker(1540, 1540, 1400))
    return Problem(box_set(BODY), fixed, Pose.checked([0, 0, 700]), Pose.checked([0, 0, -700]))


def main() -> None:
    """Bracket the hole, then race the library where it has a chance."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=20)
    parser.add_argument("--library-seconds", type=float, default=5.0)
    args = parser.parse_args()
    passed, blocked = 400.0, 0.0
    for size in (
        320.0,
        200.0,
        150.0,
        120.0,
        110.0,
        105.0,
        100.0,
        95.0,
        90.0,
        80.0,
        70.0,
        60.0,
        52.0,
        50.5,
        49.5,
        48.0,
    ):
        began = time.perf_counter()
        answer = find_passage(problem(size), Effort(improve_steps=0))
        print(
            json.dumps(
                {
                    "hole_mm": size,
                    "verdict": answer.verdict.value,
                    "seconds": round(time.perf_counter() - began, 3),
                }
            ),
            flush=True,
        )
        if answer.verdict is Verdict.GOES_IN:
            passed = min(passed, size)
        elif answer.verdict is Verdict.CANNOT:
            blocked = max(blocked, size)
    print(
        json.dumps(
            {
                "smallest_passed_mm": passed,
                "largest_proven_impassable_mm": blocked,
                "undecided_band_mm": passed - blocked,
            }
        )
    )
    from benchmarks.passage.library import library_seconds

    for size in (320.0, 260.0, 220.0):
        mine = []
        for n in range(args.runs):
            began = time.perf_counter()
            answer = find_passage(problem(size), Effort(improve_steps=0, seed=1 + n))
            if answer.verdict is Verdict.GOES_IN:
                mine.append(time.perf_counter() - began)
        theirs = [library_seconds(problem(size), args.library_seconds) for _ in range(args.runs)]
        solved = [t["seconds"] for t in theirs if t["solved"]]
        print(
            json.dumps(
                {
                    "hole_mm": size,
                    "runs": args.runs,
                    "solved": len(mine),
                    "median_seconds": round(statistics.median(mine), 4),
                    "slowest_seconds": round(max(mine), 4),
                    "library_solved": len(solved),
                    "library_median_seconds": round(statistics.median(solved), 4)
                    if solved
                    else None,
                    "ratio": round(statistics.median(solved) / statistics.median(mine), 1)
                    if solved
                    else None,
                }
            ),
            flush=True,
        )


if __name__ == "__main__":
    main()
