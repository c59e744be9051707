"""What is one piece of copper: isolators and fuses that something leads round or past, converters
that feed themselves, chargers whose mains side is not shown.
"""

import networkx as nx

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.circuits import CHARGERS, TWO_SIDED, Circuits, End
from routing.network.poles import CONSUMERS

FUSES = "fuse"


def copper_rules(circuits: Circuits) -> list[RuleFinding]:
    """Findings about plus copper: what stands between two parts of it is not to be led round."""
    used = _used(circuits)
    out: list[RuleFinding] = []
    for place, end in _two_sided(circuits).items():
        sides = (f"{place}.in", f"{place}.out")
        told = [s for s in sides if s in used]
        about = (f"piece:{place}",)
        if len(told) == 1 and end.kind in TWO_SIDED and _has(end, "in", "out"):
            values: Values = {"end": f"end:{told[0]}", "kind": end.kind}
            out.append(RuleFinding("led past", Urgency.MUST, about, values))
        if len(told) == 2 and nx.has_path(_copper(circuits, end.kind), *sides):
            rule = "led round" if end.kind in TWO_SIDED else "feeds itself"
            held: Values = {"end": f"end:{sides[1]}", "kind": end.kind}
            out.append(RuleFinding(rule, Urgency.MUST, about, held))
    return out + _mains_not_shown(circuits)


def _has(end: End, *names: str) -> bool:
    """True when a part has terminals of these names."""
    part = end.place.partition(".")[2]
    return all((f"{part}.{n}" if part else n) in end.piece.terminals for n in names)


def _used(circuits: Circuits) -> set[str]:
    """Every terminal a plus ends on."""
    return {
        e.name
        for n, m in circuits.models.items()
        for e in (circuits.feeds[n], circuits.loads[n])
        if not (m.signal or m.mains)
    }


def _two_sided(circuits: Circuits) -> dict[str, End]:
    """Isolators, fuses, switches, converters and regulators that circuits touch, by their place."""
    ends = [*circuits.feeds.values(), *circuits.loads.values()]
    return {e.place: e for e in ends if e.kind in TWO_SIDED or e.kind in CHARGERS}


def _copper(circuits: Circuits, kind: str) -> "nx.Graph[str]":
    """Terminals joined by plus conductors, and through two-sided parts of every other kind.

    Where fuses are asked about, a cable with a fuse of its own joins nothing.
    """
    graph: nx.Graph[str] = nx.Graph()
    for place, end in _two_sided(circuits).items():
        graph.add_nodes_from((f"{place}.in", f"{place}.out"))
        if end.kind in TWO_SIDED and end.kind != kind and kind in TWO_SIDED:
            graph.add_edge(f"{place}.in", f"{place}.out")
    for n, m in circuits.models.items():
        feed, load = circuits.feeds[n], circuits.loads[n]
        skip = m.signal or m.mains or "minus" in (feed.terminal.pole, load.terminal.pole)
        fused = kind == FUSES and circuits.boat.lengths[n].fuse_at is not None
        if not skip and not fused and load.kind not in CONSUMERS:
            graph.add_edge(_node(feed), _node(load))
    return graph


def _node(end: End) -> str:
    """A terminal of a two-sided part; of all else the part itself."""
    return end.name if end.kind in TWO_SIDED or end.kind in CHARGERS else end.place


def _mains_not_shown(circuits: Circuits) -> list[RuleFinding]:
    """A mains charger that charges, and whose mains lead no circuit shows."""
    shown = {
        e.place
        for n, m in circuits.models.items()
        if m.mains
        for e in (circuits.feeds[n], circuits.loads[n])
    }
    out = []
    for place in {e.place: e for e in circuits.feeds.values() if e.kind == "mains charger"}:
        if place not in shown:
            out.append(RuleFinding("mains not shown", Urgency.SHOULD, (f"piece:{place}",)))
    return out
