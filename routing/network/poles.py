"""What is joined to what: plus to minus, batteries in series, other voltages, other chemistry.

A circuit carries plus from its feed to its load and minus back. What its two ends are is read from
their poles; a flag in the file says nothing here.
"""

from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.circuits import CHARGERS, Circuits, End

NOMINAL_VOLTS: Final = (6.0, 12.0, 24.0, 36.0, 48.0)
SAME_SHARE: Final = 0.2  # a 12.8 V lithium battery is of the 12 V class: from memory
CONSUMERS: Final = frozenset(
    {
        "light",
        "navigation light",
        "motor",
        "blower",
        "starter",
        "pump",
        "instrument",
        "radio",
        "socket",
        "sensor",
    }
)


def volts_class(volts: float) -> float:
    """The nominal voltage a figure belongs to; itself where it is near none."""
    near = min(NOMINAL_VOLTS, key=lambda v: abs(v - volts))
    return near if abs(near - volts) <= SAME_SHARE * near else volts


def pole_rules(circuits: Circuits) -> list[RuleFinding]:
    """Findings about poles, voltages and chemistry of every power circuit."""
    out = []
    for number, model in circuits.models.items():
        if model.signal or model.mains:
            continue
        joins = _joined(circuits, number)
        out += joins or _volts(circuits, number)
        out += [] if joins else _alike(circuits, number)
    return out


def _finding(rule: str, n: str, **values: float | str) -> list[RuleFinding]:
    held: Values = dict(values)
    return [RuleFinding(rule, Urgency.MUST, (f"circuit:{n}",), held)]


def _ends(feed: End, load: End) -> dict[str, str]:
    return {"feed": f"end:{feed.name}", "load": f"end:{load.name}"}


def _joined(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A circuit whose ends may not be joined at all."""
    feed, load, back = circuits.feeds[n], circuits.loads[n], circuits.returns[n]
    ends = _ends(feed, load)
    poles = feed.terminal.pole, load.terminal.pole
    both = feed.kind == load.kind == "battery" and feed.place != load.place
    if circuits.models[n].link and _good_link(circuits, feed, load):
        return []
    if set(poles) == {"plus", "minus"} and both:
        return _finding("series link", n, **ends)
    if set(poles) == {"plus", "minus"}:
        return _finding("plus to minus", n, **ends)
    if poles[0] == "minus":
        return _finding("fed from minus", n, **ends)
    if "mains" in poles or "signal" in poles:
        return _finding("not a power end", n, **ends)
    if poles[0] == "pair" and feed.kind in CONSUMERS:
        return _finding("fed by a load", n, **ends)
    if back is not None and back.terminal.pole in ("plus", "mains", "signal"):
        return _finding("returns to plus", n, back=f"end:{back.name}")
    return []


def _good_link(circuits: Circuits, feed: End, load: End) -> bool:
    """A link of minus to minus, or from one battery of a string to the next."""
    if feed.terminal.pole == load.terminal.pole == "minus":
        return True
    plus, minus = (feed, load) if feed.terminal.pole == "plus" else (load, feed)
    both = feed.kind == load.kind == "battery" and minus.terminal.pole == "minus"
    return both and circuits.bank_of(plus.place).next_to(plus.place, minus.place)


def _volts(circuits: Circuits, n: str) -> list[RuleFinding]:
    """Another voltage at the source, at the load or typed for the circuit."""
    said = volts_class(circuits.volts(n))
    source = circuits.feeds[circuits.root(n)]
    load = circuits.loads[n]
    if circuits.models[n].link and source.kind == load.kind == "battery":
        return []  # between batteries of a bank, which is looked at as a bank
    for end in (source, load):
        own = circuits.bank_volts(end) if end.kind == "battery" else end.type.volts
        if own is None or end.kind in CHARGERS:
            continue
        if volts_class(own) != said:
            return _finding(
                "other voltage", n, end=f"end:{end.name}", end_volts=own, said_volts=said
            )
    return []


def _alike(circuits: Circuits, n: str) -> list[RuleFinding]:
    """Batteries in parallel that are not alike: lithium beside lead-acid."""
    feed, load = circuits.feeds[n], circuits.loads[n]
    both = feed.kind == load.kind == "battery"
    if both and feed.type.lithium != load.type.lithium:
        return _finding("mixed batteries", n, **_ends(feed, load))
    return []
