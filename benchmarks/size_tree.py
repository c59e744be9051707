"""`python -m benchmarks.size_tree [--circuits N] [--seed S]`: sizes of all cables as one plan.

Generated boats of three voltages with panels, sub-panels and branches. Beside the plan of least
cost: the same drop limits with hand-set shares (half for the feeder, half for the branch), sized
one by one as shops do. Prints the costs as a ratio, how far from the proven bound, and the seconds
(2 asked for 300 circuits). 1 when it takes longer or is dearer than hand-set shares.
"""

import argparse
import json
import sys
import time

import numpy as np

from routing.sizes.conductors import Conductor, catalogue
from routing.sizes.tree import Sized, share_drop

MOST_SECONDS = 2.0
BRANCHES = 14  # a panel
VOLTS = (12.0, 24.0, 48.0)


def sized(
    rng: np.random.Generator, number: str, up: str | None, amps: float, limit: float | None
) -> Sized:
    """One cable of random length, with every size that carries it."""
    metres = float(rng.uniform(2, 9)) if up is None else float(rng.uniform(3, 24))
    able = tuple(k for k in catalogue("mm2") if k.ampacity_amp() >= 1.25 * amps)
    able = able or catalogue("mm2")[-1:]
    return Sized(
        number,
        up,
        able,
        tuple(k.price * metres for k in able),
        tuple(amps * k.ohm(1000 * metres) for k in able),
        (True,) * len(able),
        limit,
    )


def boat(circuits: int, seed: int) -> list[Sized]:
    """Mains, panels behind them and branches behind those."""
    rng = np.random.default_rng(seed)
    out: list[Sized] = []
    panel = 0
    while len(out) < circuits:
        volts = VOLTS[panel % len(VOLTS)]
        main, feeder = f"m{panel}", f"p{panel}"
        out.append(sized(rng, main, None, float(rng.uniform(40, 120)), None))
        out.append(sized(rng, feeder, main, float(rng.uniform(15, 40)), 0.03 * volts))
        for k in range(BRANCHES):
            percent = 0.03 if k % 3 == 0 else 0.1
            amps = float(rng.uniform(0.2, 9))
            out.append(sized(rng, f"b{panel}.{k}", feeder, amps, percent * volts))
        panel += 1
    return out[:circuits]


def by_hand(cables: list[Sized]) -> float:
    """The cost with hand-set shares: a third of the drop each for main, feeder and branch."""
    limits = {c.number: c.limit_volt for c in cables}
    cost = 0.0
    for c in cables:
        mine = limits[c.number]
        behind = [x for x in cables if x.up == c.number or _grandparent(cables, x) == c.number]
        least = [x.limit_volt for x in behind if x.limit_volt is not None]
        allowed = min([m for m in (mine, *least) if m is not None], default=np.inf) / 3
        if mine is not None and not behind:  # a branch may use what main and feeder leave
            shared = min((x for x in _above_limits(cables, c)), default=mine)
            allowed = mine - 2 * min(shared, mine) / 3
        fits = [k for k, v in enumerate(c.drop_volt) if v <= allowed]
        cost += c.cost[fits[0] if fits else -1]
    return cost


def _grandparent(cables: list[Sized], c: Sized) -> str | None:
    up = next((x for x in cables if x.number == c.up), None)
    return up.up if up is not None else None


def _above_limits(cables: list[Sized], c: Sized) -> list[float]:
    """The least limit of everything that hangs on the same feeder: it sets the feeder's share."""
    return [x.limit_volt for x in cables if x.up == c.up and x.limit_volt is not None]


def largest(cables: list[Sized], sizes: dict[str, Conductor]) -> int:
    """How many limits are broken."""
    at = {c.number: c for c in cables}
    broken = 0
    for c in cables:
        volt, here = 0.0, c.number
        while here is not None:
            x = at[here]
            volt += x.drop_volt[x.sizes.index(sizes[here])]
            here = x.up if x.up in at else None  # type: ignore[assignment]
        broken += c.limit_volt is not None and volt > c.limit_volt
    return broken


def main() -> int:
    """0 when it is soon enough and no dearer."""
    parser = argparse.ArgumentParser(prog="benchmarks.size_tree")
    parser.add_argument("--circuits", type=int, default=300)
    parser.add_argument("--seed", type=int, default=3)
    args = parser.parse_args()
    cables = boat(args.circuits, args.seed)
    began = time.perf_counter()
    plan = share_drop(cables)
    seconds = time.perf_counter() - began
    hand = by_hand(cables)
    row = {
        "circuits": len(cables),
        "seconds": round(seconds, 2),
        "cost": round(plan.cost, 1),
        "bound": round(plan.bound, 1),
        "gap": round((plan.cost - plan.bound) / plan.cost, 6),
        "by_hand": round(hand, 1),
        "ratio": round(plan.cost / hand, 3),
        "limits_broken": largest(cables, plan.sizes),
    }
    print(json.dumps(row))
    return 0 if seconds <= MOST_SECONDS and plan.cost <= hand else 1


if __name__ == "__main__":
    sys.exit(main())
