"""Several things placed in a space at once, and public container-loading problems as a check.

    python -m benchmarks.bench.placing [FILE...]

Without files: 4 to 12 boxes of gear in a locker under a hatch, all to stand and to go in; how long,
how many stand. With files of the public collection (a number of problems; for each its number, the
container, the kinds of boxes with their sides, which may be upright, and how many): boxes are put
down one after the other on the floor or whole on one box below; nothing may overlap, the volume
adds up, and the share that is filled is told. That is a check of places, not a loading plan.
"""

import argparse
import json
import tempfile
import time
from pathlib import Path

import numpy as np

from layout.boat.build import Builder
from layout.boat.parts import Space
from layout.geometry.frames import Array
from layout.job import read_job
from layout.packing.free import Taken, free_places
from layout.packing.things import Posture
from viewer.work.placing import placed
from viewer.work.session import Asks

HULL = """
[hull]
name = "locker"
length = 5000
beam = 2500
[spaces.locker]
from = [0, 0, 0]
to = [1500, 900, 600]
[openings.hatch]
between = ["locker", "outside"]
face = "top"
centre = [750, 450]
size = [600, 480]
throat = 30
"""
GEAR = ("battery_31", "battery_24", "mains_charger_30", "sounder_box", "vhf_radio",
        "dc_converter_30", "fridge", "fuse_panel_12", "isolator", "solar_regulator",
        "bus_bar", "battery_l3")  # fmt: skip
FIRST_PROBLEMS = 5


def several(count: int) -> dict[str, object]:
    """So many things in the locker."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        (root / "h.hull.toml").write_text(HULL, encoding="utf-8")
        text = '[job]\nname = "p"\nhull = "h.hull.toml"\n'
        for k in range(count):
            text += f'[pieces.t{k}]\ntype = "{GEAR[k]}"\nspace = "locker"\nat = [700, 450, 0]\n'
        (root / "p.job.toml").write_text(text, encoding="utf-8")
        files = read_job(root / "p.job.toml")
        Builder(files).try_boat()
        begun = time.perf_counter()
        row = placed(files, [f"t{k}" for k in range(count)], [], Asks())
        took = time.perf_counter() - begun
    return {
        "things": count,
        "stand": len(row.places),
        "proven_none": row.proven_none,
        "seconds": round(took, 1),
    }


def problems(path: Path) -> list[tuple[Array, list[tuple[Array, tuple[bool, ...], int]]]]:
    """The problems of a file: container, and (sides, which may be upright, how many) each."""
    n = iter(path.read_text(encoding="utf-8").split())
    out = []
    for _ in range(int(next(n))):
        next(n), next(n)
        container = np.array([float(next(n)) for _ in range(3)])
        kinds = []
        for _ in range(int(next(n))):
            next(n)
            row = [int(next(n)) for _ in range(6)]
            kinds.append(
                (np.array(row[0::2], float), tuple(bool(v) for v in row[1::2]), int(next(n)))
            )
        out.append((container, kinds))
    return out


def posture(size: Array) -> Posture:
    """A box on the floor."""
    row = np.array([[-size[0] / 2, -size[1] / 2, 0, size[0] / 2, size[1] / 2, size[2]]])
    return Posture("bottom", "forward", "up", np.eye(3), row, np.zeros((0, 6)))


def sizes_of(sides: Array, upright: tuple[bool, ...]) -> list[Array]:
    """A box in every turn it may stand in."""
    out = []
    for up in range(3):
        if upright[up]:
            a, b = (k for k in range(3) if k != up)
            out += [sides[[a, b, up]], sides[[b, a, up]]]
    return out


def loaded(container: Array, kinds: list[tuple[Array, tuple[bool, ...], int]]) -> float:
    """The share filled by putting boxes down in order of volume. Raises RuntimeError."""
    done: list[tuple[Array, Array]] = []
    total = 0.0
    for sides, upright, count in sorted(kinds, key=lambda k: -float(np.prod(k[0]))):
        for _ in range(count):
            spot = _spot(container, done, sides, upright)
            if spot is None:
                break
            low, high = spot
            for a, b in done:
                if not (np.any(low >= b - 1e-6) or np.any(high <= a + 1e-6)):
                    raise RuntimeError("two boxes overlap")
            done.append(spot)
            total += float(np.prod(high - low))
    if total > float(np.prod(container)):
        raise RuntimeError("more is in it than it holds")
    return total / float(np.prod(container))


def _spot(
    container: Array, done: list[tuple[Array, Array]], sides: Array, upright: tuple[bool, ...]
) -> tuple[Array, Array] | None:
    """The lowest place that is free, on the floor or whole on one box."""
    grounds = [(np.zeros(3), container)] + [
        (np.array([a[0], a[1], b[2]]), np.array([b[0], b[1], container[2]])) for a, b in done
    ]
    best: tuple[tuple[float, ...], tuple[Array, Array]] | None = None
    taken = [Taken(f"hazard:{i}", a, b, True) for i, (a, b) in enumerate(done)]
    for low, high in grounds:
        if high[2] - low[2] <= 0 or (best is not None and low[2] > best[0][0]):
            continue
        space = Space("c", "c", low, high, 10.0, {}, "locker", False)
        for size in sizes_of(sides, upright):
            for foot in free_places(space, posture(size), taken, []).feet:
                corner = foot - [size[0] / 2, size[1] / 2, 0]
                key = (float(corner[2]), float(corner[0]), float(corner[1]))
                if best is None or key < best[0]:
                    best = (key, (corner, corner + size))
    return None if best is None else best[1]


def main() -> int:
    """Run it."""
    parser = argparse.ArgumentParser()
    parser.add_argument("files", nargs="*", type=Path)
    files = parser.parse_args().files
    for count in () if files else (4, 8, 12):
        print(json.dumps(several(count)), flush=True)
    for path in files:
        shares = [loaded(*p) for p in problems(path)[:FIRST_PROBLEMS]]
        told = {"file": path.name, "problems": len(shares)}
        print(json.dumps(told | {"filled_percent": round(100 * float(np.mean(shares)), 1)}))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
