"""`python -m benchmarks.passage FILE... [--work W] [--against library]`: one JSON line a case.

Work is counted, so that every figure but the seconds is the same in every run.
"""

import argparse
import json
import sys
import time
from pathlib import Path

from benchmarks.passage.files import read_case
from layout.errors import CoamingError
from layout.passage import Effort, find_passage


def main() -> int:
    """Run the cases; 0 unless a case contradicts its known answer."""
    parser = argparse.ArgumentParser(prog="benchmarks.passage")
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--work", type=float, default=1.0, help="times the usual work")
    parser.add_argument(
        "--improve", type=int, default=0, help="steps a try at fewer moves and more room"
    )
    parser.add_argument("--against", choices=["library"])
    parser.add_argument("--library-seconds", type=float, default=5.0)
    args = parser.parse_args()
    files = args.files or sorted(Path(__file__).parent.glob("*.json"))
    wrong = 0
    for path in files:
        try:
            raw, problem = read_case(path)
        except CoamingError as e:
            print(json.dumps({"name": path.name, "error": str(e)}))
            wrong += 1
            continue
        usual = Effort()
        effort = Effort(
            int(args.work * usual.search_steps),
            int(args.work * usual.proof_cells),
            args.improve,
        )
        began = time.perf_counter()
        answer = find_passage(problem, effort)
        seconds = time.perf_counter() - began
        row = {
            "name": raw.get("name", path.stem),
            "verdict": answer.verdict.value,
            "seconds": round(seconds, 4),
            "steps": answer.steps,
            "cells": answer.cells,
            "least_clearance_mm": None
            if answer.least_clearance_mm is None
            else round(answer.least_clearance_mm, 4),
            "evidence": answer.evidence.value,
            "moves": max(0, len(answer.path) - 1),
        }
        expected = raw.get("expected")
        if expected:
            row["expected"] = expected
            if answer.verdict.value not in (expected, "not settled"):
                row["wrong"] = True
                wrong += 1
        if args.against == "library":
            from benchmarks.passage.library import best_of_library

            row["library"] = best_of_library(problem, args.library_seconds)
            spent = row["library"]["seconds"]
            row["ratio"] = round(spent / max(1e-4, seconds), 2)
        print(json.dumps(row), flush=True)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
