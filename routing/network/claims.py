"""What a file claims and the model shows: starters, signals, bypasses, isolators, fuse ways.

A flag is a claim. Each needs evidence here, or it is told.
"""

from collections import Counter
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.circuits import CHARGERS, Circuits

SIGNAL_MOST_AMP: Final = 1.0  # common practice: a data or aerial lead carries less
SIGNAL_ENDS: Final = frozenset({"instrument", "radio", "sensor", "other"})
BYPASS_MOST_AMP: Final = 40.0  # a large bilge pump or a charger: from memory
# what is left live on purpose: common practice
STAY_LIVE: Final = frozenset({"pump", "sensor", "radio", "instrument", *CHARGERS})
BRIEF_MOST_DUTY: Final = 0.02  # half an hour a day: more is no brief use, from memory
SWITCHED_BY: Final = frozenset({"isolator", "switch"})
PASSIVE: Final = frozenset(
    {"shore inlet", "board", "bus bar", "shunt", "fuse", "isolator", "switch", "other"}
)


def claim_rules(circuits: Circuits) -> list[RuleFinding]:
    """Findings about claims that the model does not bear out."""
    out = []
    for number, model in circuits.models.items():
        if model.starter:
            out += _starter(circuits, number)
        if model.signal:
            out += _signal(circuits, number)
        if model.bypass:
            out += _bypass(circuits, number)
        long = (model.duty or 0.0) > BRIEF_MOST_DUTY
        if model.brief and (circuits.loads[number].kind != "motor" or long):
            load = circuits.loads[number]
            out.append(_must("not brief", number, load=f"end:{load.name}", kind=load.kind))
    out += _links(circuits) + _over_rated(circuits)
    return out + _isolated(circuits) + _ways(circuits) + _unwired(circuits)


def _must(rule: str, n: str, **values: float | str) -> RuleFinding:
    held: Values = dict(values)
    return RuleFinding(rule, Urgency.MUST, (f"circuit:{n}",), held)


def _starter(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A starter's feed goes from a battery, or an isolator or fuse behind one, to a starter."""
    feed, load = circuits.feeds[n], circuits.loads[n]
    behind = feed.kind == "battery" or circuits.feeds[circuits.root(n)].kind == "battery"
    after = [k for k, e in circuits.feeds.items() if e.place == load.place]
    switches = load.kind in SWITCHED_BY and any(circuits.loads[k].kind == "starter" for k in after)
    if (load.kind == "starter" or switches) and behind:
        return []
    return [_must("not a starter", n, load=f"end:{load.name}", kind=load.kind)]


def _signal(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A data or aerial lead carries little and ends on an instrument."""
    amps, load = circuits.models[n].amps, circuits.loads[n]
    if amps <= SIGNAL_MOST_AMP and load.kind in SIGNAL_ENDS:
        return []
    return [_must("not a signal", n, amp=amps, most_amp=SIGNAL_MOST_AMP, load=f"end:{load.name}")]


def on_battery_side(circuits: Circuits, n: str) -> bool:
    """True when a circuit is fed before anything that isolates its battery.

    That is a battery itself, or the very part its own cable ends on; not what lies behind it on
    the board, for an isolator stands there.
    """
    feed = circuits.feeds[n]
    if feed.kind == "battery":
        return True
    if feed.kind in SWITCHED_BY and not feed.name.endswith(".in"):
        return False
    return any(
        load.place == feed.place and circuits.feeds[number].kind == "battery"
        for number, load in circuits.loads.items()
    )


def _bypass(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A bypass is really taken from the battery side, and for what must stay live."""
    load, amps = circuits.loads[n], circuits.models[n].amps
    if on_battery_side(circuits, n):
        if load.kind in STAY_LIVE and amps <= BYPASS_MOST_AMP:
            return []
        return [_must("bypass for what", n, load=f"end:{load.name}", amp=amps)]
    return [_must("no bypass", n, feed=f"end:{circuits.feeds[n].name}")]


def _isolated(circuits: Circuits) -> list[RuleFinding]:
    """Every cable from a battery leads to an isolator of its own path."""
    out: list[RuleFinding] = []
    if not circuits.any_isolator():
        return out  # told of the whole boat
    for number, feed in circuits.feeds.items():
        m, load = circuits.models[number], circuits.loads[number]
        if feed.kind != "battery" or m.signal or m.mains or m.bypass or load.kind == "battery":
            continue
        if feed.terminal.pole != "plus" or load.terminal.pole == "minus" or m.link:
            continue  # told as another fault
        on_board = load.piece.is_board and "isolator" in load.piece.kinds
        on_board = on_board and not circuits.linked(load.piece)
        if circuits.isolates(load) or on_board or load.kind in CHARGERS:
            continue
        after = [k for k in circuits.models if number in circuits.above(k)]
        if any(circuits.isolates(circuits.loads[k]) for k in after):
            continue
        values: Values = {"battery": f"piece:{feed.piece.key}"}
        about = (f"circuit:{number}",)
        out.append(RuleFinding("path without isolator", Urgency.MUST, about, values))
    return out


def ways_used(circuits: Circuits) -> Counter[str]:
    """How many ways of each fuse panel are in use: an instrument backbone takes one as well."""
    fed = Counter(
        feed.place
        for number, feed in circuits.feeds.items()
        if feed.kind == "fuse panel"
        and feed.terminal.pole != "minus"
        and not circuits.models[number].signal
    )
    bones = (b.feed.rpartition(".")[0] for b in circuits.files.job.backbones.values())
    return fed + Counter(place for place in bones if place in fed)


def _ways(circuits: Circuits) -> list[RuleFinding]:
    """No more circuits on a fuse panel than it has ways."""
    fed = ways_used(circuits)
    kinds = {e.place: e.type for e in circuits.feeds.values()}
    out = []
    for place, count in fed.items():
        ways = kinds[place].ways
        if ways is not None and count > ways:
            values: Values = {"circuits": float(count), "ways": float(ways)}
            out.append(RuleFinding("too few ways", Urgency.MUST, (f"piece:{place}",), values))
    return out


def _links(circuits: Circuits) -> list[RuleFinding]:
    """A cable from battery to battery has a source, and so a fuse, at each end."""
    out = []
    for number, feed in circuits.feeds.items():
        load = circuits.loads[number]
        both = feed.kind == load.kind == "battery" and feed.place != load.place
        same_bank = both and circuits.bank_of(feed.place) == circuits.bank_of(load.place)
        if not both or same_bank or circuits.boat.lengths[number].fuse_at_load is not None:
            continue
        if feed.terminal.pole == load.terminal.pole == "plus":
            values: Values = {"feed": f"end:{feed.name}", "load": f"end:{load.name}"}
            out.append(RuleFinding("link ends", Urgency.MUST, (f"circuit:{number}",), values))
    return out


def _over_rated(circuits: Circuits) -> list[RuleFinding]:
    """An isolator, switch or shunt on the way that carries less than the circuit asks."""
    out = []
    for number, model in circuits.models.items():
        if model.mains or model.signal:
            continue
        parts: dict[str, float] = {}
        for end in (circuits.feeds[number], circuits.loads[number]):
            boards = end.piece.parts.items() if end.piece.is_board else ()
            inside = [(f"{end.piece.key}.{k}", circuits.files.types[p.type]) for k, p in boards]
            # all a battery gives passes its board, where its links are not told
            told = end.piece.is_board and circuits.linked(end.piece)
            through = circuits.feeds[number].kind == "battery" and not told
            for key, kind in [(end.place, end.type), *(inside if through else ())]:
                if kind.carries_amps is not None:
                    parts[key] = kind.carries_amps
        for key, rated in parts.items():
            if model.amps > rated:
                held: Values = {"amp": model.amps, "rated_amp": rated, "part": f"piece:{key}"}
                out.append(RuleFinding("over rating", Urgency.MUST, (f"circuit:{number}",), held))
    return out


def _unwired(circuits: Circuits) -> list[RuleFinding]:
    """Gear that stands in the boat and hangs on no circuit."""
    used = {
        e.piece.key
        for ends in (circuits.feeds, circuits.loads, circuits.returns)
        for e in ends.values()
        if e is not None
    }
    used |= {p.key for p, _ in circuits.bus_ends}
    out = []
    for p in circuits.boat.pieces.values():
        wired = p.kinds - PASSIVE and p.terminals
        if not wired or p.key in used:
            continue
        about = (f"piece:{p.key}",)
        out.append(RuleFinding("wired to nothing", Urgency.SHOULD, about, {}))
    return out
