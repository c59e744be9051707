"""Twenty generated shop cases: a board proven to go or a proof of none, beside the usual way.

    python -m benchmarks.bench.boards [--count N]

Each case is a locker under a hatch, from ample to hopeless, and a board of 6 to 14 parts for its
forward side. Beside coaming's envelope-first way stands what a shop does: arrange the least plate
first, then test whether that goes in (with the same search). One line of JSON a case, then counts.
Cases are generated from their number alone.
"""

import argparse
import json
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from layout.bench.arrange.door import ArrangeEffort, arrange
from layout.bench.arrange.kit import Box, Kit, KitLink, KitPart, Post
from layout.bench.frontier import PassEffort, Site
from layout.bench.going import Going, board_that_goes
from layout.bench.wanted import Wanted, board_boxes
from layout.boat.build import Builder
from layout.job.reading import read_job

# common sizes of parts, mm: length, breadth, height
PARTS = (
    (70, 70, 75), (110, 45, 40), (120, 45, 50), (165, 50, 45), (125, 85, 40), (165, 85, 40),
    (190, 130, 75), (115, 100, 45), (45, 30, 45), (210, 140, 60), (90, 60, 55), (140, 90, 65),
)  # fmt: skip
HULL = """
[hull]
name = "case"
length = 6000
beam = 2000
[spaces.locker]
from = [0, 0, 0]
to = [{long}, {wide}, {high}]
[openings.hatch]
between = ["locker", "outside"]
face = "top"
centre = [{cx}, {cy}]
size = [{ox}, {oy}]
throat = {throat}
corner_radius = {radius}
"""
JOB = """
[job]
name = "case"
hull = "case.hull.toml"
[boards.board]
plate = [100, 100, 12]
space = "locker"
at = [{back}, {mid}, {up}]
front = "aft"
along = "starboard"
held_by = "spacers"
"""
EASY, HOPELESS = 1.5, 0.32


def case(number: int) -> tuple[Site, Wanted]:
    """A case by its number: the hatch shrinks from ample to hopeless over twenty."""
    rng = np.random.default_rng(7000 + number)
    n = int(rng.integers(6, 15))
    parts = []
    for k in range(n):
        length, breadth, height = PARTS[int(rng.integers(len(PARTS)))]
        box = Box(-length / 2, -breadth / 2, 0, length / 2, breadth / 2, height)
        room = Box(-length / 2, -breadth / 2, height, length / 2, breadth / 2, height + 60)
        ends = (Post(-length / 2, 0, -1, 0), Post(length / 2, 0, 1, 0))
        parts.append(KitPart(f"part{k}", (box,), (room,), ends, mass_kg=0.5))
    links = tuple(KitLink(k, 1, k + 1, 0) for k in range(n - 1))
    area = sum(area_of(p) for p in parts) * 1.5
    side = float(np.sqrt(area))
    share = EASY + (HOPELESS - EASY) * (number % 20) / 19
    ox, oy = side * share * rng.uniform(0.9, 1.2), side * share * rng.uniform(0.7, 1.0)
    long, wide, high = side * 1.5 + 200, side * 1.4 + 150, side * 1.1 + 150
    ox, oy = min(ox, long - 20), min(oy, wide - 20)
    texts = {
        "hull": HULL.format(
            long=round(long), wide=round(wide), high=round(high), ox=round(ox), oy=round(oy),
            cx=round(long * 0.5), cy=round(wide * 0.5), throat=40,
            radius=round(min(40, ox / 4, oy / 4)),
        ),
        "job": JOB.format(back=round(long - 20), mid=round(wide / 2), up=round(high / 2)),
    }  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        for kind, text in texts.items():
            Path(folder, f"case.{kind}.toml").write_text(text, encoding="utf-8")
        boat = Builder(read_job(Path(folder, "case.job.toml"))).boat()
    site = Site.of(boat, boat.pieces["board"], [])
    most = (float(round(wide)), float(round(high)))
    kit = Kit(tuple(parts), links, most_mm=most, corner_mm=32.0)
    return site, Wanted(kit, 12.0, "both", most)


def area_of(part: KitPart) -> float:
    """The area of a part's foot."""
    b = part.boxes[0]
    return (b.x1 - b.x0) * (b.y1 - b.y0)


def usual(site: Site, wanted: Wanted) -> bool:
    """Arrange the least plate first, test after."""
    kit = replace(wanted.kit, most_mm=wanted.most_mm)
    found = arrange(kit, "plate", ArrangeEffort(proof=0.0))
    if found.left:
        return False
    seat = site.seat(*found.plate_mm, wanted.tall_mm())
    if seat is None:
        return False
    middle = seat.rest.at_mm - site.like.turn[:, 2] * wanted.tall_mm() / 2
    piece = site.put(board_boxes(wanted, found, frozenset()), middle)
    return site.ask(piece, PassEffort(search_steps=400_000, proof_cells=100_000)) is not None


def outcome(going: Going) -> str:
    """What was found, in a word."""
    if going.impossible is not None:
        return "proven: none"
    if not going.boards:
        return "open"
    if len(going.boards) > 1:
        return "two boards"
    return "goes, tall parts afterwards" if going.boards[0].afterwards else "goes"


def main() -> int:
    """Run the cases."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=20)
    count = parser.parse_args().count
    totals: dict[str, int] = {}
    slowest, first_goes = 0.0, 0
    for number in range(count):
        site, wanted = case(number)
        begun = time.perf_counter()
        going = board_that_goes(site, wanted, PassEffort(), ArrangeEffort())
        took = time.perf_counter() - begun
        begun = time.perf_counter()
        other = usual(site, wanted)
        its = time.perf_counter() - begun
        word = outcome(going)
        totals[word] = totals.get(word, 0) + 1
        slowest, first_goes = max(slowest, took), first_goes + other
        told = {
            "case": number,
            "parts": len(wanted.kit.parts),
            "outcome": word,
            "seconds": round(took, 1),
            "asked": going.asked,
            "arrange_first_goes": other,
            "its_seconds": round(its, 1),
        }
        print(json.dumps(told), flush=True)
    print(json.dumps({"totals": totals, "slowest_s": round(slowest, 1), "usual": first_goes}))
    return 0 if totals.get("open", 0) == 0 else 1


if __name__ == "__main__":
    raise SystemExit(main())
