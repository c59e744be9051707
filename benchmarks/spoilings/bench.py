"""Spoilings of the bench: boards arranged, things placed, papers drawn."""

from benchmarks.spoilings.spoiling import Spoiling

ARRANGING = "tests/second_way/test_arranging.py"
FILES = "tests/second_way/test_bench_files.py"
DAY = "tests/whole_job/test_bench.py"
BOARDS = "tests/whole_job/test_demo_boards.py"
BACKING = "tests/second_way/test_backing.py"
KIT = "layout/bench/arrange/"
BENCH_SPOILINGS = (
    Spoiling(
        "bench: bodies may touch",
        KIT + "meeting.py",
        "p.x + a[0] < q.x + b[2] + gap - EASE",
        "p.x + a[0] < q.x + b[2] - gap - EASE",
        ARRANGING,
    ),
    Spoiling(
        "bench: rooms keep nothing out",
        KIT + "meeting.py",
        "return _rooms_taken(k, p, q) or _rooms_taken(k, q, p)",
        "return False",
        ARRANGING,
    ),
    Spoiling(
        "bench: live studs side by side",
        KIT + "meeting.py",
        "if s[4] * t[4] < 0 and",
        "if False and",
        ARRANGING,
    ),
    Spoiling(
        "bench: heat rises past nothing",
        KIT + "kit.py",
        "if kit.upright and p.minds_heat and q.hot:",
        "if False:",
        ARRANGING,
    ),
    Spoiling(
        "bench: the bound is too high",
        KIT + "exact.py",
        "less = 2 * floor(float(k.bounds[0]) * UNIT) - gap",
        "less = 2 * floor(float(k.bounds[0]) * UNIT) + 40 * UNIT",
        ARRANGING,
    ),
    Spoiling(
        "bench: the saw takes nothing",
        "layout/bench/nesting.py",
        "gx, gy = round((w + kerf) * scale), round((h + kerf) * scale)",
        "gx, gy = round(w * scale), round(h * scale)",
        ARRANGING,
    ),
    Spoiling(
        "bench: a board's way is not proven for its own boxes",
        "layout/bench/going.py",
        "if not proven_clear(problem, g.passage.path):",
        "if True:",
        DAY,
    ),
    Spoiling(
        "bench: a part that cannot pass is not told",
        "layout/bench/going.py",
        "if not proven or found.proof is None:",
        "if True:",
        DAY,
    ),
    Spoiling(
        "bench: left is right",
        "layout/boat/relative.py",
        '"forward": (1, -1),\n    "aft"',
        '"forward": (1, 1),\n    "aft"',
        DAY,
    ),
    Spoiling(
        "bench: a swing needs no room",
        "layout/boat/pieces.py",
        "body.rooms += swing_rooms(",
        "body.parts and swing_rooms(",
        DAY,
    ),
    Spoiling(
        "bench: holes drawn mirrored",
        "layout/bench/plate.py",
        "return {0: (x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}[turn_deg % 360]",
        "return {0: (-x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}[turn_deg % 360]",
        BOARDS,
    ),
    Spoiling(
        "bench: the template is a little small",
        "viewer/sheets/drawing/tiles.py",
        "paint(canvas, drawing, (LEFT - cx) * mm, (FOOT - cy) * mm)",
        "paint(canvas, drawing, (LEFT - cx) * mm, (FOOT - cy) * mm, 0.99)",
        FILES,
    ),
    Spoiling(
        "bench: the level bar is 99 mm",
        "viewer/sheets/drawing/tiles.py",
        "canvas.line(x + 10 * k * mm, y, x + 10 * k * mm, y + tick * mm)",
        "canvas.line(x + 9.9 * k * mm, y, x + 9.9 * k * mm, y + tick * mm)",
        FILES,
    ),
    Spoiling(
        "bench: not all can stand, without a proof",
        "layout/packing/together.py",
        "return bool(solver.solve(m) == cp_model.INFEASIBLE)",
        "return False",
        DAY,
    ),
    Spoiling(
        "bench: every stand-off as long as the first",
        "layout/bench/backing.py",
        "return max(float(enter), 0.0), rotation[:, axis]",
        "return max(float(leave), 0.0), rotation[:, axis]",
        BACKING,
    ),
    Spoiling(
        "bench: a skin is screwed into",
        "layout/bench/backing.py",
        'return Backing(key, far, "pad", 0.0, slope)',
        'return Backing(key, far, "screw", 12.0, slope)',
        BACKING,
    ),
    Spoiling(
        "bench: the smallest current nearest the feed",
        "routing/network/studs.py",
        "key=lambda u: -circuits.models[u[0]].amps",
        "key=lambda u: circuits.models[u[0]].amps",
        BACKING,
    ),
    Spoiling(
        "bench: links end at the middle of the bar",
        "routing/circuits/laying.py",
        "if dealt is not None:",
        "if False:",
        BACKING,
    ),
)
