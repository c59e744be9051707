"""In which order things are fitted: found by taking them out again, one after another.

Taking a thing out only makes room, so a greedy order misses none: if any order takes everything
out, this finds one. Fitting is the same order backwards.
"""

import time
from typing import Final

from layout.boat.parts import OUTSIDE, Boat, Thing
from layout.boat.walls import Cover
from layout.passage.search.plan import search
from layout.verdict.ways_in import SEATED_MM, chains, entry

TRY_SECONDS: Final = 0.25


def fitting_order(boat: Boat, seed: int = 1) -> list[str]:
    """Names in the order of fitting: the job's own first, and the rest as found, deepest first.

    Things that no try takes out stand at the front, where the answer for each says why.
    """
    given = [n for n in boat.order if not boat.things[n].fixed_already]
    rest = [t for t in boat.things.values() if not t.fixed_already and t.name not in given]
    rest.sort(
        key=lambda t: -float(t.rest.at_mm[2])
    )  # the highest is tried first: it likely comes out first
    if given:
        return given + [t.name for t in reversed(rest)]
    there = [t for t in boat.things.values() if t.fixed_already]
    out: list[str] = []
    left = list(rest)
    found = True
    while left and found:
        found = False
        for t in list(left):
            if comes_out(boat, t, there + [o for o in left if o is not t], seed):
                out.append(t.name)
                left.remove(t)
                found = True
    return [t.name for t in reversed(left)] + out[::-1]


def comes_out(boat: Boat, thing: Thing, others: list[Thing], seed: int) -> bool:
    """True when a proven way out was found with the others in place."""
    if thing.space == OUTSIDE:
        return True
    for way in chains(boat, thing):
        at = entry(boat, thing, way, others, Cover.OUTER, boat.clearance_mm)
        if (
            at.rest_gap_mm > -SEATED_MM
            and search(at.problem, time.perf_counter() + TRY_SECONDS, seed) is not None
        ):
            return True
    return False
