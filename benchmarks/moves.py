"""`python -m benchmarks.moves [--cases]`: can a hand follow the ways told? One JSON line a way.

For each way of the demos (and of the passage cases that go in, with --cases): its steps, how many
of them have one part (one slide or one turn), and the least clearance. Asked of things in boats:
95 % of steps with one part, at most 6 steps, 4 or fewer in the middle; of cases 80 %.
"""

import argparse
import json
import statistics
import sys
from pathlib import Path

import numpy as np

from benchmarks.passage.files import read_case
from layout.passage import Effort, Verdict, find_passage
from layout.passage.moves import tell
from viewer.work.session import Asks, Session

DEMOS = Path(__file__).parent.parent / "demo_hulls"
CASES = Path(__file__).parent / "passage"
SHIFT_MM, TURN_DEG = 6.0, 3.0  # smaller ones are not told
PARTS, MOST_STEPS, MEDIAN_STEPS, CASE_PARTS = 0.95, 6, 4, 0.8


def parts_of(shift_mm: tuple[float, ...], turn_deg: tuple[float, ...]) -> int:
    """How many plain things a step asks for: slides along and turns about hull axes."""
    slides = sum(bool(abs(s) >= SHIFT_MM) for s in shift_mm)
    return slides + sum(bool(abs(t) >= TURN_DEG) for t in turn_deg)


def row(name: str, parts: list[int], least_mm: float | None) -> dict[str, object]:
    """One way; the hold outside is no step."""
    return {"name": name, "steps": len(parts), "parts": parts, "least_mm": least_mm}


def demo_ways() -> list[dict[str, object]]:
    """Every way in of the demos."""
    out = []
    for job in sorted(DEMOS.glob("*.job.toml")):
        for p in Session(job).answer(Asks(fresh=True)).pieces:
            told = [m for m in p.moves if m.step != "hold"]
            if told:
                parts = [parts_of(m.shift_mm, m.turn_deg) for m in told]
                out.append(row(f"{job.stem}: {p.key}", parts, p.least_clearance_mm))
    return out


def case_ways() -> list[dict[str, object]]:
    """Every passage case that goes in."""
    out = []
    for path in sorted(CASES.glob("*.json")):
        raw, problem = read_case(path)
        found = find_passage(problem, Effort())
        if found.verdict is Verdict.GOES_IN:
            told = tell(problem, found)[1:]
            parts = [
                parts_of(tuple(np.asarray(m.shift_mm)), tuple(np.asarray(m.turn_deg))) for m in told
            ]
            out.append(row(str(raw.get("name", path.stem)), parts, found.least_clearance_mm))
    return out


def judged(ways: list[dict[str, object]], share_asked: float, boats: bool) -> bool:
    """Print the sums; True when they are as asked."""
    steps = [w["steps"] for w in ways]
    parts = [p for w in ways for p in w["parts"]]  # type: ignore[attr-defined]
    one = sum(p <= 1 for p in parts) / max(1, len(parts))
    middle, most = statistics.median(steps), max(steps)  # type: ignore[type-var]
    sums = {"ways": len(ways), "one_part": round(one, 3), "median_steps": middle, "most": most}
    print(json.dumps(sums), flush=True)
    few = middle <= MEDIAN_STEPS and most <= MOST_STEPS  # type: ignore[operator]
    return one >= share_asked and (few or not boats)


def main() -> int:
    """0 when the ways are as plain as asked."""
    parser = argparse.ArgumentParser(prog="benchmarks.moves")
    parser.add_argument("--cases", action="store_true", help="the passage cases too")
    args = parser.parse_args()
    ways = demo_ways()
    for w in ways:
        print(json.dumps(w))
    good = judged(ways, PARTS, boats=True)
    if args.cases:
        ways = case_ways()
        for w in ways:
            print(json.dumps(w))
        good = judged(ways, CASE_PARTS, boats=False) and good
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
