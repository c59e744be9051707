"""`python -m benchmarks.day_boat`: a day boat of six batteries, two boards and 25 circuits, timed.

The files are written from nothing into a folder of their own and answered from nothing three times
in processes of their own, as a person would; asked: under 5 s each, the same bytes each time.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from viewer.command import BAD_INPUT

RUNS = 3
ASKED_SECONDS = 5.0
BATTERIES, LIGHTS = 6, 17
HULL = """
[hull]
name = "Day boat"
length = "6.2 m"
beam = "2.2 m"
[spaces.locker]
from = [-2600, -600, 0]
to = [0, 700, 600]
wall = 12
[spaces.console]
from = [12, -400, 0]
to = [900, 400, 1000]
wall = 12
[openings.hatch]
between = ["locker", "outside"]
face = "top"
centre = ["1300 mm ±3 tape", "650 mm ±3 tape"]
size = ["900 mm ±2 tape", "600 mm ±2 tape"]
corner_radius = 30
throat = 25
[openings.door]
between = ["console", "outside"]
face = "forward"
centre = ["400 mm ±3 tape", "500 mm ±3 tape"]
size = ["500 mm ±2 tape", "600 mm ±2 tape"]
corner_radius = 20
throat = 15
[holes.way]
between = ["locker", "console"]
at = [2606, 700, 450]
bore = 90
edge = "edged"
"""
JOB = """
[job]
name = "Day boat"
hull = "day.hull.toml"
[boards.power]
plate = [500, 300, 12]
space = "locker"
at = [1300, 1300, 350]
front = "starboard"
along = "forward"
parts.isolator = { type = "isolator", at = [90, 220] }
parts.main_fuse = { type = "main_fuse", at = [90, 80] }
parts.bus = { type = "bus_bar", at = [330, 200] }
[boards.helm]
plate = [420, 320, 12]
space = "console"
at = [0, 400, 500]
front = "forward"
along = "port"
parts.fuses = { type = "fuse_panel_12", at = [210, 240] }
parts.more = { type = "fuse_panel_12", at = [210, 80] }
"""


def circuit(number: int | str, feed: str, load: str, amps: float, more: str = "") -> str:
    """One circuit."""
    return (
        f'[circuits.{number}]\nlabel = "Circuit {number}"\nfeed = "{feed}"\nload = "{load}"\n'
        f"amps = {amps:g}\n{more}\n"
    )


def write(folder: Path) -> Path:
    """Write the hull and the job; the job's path."""
    rows = [JOB]
    for k in range(BATTERIES):
        rows.append(
            f'[pieces.battery_{k + 1}]\ntype = "battery_31"\nspace = "locker"\n'
            f"at = [{300 + 400 * k}, {200 if k % 2 else 420}, 0]\n"
        )
    for k in range(LIGHTS):
        side = 1 if k % 2 else -1
        rows.append(
            f'[pieces.light_{k + 1}]\ntype = "cabin_light"\nspace = "locker"\ntop = "down"\n'
            f"at = [{150 + 140 * k}, {650 + side * 450}, 600]\nfixed_already = true\n"
        )
    number = 1
    rows.append(circuit(number, "battery_1.plus", "power.main_fuse.in", 60, "fuse_at = 100"))
    strings = ", ".join(f'["battery_{k + 1}"]' for k in range(BATTERIES))
    rows.append(f"[banks.house]\nstrings = [{strings}]\n")
    for k in range(2, BATTERIES + 1):
        number += 1
        for pole in ("plus", "minus"):
            feed, load = f"battery_{k}.{pole}", f"battery_{k - 1}.{pole}"
            name = f"{number}{pole[0]}"
            rows.append(circuit(name, feed, load, 60, "link = true\nfuse_at = 100"))
    for panel in ("fuses", "more"):
        number += 1
        rows.append(circuit(number, "power.bus.out", f"helm.{panel}.feed", 25))
    for k in range(LIGHTS):
        number += 1
        panel = "fuses" if k % 2 else "more"
        rows.append(circuit(number, f"helm.{panel}.out", f"light_{k + 1}.lead", 1))
    (folder / "day.hull.toml").write_text(HULL, encoding="utf-8")
    job = folder / "day.job.toml"
    job.write_text("\n".join(rows), encoding="utf-8")
    return job


def main() -> int:
    """0 when every answer came soon enough and is the same."""
    with tempfile.TemporaryDirectory() as room:
        job = write(Path(room))
        command = [sys.executable, "-m", "viewer.command", "check", str(job), "--fresh", "--json"]
        subprocess.run(command, capture_output=True, check=False)  # kernels compiled and read once
        seen, slowest, verdicts = set(), 0.0, {}
        for _ in range(RUNS):
            began = time.perf_counter()
            run = subprocess.run(command, capture_output=True, check=False)
            slowest = max(slowest, time.perf_counter() - began)
            if run.returncode == BAD_INPUT:
                print(run.stderr.decode())
                return 1
            seen.add(run.stdout)
            result = json.loads(run.stdout)
            verdicts = {p["key"]: p["verdict"] for p in result["pieces"]}
        row = {"circuits": len(result["circuits"]), "seconds": round(slowest, 2)}
        print(json.dumps({**row, "same": len(seen) == 1, "verdicts": verdicts}))
    return 0 if slowest < ASKED_SECONDS and len(seen) == 1 else 1


if __name__ == "__main__":
    sys.exit(main())
