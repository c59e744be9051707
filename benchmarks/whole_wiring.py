"""`python -m benchmarks.whole_wiring`: 300 circuits in a hull of 200 boxes, all ways, shared runs,
sizes and rules; then again with one size changed.
"""

import argparse
import json
import tempfile
import time
from pathlib import Path

import numpy as np

from layout.boat.build import Builder
from layout.boat.reader import Reader
from layout.job import read_job
from routing.circuits.cabling import Cabling, cable_all
from routing.circuits.circuits import find_circuits
from routing.circuits.laying import CableEffort
from routing.network.claims import claim_rules
from routing.network.endings import ending_rules
from routing.network.feeding import feed_network
from routing.network.poles import pole_rules
from routing.network.protection import protection
from routing.network.sources import source_rules
from routing.network.starting import starting_rules
from routing.stock.placing import place_supports
from routing.ways.kept_graphs import graphs_forgotten
from routing.wiring import wire


def write_job(folder: Path, circuits: int, boxes: int, seed: int) -> Path:
    """A hull file and a job file of an invented boat with so many circuits and boxes; the job's
    path.
    """
    rng = np.random.default_rng(seed)
    hull = [
        '[hull]\nname = "Benchmark hull"\nlength = "14 m"\nbeam = "4 m"\n',
        '[sizes]\nlocker_length = "1190 mm ±3 tape"\n',
    ]
    rooms = []
    for k in range(10):
        for side in (0, 1):
            low = np.array([1200 * k - 6000, -1300 + 1310 * side, 0])
            rooms.append((f"s{k}_{side}", low))
            length = "locker_length" if k == 9 else "1190"
            hull.append(
                f"[spaces.s{k}_{side}]\nfrom = [{low[0]}, {low[1]}, 0]\n"
                f'to = ["{low[0]} + {length}", {low[1] + 1290}, 1000]\n'
            )
    for k in range(10):
        hull.append(
            f'[holes.x{k}]\nbetween = ["s{k}_0", "s{k}_1"]\nat = [500, 1290, 700]\n'
            'bore = 90\nedge = "edged"\n'
        )
        for side in (0, 1):
            if k < 9:
                hull.append(
                    f'[holes.y{k}_{side}]\nbetween = ["s{k}_{side}", "s{k + 1}_{side}"]\n'
                    'at = [1190, 600, 600]\nbore = 90\nedge = "edged"\n'
                )
    for i in range(boxes):
        name, _ = rooms[i % len(rooms)]
        size = rng.integers(40, 180, 3)
        at = [
            int(rng.integers(20, 1150 - size[0])),
            int(rng.integers(20, 1250 - size[1])),
            int(rng.choice([0, 980 - size[2]])),
        ]
        hull.append(
            f'[solids.b{i}]\nspace = "{name}"\nfrom = {at}\n'
            f"to = {[int(a + s) for a, s in zip(at, size, strict=True)]}\n"
        )
    job = ['[job]\nname = "Benchmark job"\nhull = "b.hull.toml"\n']
    panels = max(2, circuits // 24)
    job.append(
        '[pieces.battery]\ntype = "battery_31"\nspace = "s5_0"\n'
        "at = [600, 600, 350]\nfixed_already = true\n"
    )
    for p in range(panels):
        job.append(
            f'[pieces.panel_{p}]\ntype = "fuse_panel_12"\n'
            f'space = "s{p % 10}_{p % 2}"\nat = [600, 900, 500]\n'
            "fixed_already = true\n"
        )
        job.append(
            f'[circuits.F{p}]\nlabel = "Feed {p}"\nfeed = "battery.plus"\n'
            f'load = "panel_{p}.feed"\namps = 30\ndrop_percent = 2\n'
        )
    for c in range(circuits - panels):
        name, _ = rooms[int(rng.integers(0, len(rooms)))]
        job.append(
            f'[pieces.light_{c}]\ntype = "cabin_light"\nspace = "{name}"\n'
            f"at = {[int(v) for v in rng.integers(150, 850, 3)]}\n"
            "fixed_already = true\n"
        )
        job.append(
            f'[circuits.{c + 1}]\nlabel = "Load {c + 1}"\n'
            f'feed = "panel_{c % panels}.out"\nload = "light_{c}.lead"\n'
            f"amps = {rng.choice([0.5, 1.0, 2.0])}\n"
        )
    (folder / "b.hull.toml").write_text("\n".join(hull), encoding="utf-8")
    (folder / "b.job.toml").write_text("\n".join(job), encoding="utf-8")
    return folder / "b.job.toml"


def judged(cabling: Cabling) -> None:
    """The network solved, and every rule about it looked at."""
    circuits = cabling.circuits
    feed_network(cabling)
    protection(cabling)
    pole_rules(circuits)
    claim_rules(circuits)
    source_rules(circuits)
    ending_rules(cabling)
    starting_rules(cabling)


def main() -> None:
    """Time the whole and the second answer."""
    parser = argparse.ArgumentParser(prog="benchmarks.whole_wiring")
    parser.add_argument("--circuits", type=int, default=300)
    parser.add_argument("--boxes", type=int, default=200)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as room:
        for circuits, boxes in ((20, 20), (args.circuits, args.boxes)):  # the first compiles
            files = read_job(write_job(Path(room), circuits, boxes, 3))
            builder = Builder(files)
            began = time.perf_counter()
            found = find_circuits(files, builder.boat(), Reader(files, builder.sizes))
            place_supports(cable_all(found, effort=CableEffort(tell_detours=False)))
            laid = time.perf_counter() - began
            graphs_forgotten()
            began = time.perf_counter()
            w = wire(find_circuits(files, builder.boat(), Reader(files, builder.sizes)))
            first = time.perf_counter() - began
            began = time.perf_counter()
            moved = builder.boat({"locker_length": -25.0})
            w2 = wire(find_circuits(files, moved, Reader(files, builder.sizes)))
            again = time.perf_counter() - began
    began = time.perf_counter()
    judged(w.cabling)
    judge = time.perf_counter() - began
    plans = [{"gap": round(p.gap, 4), "saving": round(p.saving, 1)} for _, p in w.cabling.plans]
    no_way = sum(c.route is None for c in w.cabling.cables) + sum(
        c.route is None for c in w2.cabling.cables
    )
    print(
        json.dumps(
            {
                "circuits": args.circuits,
                "boxes": args.boxes,
                "ways_runs_supports_seconds": round(laid, 2),
                "seconds": round(first, 2),
                "one_size_changed_seconds": round(again, 2),
                "network_and_rules_seconds": round(judge, 3),
                "shared_runs": plans,
                "no_way": no_way,
            }
        )
    )


if __name__ == "__main__":
    main()
