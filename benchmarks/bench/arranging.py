"""Arrangements beside what is known: rectangles cut up (the best plate is known), and with rooms.

    python -m benchmarks.bench.arranging [--seeds N]

One line of JSON a size: how far above the known least (bodies alone), how far above the proven
bound (with rooms and links), and how long. Every arrangement is looked at again for overlaps by
shapely.
"""

import argparse
import json
import time
from dataclasses import replace

import numpy as np
from shapely import box

from benchmarks.bench.boards import case
from layout.bench.arrange.door import ArrangeEffort, Arrangement, arrange
from layout.bench.arrange.kit import Box, Kit, KitPart, turned_box

LENGTH, HEIGHT = 480, 360


def cut_up(seed: int, count: int) -> list[tuple[int, int]]:
    """A rectangle cut by straight cuts from side to side."""
    rng = np.random.default_rng(seed)
    pieces = [(LENGTH, HEIGHT)]
    while len(pieces) < count:
        pieces.sort(key=lambda p: -p[0] * p[1])
        a, b = pieces.pop(0)
        cut = int(rng.integers(round(0.3 * max(a, b)), round(0.7 * max(a, b))))
        pieces += [(cut, b), (a - cut, b)] if a > b else [(a, cut), (a, b - cut)]
    return pieces


def overlaps(kit: Kit, found: Arrangement) -> int:
    """Pairs of bodies that overlap, by shapely."""
    at = {p.key: p for p in found.places}
    flat = []
    for part in kit.parts:
        if part.key in at:
            p = at[part.key]
            r = turned_box(part.boxes[0], p.turn_deg // 90)
            flat.append(box(p.x + r[0], p.y + r[1], p.x + r[2], p.y + r[3]))
    return sum(a.intersection(b).area > 1e-3 for i, a in enumerate(flat) for b in flat[:i])


def main() -> int:
    """Run the families."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=4)
    seeds = parser.parse_args().seeds
    wrong = 0
    for count in (6, 8, 10, 12):
        over, took = [], []
        for seed in range(seeds):
            parts = tuple(
                KitPart(f"p{i}", (Box(-a / 2, -b / 2, 0, a / 2, b / 2, 40),), turns=(0, 90))
                for i, (a, b) in enumerate(cut_up(seed, count))
            )
            kit = Kit(parts, most_mm=(700, 700), margin_mm=0, gap_mm=0)
            begun = time.perf_counter()
            found = arrange(kit, "plate", ArrangeEffort())
            took.append(time.perf_counter() - begun)
            over.append(found.plate_mm[0] * found.plate_mm[1] / (LENGTH * HEIGHT) - 1)
            wrong += overlaps(kit, found)
        told = {"bodies": count, "over_percent": round(100 * float(np.mean(over)), 2)}
        told |= {"worst_percent": round(100 * max(over), 2), "seconds": round(max(took), 1)}
        print(json.dumps(told), flush=True)
    for number in range(2, 10):
        _, wanted = case(number)
        kit = replace(wanted.kit, most_mm=wanted.most_mm)
        begun = time.perf_counter()
        found = arrange(kit, "plate", ArrangeEffort())
        seconds = time.perf_counter() - begun
        wrong += overlaps(kit, found)
        told = {"with_rooms": len(kit.parts), "over_bound_percent": round(100 * found.gap, 1)}
        print(json.dumps(told | {"seconds": round(seconds, 1)}), flush=True)
    print(json.dumps({"overlaps": wrong}))
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
