"""What is one piece of copper: isolators and fuses that something leads round, converters that
feed themselves.
"""

import networkx as nx

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.circuits import CHARGERS, TWO_SIDED, Circuits, End
from routing.network.poles import CONSUMERS


def copper_rules(circuits: Circuits) -> list[RuleFinding]:
    """Findings about plus copper: what stands between two parts of it is not to be led round."""
    copper = _plus_copper(circuits)
    piece_of = {node: k for k, part in enumerate(nx.connected_components(copper)) for node in part}
    out: list[RuleFinding] = []
    for place, end in _two_sided(circuits).items():
        sides = sorted({piece_of[n] for n in (f"{place}.in", f"{place}.out") if n in piece_of})
        both = f"{place}.in" in piece_of and f"{place}.out" in piece_of
        if not both or len(sides) > 1:
            continue
        rule = "led round" if end.kind in TWO_SIDED else "feeds itself"
        values: Values = {"end": f"end:{place}.out", "kind": end.kind}
        out.append(RuleFinding(rule, Urgency.MUST, (f"piece:{place}",), values))
    return out


def _two_sided(circuits: Circuits) -> dict[str, End]:
    """Isolators, fuses, switches, converters and regulators that circuits touch, by their place."""
    ends = [*circuits.feeds.values(), *circuits.loads.values()]
    return {e.place: e for e in ends if e.kind in TWO_SIDED or e.kind in CHARGERS}


def _plus_copper(circuits: Circuits) -> "nx.Graph[str]":
    """Terminals joined by plus conductors; parts that stand between two sides join nothing."""
    graph: nx.Graph[str] = nx.Graph()
    for n, m in circuits.models.items():
        feed, load = circuits.feeds[n], circuits.loads[n]
        skip = m.signal or m.mains or "minus" in (feed.terminal.pole, load.terminal.pole)
        if skip or load.kind in CONSUMERS:
            continue
        graph.add_edge(_node(feed), _node(load))
    return graph


def _node(end: End) -> str:
    """A terminal of a two-sided part; of all else the part itself."""
    return end.name if end.kind in TWO_SIDED or end.kind in CHARGERS else end.place
