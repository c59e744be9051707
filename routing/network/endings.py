"""What each cable ends on, and what each end is for: lugs and studs, fuse ways, double feeds, what
a load really draws, what is called mains.
"""

from typing import Final

from layout.boat.parts import Piece
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import Circuits
from routing.network.claims import ways_used
from routing.network.poles import CONSUMERS
from routing.sizes.ends import largest_mm2
from routing.sizes.sizing import INRUSH_TIMES, SAME_MM2

BLADE_WAY_AMP: Final = 40.0  # ISO 8820-3: the largest standard blade fuse
LEAST_DIVERSITY: Final = 0.3  # with more than one load: less is a slip, from memory
DRAWS_SHARE: Final = 0.9  # of what a load draws by its maker: rounding is no fault
USUAL_VOLT: Final = 15.0  # what generic gear is taken to be made for: a 12 V boat
SWITCHED: Final = frozenset({"light", "navigation light", "motor", "starter", "blower"})
OTHER: Final = frozenset({"other"})
MAINS_KINDS: Final = frozenset({"mains charger", "shore inlet"})
ACTIVE: Final = frozenset({"converter", "charger", "mains charger"})
LINKED: Final = frozenset({"isolator", "fuse", "bus bar", "fuse panel"})
COPPER_K: Final = 143.0  # A s^0.5 / mm2, copper, 90 degC thermosetting: IEC 60364-5-54


def ending_rules(cabling: Cabling) -> list[RuleFinding]:
    """Findings about what every circuit ends on and is for."""
    circuits = cabling.circuits
    out = _lugs(cabling) + _heated(cabling)
    for n in circuits.models:
        out += _mains_claim(circuits, n) + _draws(circuits, n) + _itself(circuits, n)
        out += _link_claim(circuits, n) + _blade_way(cabling, n) + _diversity(circuits, n)
        out += _drop_class(circuits, n) + _volts_unknown(circuits, n) + _inrush(circuits, n)
    out += _fed_twice(circuits) + _laid_twice(circuits) + _loose_parts(circuits)
    return out + _untold_links(circuits) + _spare_ways(circuits) + _no_switch(circuits)


def _finding(rule: str, urgency: Urgency, about: str, **values: float | str) -> RuleFinding:
    held: Values = dict(values)
    return RuleFinding(rule, urgency, (about,), held)


def _must(rule: str, n: str, **values: float | str) -> list[RuleFinding]:
    return [_finding(rule, Urgency.MUST, f"circuit:{n}", **values)]


def _lugs(cabling: Cabling) -> list[RuleFinding]:
    """Cables too large for the stud or blade they end on."""
    out = []
    circuits = cabling.circuits
    for cable in cabling.cables:
        if cable.conductor is None:
            continue
        for end in (circuits.feeds[cable.number], circuits.loads[cable.number]):
            most = largest_mm2(end.terminal)
            if cable.conductor.area_mm2 > most + SAME_MM2:
                ends_on = end.terminal.stud or f"{end.terminal.blade or ''} mm blade"
                given = end.terminal.largest_mm2 is not None
                out += _must(
                    "end too small",
                    cable.number,
                    end=f"end:{end.name}",
                    size=cable.conductor.name,
                    most_mm2=most,
                    on="its maker's word" if given else ends_on,
                )
    return out


def _heated(cabling: Cabling) -> list[RuleFinding]:
    """Conductors that a short would heat too far before the fuse's told time is over."""
    out = []
    circuits = cabling.circuits
    for cable in cabling.cables:
        m = circuits.models[cable.number]
        if m.fuse_i2t is None or cable.conductor is None:
            continue
        least = m.fuse_i2t**0.5 / COPPER_K
        if cable.conductor.area_mm2 < least:
            out += _must(
                "short heats", cable.number, least_mm2=least, area_mm2=cable.conductor.area_mm2
            )
    return out


def _mains_claim(circuits: Circuits, n: str) -> list[RuleFinding]:
    """What is called mains ends on mains at both ends: the flag takes it out of every check."""
    ends = (circuits.feeds[n], circuits.loads[n])
    if not circuits.models[n].mains:
        return []
    for end in ends:
        if end.terminal.pole != "mains" and end.kind not in MAINS_KINDS:
            return _must("not mains", n, end=f"end:{end.name}")
    return []


def _draws(circuits: Circuits, n: str) -> list[RuleFinding]:
    """Less current than what it feeds draws by its maker."""
    m, load = circuits.models[n], circuits.loads[n]
    watts = load.type.watts
    if watts is None or m.mains or m.signal or m.link:
        return []
    draws = watts / circuits.volts(n)
    if m.amps >= DRAWS_SHARE * draws:
        return []
    return _must("draws more", n, amp=m.amps, draws_amp=draws, load=f"end:{load.name}")


def _itself(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A circuit from a terminal to itself, or two of one part's like terminals."""
    feed, load = circuits.feeds[n], circuits.loads[n]
    return _must("feeds itself", n, end=f"end:{feed.name}") if feed.name == load.name else []


def _link_claim(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A link joins parts of a board or batteries; a load needs its minus as well."""
    m, load, feed = circuits.models[n], circuits.loads[n], circuits.feeds[n]
    if not m.link:
        return []
    if load.kind in CONSUMERS or feed.kind in CONSUMERS:
        return _must("not a link", n, load=f"end:{load.name}")
    return []


def _blade_way(cabling: Cabling, n: str) -> list[RuleFinding]:
    """More than a blade fuse is made for, through a way of a blade panel."""
    feed = cabling.circuits.feeds[n]
    cable = cabling.by_number()[n]
    asked = max(cable.amps, cable.fuse_amp or 0.0)
    way = feed.kind == "fuse panel" and feed.terminal.blade is not None and not feed.type.breakers
    if not way or cable.signal or cable.mains or asked <= BLADE_WAY_AMP:
        return []
    return _must("blade way", n, amp=asked, most_amp=BLADE_WAY_AMP, place=f"piece:{feed.place}")


def _diversity(circuits: Circuits, n: str) -> list[RuleFinding]:
    """So little of what a feeder feeds said to be on at once that it must be a slip."""
    m = circuits.models[n]
    fed = [k for k, x in circuits.models.items() if not x.link and _fed_by(circuits, k) == n]
    if m.diversity >= LEAST_DIVERSITY or len(fed) < 2:
        return []
    total = sum(circuits.models[k].amps for k in fed)
    return _must("diversity", n, diversity=m.diversity, amp=total, least=LEAST_DIVERSITY)


def _fed_by(circuits: Circuits, n: str) -> str | None:
    """The circuit that feeds one, past the links between."""
    return next((k for k in circuits.above(n) if not circuits.models[k].link), None)


def _volts_unknown(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A load whose type tells no voltage, on more than most gear is made for."""
    load, m = circuits.loads[n], circuits.models[n]
    usual = circuits.volts(n) <= USUAL_VOLT or m.mains or m.signal or m.link
    if usual or load.kind not in CONSUMERS | OTHER or load.type.volts is not None:
        return []
    return _must("volts unknown", n, load=f"end:{load.name}", volts=circuits.volts(n))


def _inrush(circuits: Circuits, n: str) -> list[RuleFinding]:
    """A fuse that its load's first moment may blow."""
    m = circuits.models[n]
    if m.fuse_amp is None or m.inrush_amps is None or m.fuse_amp * INRUSH_TIMES >= m.inrush_amps:
        return []
    return [
        _finding(
            "fuse under inrush",
            Urgency.SHOULD,
            f"circuit:{n}",
            fuse_amp=m.fuse_amp,
            inrush_amp=m.inrush_amps,
            least_amp=m.inrush_amps / INRUSH_TIMES,
        )
    ]


def _drop_class(circuits: Circuits, n: str) -> list[RuleFinding]:
    """More drop asked for than the kind of load may have: it is held to less."""
    own, held = circuits.models[n].drop_percent, circuits.drop_percent(n)
    m = circuits.models[n]
    if own is None or own <= held or m.mains or m.signal or m.starter:
        return []
    kind = circuits.loads[n].kind
    return [_finding("drop class", Urgency.NOTE, f"circuit:{n}", asked=own, held=held, kind=kind)]


def _fed_twice(circuits: Circuits) -> list[RuleFinding]:
    """A load fed from two banks, which joins them through itself."""
    fed: dict[str, list[str]] = {}
    for n, load in circuits.loads.items():
        m = circuits.models[n]
        if load.kind in CONSUMERS | OTHER and not (m.signal or m.mains or m.link):
            fed.setdefault(load.name, []).append(n)
    out: list[RuleFinding] = []
    for name, numbers in fed.items():
        sources = {_source(circuits, n) for n in numbers}
        if len(sources) > 1:
            out += _must(
                "fed twice", numbers[-1], load=f"end:{name}", other=f"circuit:{numbers[0]}"
            )
    return out


def _laid_twice(circuits: Circuits) -> list[RuleFinding]:
    """Two circuits from one terminal to another."""
    first: dict[tuple[str, str], str] = {}
    out = []
    for n in circuits.models:
        ends = (circuits.feeds[n].name, circuits.loads[n].name)
        if ends in first:
            other = f"circuit:{first[ends]}"
            out.append(_finding("laid twice", Urgency.SHOULD, f"circuit:{n}", other=other))
        first.setdefault(ends, n)
    return out


def _source(circuits: Circuits, n: str) -> str:
    """The bank, or else the source, that a circuit hangs on."""
    feed = circuits.feeds[circuits.root(n)]
    return circuits.bank_of(feed.place).batteries[0] if feed.kind == "battery" else feed.place


def _loose_parts(circuits: Circuits) -> list[RuleFinding]:
    """Parts on a board that nothing joins to anything."""
    used = {
        e.place
        for ends in (circuits.feeds, circuits.loads, circuits.returns)
        for e in ends.values()
        if e is not None
    }
    out = []
    for board in circuits.boat.pieces.values():
        if board.is_board:
            kinds = ACTIVE | LINKED if circuits.linked(board) else ACTIVE
            out += [
                _finding("wired to nothing", Urgency.SHOULD, f"piece:{board.key}.{key}")
                for key in _of_kind(board, kinds)
                if f"{board.key}.{key}" not in used
            ]
    return out


def _untold_links(circuits: Circuits) -> list[RuleFinding]:
    """Boards whose links no circuit tells: what was supposed is said."""
    used = {e.piece.key for ends in (circuits.feeds, circuits.loads) for e in ends.values()}
    out = []
    for board in circuits.boat.pieces.values():
        joined = _of_kind(board, LINKED | {"shunt"}) if board.is_board else []
        if board.key in used and len(joined) > 1 and not circuits.linked(board):
            out.append(_finding("links not told", Urgency.NOTE, f"piece:{board.key}"))
    return out


def _spare_ways(circuits: Circuits) -> list[RuleFinding]:
    """How many ways of each panel are free."""
    fed = ways_used(circuits)
    ends = {e.place: e.type for e in circuits.feeds.values()}
    return [
        _finding("spare ways", Urgency.NOTE, f"piece:{place}", ways=ways, spare=ways - count)
        for place, count in fed.items()
        if (ways := ends[place].ways) is not None and ways > count
    ]


def _no_switch(circuits: Circuits) -> list[RuleFinding]:
    """Loads a person turns on and off with neither a switch nor a breaker on their way."""
    mine = []
    for n, load in circuits.loads.items():
        m = circuits.models[n]
        if load.kind not in SWITCHED or m.link or m.signal or m.mains:
            continue
        feeds = [circuits.feeds[k] for k in (n, *circuits.above(n))]
        if not any(f.kind == "switch" or f.type.breakers for f in feeds):
            mine.append(f"circuit:{n}")
    return [RuleFinding("no switch", Urgency.NOTE, tuple(mine), {})] if mine else []


def _of_kind(board: Piece, kinds: frozenset[str]) -> list[str]:
    return [key for key, part in board.parts.items() if part.kind in kinds]
