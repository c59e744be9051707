"""`python -m benchmarks.drums [FILE...]`: cutting-stock cases, one JSON line each.

A case file: {"name", "stocks": [{"name", "length_mm", "cost", "count"?}], "pieces_mm": [...],
"optimum"?}. Or plain numbers as in open libraries: how many, the stock's length, then the lengths,
or pairs of length and count. Without files, triplet families are run, whose optimum is known by
construction.
"""

import argparse
import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from layout.errors import CoamingError
from routing.stock.drums import plan_drums
from routing.stock.patterns import Stock


def triplets(drums: int, seed: int) -> dict[str, Any]:
    """Pieces between a quarter and a half of a drum, three to a drum with nothing left over."""
    rng = np.random.default_rng(seed)
    pieces: list[float] = []
    for _ in range(drums):
        a = int(rng.integers(380, 490)) * 10
        b = int(rng.integers((10_000 - a) // 20 - 60, (10_000 - a) // 20 + 60)) * 10
        pieces += [a, b, 10_000 - a - b]
    return {
        "name": f"triplets {drums}, seed {seed}",
        "stocks": [{"name": "drum", "length_mm": 10_000, "cost": 1}],
        "pieces_mm": pieces,
        "optimum": drums,
    }


def read(path: Path) -> dict[str, Any]:
    """A case from JSON or from plain numbers. Raises CoamingError."""
    text = path.read_text(encoding="utf-8")
    try:
        if text.lstrip().startswith("{"):
            return dict(json.loads(text))
        numbers = [float(w) for w in text.split()]
        count, length, rest = int(numbers[0]), numbers[1], numbers[2:]
    except (ValueError, IndexError) as e:
        raise CoamingError(f"{path.name}: neither a JSON case nor plain numbers: {e}") from None
    if len(rest) == 2 * count:
        pieces = [x for k in range(count) for x in [rest[2 * k]] * int(rest[2 * k + 1])]
    elif len(rest) >= count:
        pieces = rest[:count]
    else:
        raise CoamingError(f"{path.name}: {len(rest)} lengths where {count} were told")
    return {
        "name": path.stem,
        "stocks": [{"name": "stock", "length_mm": length, "cost": 1}],
        "pieces_mm": pieces,
    }


def main() -> None:
    """Solve each case and print what was found beside what is known."""
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=Path)
    args = parser.parse_args()
    cases = [_or_error(p) for p in args.files] or [
        triplets(d, s) for d in (20, 40, 83, 167) for s in range(4)
    ]
    for c in cases:
        if "error" in c:
            print(json.dumps(c), flush=True)
            continue
        stocks = [Stock(s["name"], s["length_mm"], s["cost"], s.get("count")) for s in c["stocks"]]
        began = time.perf_counter()
        plan = plan_drums([float(p) for p in c["pieces_mm"]], stocks)
        print(
            json.dumps(
                {
                    "name": c["name"],
                    "cost": plan.cost,
                    "bound": plan.bound,
                    "optimum": c.get("optimum"),
                    "pieces": len(c["pieces_mm"]),
                    "seconds": round(time.perf_counter() - began, 3),
                }
            ),
            flush=True,
        )


def _or_error(path: Path) -> dict[str, Any]:
    try:
        return read(path)
    except CoamingError as e:
        return {"name": path.name, "error": str(e)}


if __name__ == "__main__":
    main()
