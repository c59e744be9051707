"""`python -m benchmarks.dc [FILE...]`: DC networks, one JSON line each, beside a circuit simulator.

A case file: {"name", "sources": [{"name"?, "plus", "minus", "volt", "ohm"}], "branches": [{"name"?,
"a", "b", "ohm"}], "loads": [{"name"?, "plus", "minus", "amp" | "watt"}], "volt"?: {node: V}}. Volts
of a node are against the minus of the first source on its network. Where ngspice is on the PATH the
same net is given to it: greatest difference and ratio of times stand in the line.
"""

import argparse
import json
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

from layout.errors import CoamingError
from routing.network.network import Branch, Load, Solution, Source, solve

SIMULATOR_SECONDS = 60


def tree(circuits: int, seed: int) -> dict[str, Any]:
    """A boat-like net: two batteries, a bus, panels, loads of both sorts, both poles with
    resistance.
    """
    rng = np.random.default_rng(seed)
    sources = [
        {
            "plus": f"bat{k}",
            "minus": "ground" if k == 0 else f"bat{k}m",
            "volt": 12.8 + 0.05 * k,
            "ohm": 0.004,
        }
        for k in range(2)
    ]
    branches = []
    for k in range(2):
        branches += [
            {"a": f"bat{k}", "b": "bus", "ohm": 0.0011},
            {"a": "ground" if k == 0 else f"bat{k}m", "b": "bus_minus", "ohm": 0.0011},
        ]
    panels = max(1, circuits // 12)
    for p in range(panels):
        ohm = float(rng.uniform(0.002, 0.01))
        branches += [
            {"a": "bus", "b": f"panel{p}", "ohm": ohm},
            {"a": "bus_minus", "b": f"panel{p}_minus", "ohm": ohm},
        ]
    loads = []
    for c in range(circuits):
        p = c % panels
        ohm = float(rng.uniform(0.01, 0.2))
        branches += [
            {"a": f"panel{p}", "b": f"load{c}", "ohm": ohm},
            {
                "a": f"panel{p}_minus",
                "b": f"load{c}_minus",
                "ohm": ohm * float(rng.uniform(0.8, 1.2)),
            },
        ]
        kind = "watt" if rng.random() < 0.5 else "amp"
        loads.append(
            {
                "plus": f"load{c}",
                "minus": f"load{c}_minus",
                kind: float(rng.uniform(1, 20) if kind == "watt" else rng.uniform(0.1, 2)),
            }
        )
    return {
        "name": f"boat of {circuits} circuits, seed {seed}",
        "sources": sources,
        "branches": branches,
        "loads": loads,
    }


def parts(case: dict[str, Any]) -> tuple[list[Source], list[Branch], list[Load]]:
    """The case as the solver takes it. Raises CoamingError when a key is missing."""
    try:
        return (
            [
                Source(
                    s.get("name", f"source {i + 1}"),
                    s["plus"],
                    s["minus"],
                    float(s["volt"]),
                    float(s["ohm"]),
                )
                for i, s in enumerate(case["sources"])
            ],
            [
                Branch(b.get("name", f"branch {i + 1}"), b["a"], b["b"], float(b["ohm"]))
                for i, b in enumerate(case["branches"])
            ],
            [
                Load(
                    d.get("name", f"load {i + 1}"),
                    d["plus"],
                    d["minus"],
                    d.get("amp"),
                    d.get("watt"),
                )
                for i, d in enumerate(case["loads"])
            ],
        )
    except (KeyError, TypeError, ValueError) as e:
        raise CoamingError(
            f"{case.get('name', 'a case')}: {e!r} is missing or not a number"
        ) from None


def simulated(
    sources: list[Source], branches: list[Branch], loads: list[Load], found: Solution
) -> tuple[dict[str, float], float]:
    """Node volts by the general circuit simulator, and its seconds (its start included)."""
    grounds = {
        s.minus for s in sources if found.volt[s.minus] == 0.0
    }  # one for each separate network
    number = {n: ("0" if n in grounds else f"n{i}") for i, n in enumerate(found.volt)}
    lines = ["dc net"]
    floor = 0.6 * min(
        s.volt for s in sources
    )  # a power load divides by its volts: kept from zero where the simulator starts
    for k, s in enumerate(sources):
        lines += [
            f"V{k} s{k} {number[s.minus]} DC {s.volt!r}",
            f"RS{k} s{k} {number[s.plus]} {max(s.ohm, 1e-7)!r}",
        ]
    lines += [
        f"R{k} {number[b.a]} {number[b.b]} {max(b.ohm, 1e-7)!r}" for k, b in enumerate(branches)
    ]
    for k, d in enumerate(loads):
        p, m = number[d.plus], number[d.minus]
        lines.append(
            f"I{k} {p} {m} DC {d.amp!r}"
            if d.amp is not None
            else f"B{k} {p} {m} I = {d.watt!r}/max(V({p},{m}),{floor!r})"
        )
    lines += [
        ".options reltol=1e-9 abstol=1e-12 vntol=1e-9",
        ".control",
        "op",
        "set numdgt=12",
        "print all",
        ".endc",
        ".end",
    ]
    with tempfile.NamedTemporaryFile("w", suffix=".cir") as f:
        f.write("\n".join(lines))
        f.flush()
        began = time.perf_counter()
        ran = subprocess.run(
            ["ngspice", "-b", f.name],
            capture_output=True,
            text=True,
            timeout=SIMULATOR_SECONDS,
            check=False,
        )
    if "failed" in ran.stderr:
        raise CoamingError("the simulator did not settle: " + ran.stderr.strip().splitlines()[-1])
    out = ran.stdout
    spent = time.perf_counter() - began
    back = {v: k for k, v in number.items() if k not in grounds}
    volts = dict.fromkeys(grounds, 0.0)
    for line in out.splitlines():
        left, eq, right = line.partition(" = ")
        if eq and left.strip() in back:
            volts[back[left.strip()]] = float(right)
    return volts, spent


def compare(found: Solution, volts: dict[str, float]) -> float:
    """Greatest difference in V over the nodes."""
    return max(abs(found.volt[n] - v) for n, v in volts.items())


def main() -> None:
    """Run the cases."""
    parser = argparse.ArgumentParser(prog="benchmarks.dc")
    parser.add_argument("files", nargs="*", type=Path)
    args = parser.parse_args()
    cases = [json.loads(p.read_text(encoding="utf-8")) for p in args.files] or [
        tree(n, s) for n in (12, 60, 300) for s in range(3)
    ]
    for case in cases:
        row: dict[str, Any] = {"name": case.get("name", "case")}
        try:
            net = parts(case)
            began = time.perf_counter()
            found = solve(*net)
            row |= {
                "seconds": round(time.perf_counter() - began, 5),
                "steps": found.steps,
                "nodes": len(found.volt),
            }
            if args.files:
                row["volt"] = {k: round(v, 7) for k, v in found.volt.items()}
            if "volt" in case:
                row["greatest_error_volt"] = compare(found, case["volt"])
            if shutil.which("ngspice"):
                volts, spent = simulated(*net, found)
                row |= {
                    "simulator_seconds": round(spent, 4),
                    "difference_volt": compare(found, volts),
                    "nodes_compared": len(volts),
                    "ratio": round(spent / max(1e-5, row["seconds"]), 1),
                }
        except CoamingError as e:
            row["error"] = str(e)
        print(json.dumps(row), flush=True)


if __name__ == "__main__":
    main()
