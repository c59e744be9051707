"""`python -m benchmarks.drums [FILE...]`: cutting-stock cases, one JSON line each.

A case file: {"name", "stocks": [{"name", "length_mm", "cost", "count"?}], "pieces_mm": [...],
"optimum"?}. Without files, triplet families whose optimum is known by construction are run.
"""

import argparse
import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from routing.drums import Stock, plan_drums


def triplets(drums: int, seed: int) -> dict[str, Any]:
    """Pieces between a quarter and a half of a drum, three to a drum with nothing left over."""
    rng = np.random.default_rng(seed)
    pieces: list[float] = []
    for _ in range(drums):
        a = int(rng.integers(380, 490)) * 10
        b = int(rng.integers((10_000 - a) // 20 - 60, (10_000 - a) // 20 + 60)) * 10
        pieces += [a, b, 10_000 - a - b]
    return {"name": f"triplets {drums}, seed {seed}", "stocks": [{"name": "drum", "length_mm": 10_000, "cost": 1}], "pieces_mm": pieces, "optimum": drums}


def main() -> None:
    """Solve each case and print what was found beside what is known."""
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=Path)
    args = parser.parse_args()
    cases = [json.loads(p.read_text(encoding="utf-8")) for p in args.files] or [triplets(d, s) for d in (20, 40, 83) for s in range(4)]
    for c in cases:
        stocks = [Stock(s["name"], s["length_mm"], s["cost"], s.get("count")) for s in c["stocks"]]
        began = time.perf_counter()
        plan = plan_drums([float(p) for p in c["pieces_mm"]], stocks)
        print(json.dumps({"name": c["name"], "cost": plan.cost, "bound": plan.bound, "optimum": c.get("optimum"), "pieces": len(c["pieces_mm"]), "seconds": round(time.perf_counter() - began, 3)}), flush=True)


if __name__ == "__main__":
    main()
