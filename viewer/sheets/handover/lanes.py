"""Lanes for the upright stretches of lines between two columns, so that no two lie on each other.

The left-edge method of channel routing (Hashimoto and Stevens, 1971) with its vertical
constraints: a line that leaves at the height another arrives at has its upright before the
other's.
"""

from dataclasses import dataclass
from typing import Final

import networkx as nx

NEAR_MM: Final = 1.0  # lines nearer than this look like one
JOG_MM: Final = 1.6


@dataclass(slots=True)
class Crossing:
    """A line through a gap, from a height on its left to one on its right."""

    net: tuple[object, ...]
    """Lines of one net leave together and may lie on each other there."""
    left: float
    right: float
    jog: float = 0.0
    """How far it steps aside before its upright, where two lines would change places."""
    lane: int = -1
    """Its lane from the left; -1 for a line that runs straight on."""

    @property
    def turns(self) -> bool:
        """True where it has an upright."""
        return abs(self.left + self.jog - self.right) > 1e-6


def lanes(crossings: list[Crossing]) -> int:
    """Give every line that turns its lane; how many there are."""
    turning = [c for c in crossings if c.turns]
    order = _before(turning)
    taken: list[list[Crossing]] = []
    for k in nx.lexicographical_topological_sort(order):
        c = turning[k]
        first = max((turning[p].lane + 1 for p in order.predecessors(k)), default=0)
        c.lane = next(
            (n for n in range(first, len(taken)) if _free(c, taken[n])), max(first, len(taken))
        )
        while len(taken) <= c.lane:
            taken.append([])
        taken[c.lane].append(c)
    return len(taken)


def _before(turning: list[Crossing]) -> "nx.DiGraph[int]":
    """Which upright stands left of which; of lines that change places one steps aside."""
    while True:
        order: nx.DiGraph[int] = nx.DiGraph()
        order.add_nodes_from(range(len(turning)))
        for a, one in enumerate(turning):
            for b, other in enumerate(turning):
                if a != b and abs(one.left + one.jog - other.right) < NEAR_MM:
                    order.add_edge(a, b)
        if nx.is_directed_acyclic_graph(order):
            return order
        first = nx.find_cycle(order)[0][0]
        turning[first].jog += JOG_MM


def _free(c: Crossing, there: list[Crossing]) -> bool:
    low, high = sorted((c.left + c.jog, c.right))
    for other in there:
        u, v = sorted((other.left + other.jog, other.right))
        if low < v + NEAR_MM and u < high + NEAR_MM:
            return False
    return True
