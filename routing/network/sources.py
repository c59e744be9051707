"""Batteries, banks and chargers: what may stand beside what, what charges what, and how fast.

Terms and figures are common practice of the trade; where a maker's word decides it is asked for.
"""

from dataclasses import dataclass
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.banks import Bank
from routing.circuits.circuits import CHARGERS, Circuits, End

LEAD_CHARGE_SHARE: Final = 0.25  # of a lead-acid battery's Ah, A: common practice, 20 to 25 %
LEAD_LOSS: Final = 1.2  # charge put back for each Ah taken, lead-acid: memory
LITHIUM_LOSS: Final = 1.05  # memory
LEAD_USABLE: Final = 0.5  # of a lead-acid bank between charges: common practice
LITHIUM_USABLE: Final = 0.8  # memory
ENGINE: Final = "engine"
ALTERNATOR_MOST: Final = 1.2  # of its rated output at 60 degC: 33 CFR 183.460(b), from memory
CONVERTER_SHARE: Final = 0.9  # of its input that a converter gives: memory, 85 to 95 %
SAME_VOLTS: Final = 0.2  # a 12.8 V battery and a 12 V charger are of one class: memory


@dataclass(frozen=True, slots=True)
class BankReport:
    """A bank as it is wired: what it holds, gives, is charged with and is drawn of in a day.

    `charge_hours` is the time to put back what it gives; None where nothing charges it.
    """

    key: str
    batteries: tuple[str, ...]
    volts: float
    amp_hour: float
    usable_amp_hour: float
    lithium: bool
    charge_amp: float
    takes_amp: float
    charge_hours: float | None
    day_amp_hour: float


def ends_by_place(circuits: Circuits) -> dict[str, End]:
    """One end for each place any circuit touches."""
    out: dict[str, End] = {}
    for ends in (circuits.feeds, circuits.loads, circuits.returns):
        for e in ends.values():
            if e is not None:
                out.setdefault(e.place, e)
    return out


def banks_in_use(circuits: Circuits) -> list[Bank]:
    """Every bank some circuit touches, and every battery that is one by itself."""
    ends = ends_by_place(circuits)
    found = [circuits.bank_of(e.place) for e in ends.values() if e.kind == "battery"]
    named = [b for b in circuits.banks if b not in found]
    return list(dict.fromkeys([*found, *named]))


def source_rules(circuits: Circuits) -> list[RuleFinding]:
    """Findings about batteries, banks and what charges them."""
    out: list[RuleFinding] = []
    for bank in circuits.banks:
        out += _unlike(circuits, bank) + _unjoined(circuits, bank) + _each_fused(circuits, bank)
    for n, feed in circuits.feeds.items():
        out += _tap(circuits, n, feed)
    out += _joined_by_a_bus(circuits) + _joined_straight(circuits)
    return (
        out
        + _lithium(circuits)
        + _converters(circuits)
        + _charged_wrong(circuits)
        + _alternators(circuits)
    )


def _must(rule: str, about: str, **values: float | str | tuple[str, ...]) -> RuleFinding:
    held: Values = dict(values)
    return RuleFinding(rule, Urgency.MUST, (about,), held)


def _types(circuits: Circuits, bank: Bank) -> list[str]:
    pieces = circuits.boat.pieces
    return [pieces[b].type for b in bank.batteries if b in pieces]


def _unlike(circuits: Circuits, bank: Bank) -> list[RuleFinding]:
    """Batteries of one bank that are not alike."""
    kinds = [circuits.files.types[t] for t in _types(circuits, bank)]
    chemistry = {k.lithium for k in kinds}
    sizes = {(k.volts, k.amp_hours) for k in kinds}
    if len(chemistry) > 1 or len(sizes) > 1:
        what = "chemistry" if len(chemistry) > 1 else "size"
        return [_must("bank unlike", f"bank:{bank.key}", what=what)]
    return []


def _each_fused(circuits: Circuits, bank: Bank) -> list[RuleFinding]:
    """Strings side by side, each a source into a short of the others, without a fuse each.

    46 CFR 111.15-25 asks an overload device for each battery; the small-boat rules leave it open.
    """
    kinds = [circuits.files.types[t] for t in _types(circuits, bank)]
    several = len(bank.strings) > (1 if any(k.lithium for k in kinds) else 2)
    joins = [
        n
        for n, m in circuits.models.items()
        if m.link
        and circuits.feeds[n].place in bank.batteries
        and circuits.loads[n].place in bank.batteries
        and circuits.feeds[n].terminal.pole == circuits.loads[n].terminal.pole == "plus"
        and circuits.boat.lengths[n].fuse_at is None
    ]
    if not several or not joins:
        return []
    values: Values = {"strings": float(len(bank.strings))}
    return [RuleFinding("fuse each battery", Urgency.SHOULD, (f"bank:{bank.key}",), values)]


def _unjoined(circuits: Circuits, bank: Bank) -> list[RuleFinding]:
    """Links a bank needs and no circuit is."""
    ends = [(circuits.feeds[n], circuits.loads[n]) for n, m in circuits.models.items() if m.link]
    joined = {frozenset({(e.place, e.terminal.pole) for e in pair}) for pair in ends}
    missing = []
    for s in bank.strings:
        for a, b in zip(s, s[1:], strict=False):
            if frozenset({(a, "plus"), (b, "minus")}) not in joined:
                missing.append(f"{a}.plus to {b}.minus")
    for one, two in zip(bank.strings, bank.strings[1:], strict=False):
        for k, pole in ((-1, "plus"), (0, "minus")):
            if frozenset({(one[k], pole), (two[k], pole)}) not in joined:
                missing.append(f"{one[k]}.{pole} to {two[k]}.{pole}")
    if not missing:
        return []
    return [_must("bank not joined", f"bank:{bank.key}", links=tuple(missing))]


def _tap(circuits: Circuits, n: str, feed: End) -> list[RuleFinding]:
    """A circuit taken from inside a string rather than from the bank's ends."""
    m, back = circuits.models[n], circuits.returns[n]
    if m.link or m.mains or m.signal:
        return []
    charged = circuits.loads[n] if feed.kind in CHARGERS else None
    for end, which in ((feed, -1), (back, 0), (charged, -1)):
        if end is None or end.kind != "battery":
            continue
        strings = circuits.bank_of(end.place).strings
        if end.place not in {s[which] for s in strings}:
            return [_must("taps a string", f"circuit:{n}", end=f"end:{end.name}")]
    return []


def _joined_by_a_bus(circuits: Circuits) -> list[RuleFinding]:
    """Batteries of different banks that end on the same copper."""
    fed: dict[str, dict[str, End]] = {}
    for n, feed in circuits.feeds.items():
        m, load = circuits.models[n], circuits.loads[n]
        loose = m.starter or m.mains or m.signal or load.kind in {"battery", *CHARGERS}
        if feed.kind != "battery" or loose or feed.terminal.pole != "plus":
            continue
        fed.setdefault(load.name, {})[circuits.bank_of(feed.place).batteries[0]] = feed
    out = []
    for where, banks in fed.items():
        ends = list(banks.values())
        if len(ends) < 2:
            continue
        names = tuple(f"piece:{e.place}" for e in ends)
        mixed = len({e.type.lithium for e in ends}) > 1
        rule, urgency = (
            ("mixed by a bus", Urgency.MUST) if mixed else ("banks joined", Urgency.SHOULD)
        )
        values: Values = {"end": f"end:{where}", "batteries": names}
        out.append(RuleFinding(rule, urgency, names[:1], values))
    return out


def _joined_straight(circuits: Circuits) -> list[RuleFinding]:
    """A cable that joins two banks for good."""
    out = []
    for n, feed in circuits.feeds.items():
        load = circuits.loads[n]
        both = feed.kind == load.kind == "battery" and feed.terminal.pole == load.terminal.pole
        if both and circuits.bank_of(feed.place) != circuits.bank_of(load.place):
            names = (f"piece:{feed.place}", f"piece:{load.place}")
            values: Values = {"end": f"end:{load.name}", "batteries": names}
            out.append(RuleFinding("banks joined", Urgency.SHOULD, (f"circuit:{n}",), values))
    return out


def _alternators(circuits: Circuits) -> list[RuleFinding]:
    """An alternator that may give more than its fuse is to let by: 33 CFR 183.460(b)."""
    out = []
    for n, feed in circuits.feeds.items():
        rated, m = feed.type.charge_amps, circuits.models[n]
        if feed.kind != "alternator" or feed.type.self_limiting:
            continue
        if rated is None:
            values: Values = {"share": ALTERNATOR_MOST}
            out.append(RuleFinding("alternator unknown", Urgency.SHOULD, (f"circuit:{n}",), values))
        elif m.fuse_amp is None or m.fuse_amp > ALTERNATOR_MOST * rated:
            fuse = m.fuse_amp or 0.0
            most = ALTERNATOR_MOST * rated
            out.append(_must("alternator fuse", f"circuit:{n}", fuse_amp=fuse, most_amp=most))
    return out


def _charged_wrong(circuits: Circuits) -> list[RuleFinding]:
    """A solar panel without its regulator; a charger that feeds a panel of fuses."""
    out = []
    for n, feed in circuits.feeds.items():
        load, m = circuits.loads[n], circuits.models[n]
        if m.mains or m.signal:
            continue
        if feed.kind == "solar panel" and load.kind not in ("charger", "converter"):
            out.append(_must("no regulator", f"circuit:{n}", load=f"end:{load.name}"))
        elif feed.kind in CHARGERS and load.kind == "fuse panel":
            out.append(_must("charges a panel", f"circuit:{n}", load=f"end:{load.name}"))
    return out


def _lithium(circuits: Circuits) -> list[RuleFinding]:
    """Lithium in an engine space, without management, or charged by what may not suit it."""
    out = []
    spaces = circuits.boat.spaces
    for p in circuits.boat.pieces.values():
        kind = circuits.files.types.get(p.type)
        if kind is None or not kind.lithium:
            continue
        about = f"piece:{p.key}"
        if p.space in spaces and spaces[p.space].site == ENGINE:
            out.append(_must("lithium in heat", about))
        if not kind.management:
            out.append(_must("lithium unmanaged", about))
    for n, end in _charging(circuits).items():
        battery = circuits.loads[n]
        if battery.kind != "battery" or not battery.type.lithium or end.type.suits_lithium:
            continue
        refused = end.type.suits_lithium is False
        urgency = Urgency.MUST if refused else Urgency.SHOULD
        values: Values = {"charger": f"piece:{end.place}", "known": "no" if refused else ""}
        out.append(RuleFinding("lithium charger", urgency, (f"circuit:{n}",), values))
    return out


def _charging(circuits: Circuits) -> dict[str, End]:
    """Circuits that hang on a charger or converter, with its end."""
    roots = {n: circuits.feeds[circuits.root(n)] for n in circuits.models}
    return {n: e for n, e in roots.items() if e.kind in CHARGERS}


def _converters(circuits: Circuits) -> list[RuleFinding]:
    """Converters fed or feeding at another voltage, or fed by nothing; batteries charged too
    fast.
    """
    out: list[RuleFinding] = []
    for n, end in circuits.loads.items():
        own = end.type.volts_in
        if end.kind in CHARGERS and own is not None and own != circuits.volts(n):
            volts = {"end_volts": own, "said_volts": circuits.volts(n)}
            out.append(_must("other voltage", f"circuit:{n}", end=f"end:{end.name}", **volts))
    for end in {e.place: e for e in _charging(circuits).values()}.values():
        out += _balance(circuits, end)
    fed = {e.place for n, e in circuits.loads.items() if not circuits.models[n].signal}
    for n, end in _charging(circuits).items():
        m = circuits.models[n]
        if m.mains or m.signal:
            continue
        load, said = circuits.loads[n], circuits.volts(n)
        gives = end.type.volts
        wants = circuits.bank_volts(load) if load.kind == "battery" else None
        for own, who in ((gives, end), (wants, load)):
            if own is not None and abs(own - said) > SAME_VOLTS * said:
                volts = {"end_volts": own, "said_volts": said}
                out.append(_must("other voltage", f"circuit:{n}", end=f"end:{who.name}", **volts))
        if end.kind == "converter" and end.place not in fed:
            out.append(_must("fed by nothing", f"piece:{end.place}"))
        takes = takes_amp(circuits, circuits.bank_of(load.place)) if wants is not None else None
        gives_amp = end.type.charge_amps or m.amps
        if takes is not None and gives_amp > takes + 1e-9:
            values: Values = {
                "amp": gives_amp,
                "takes_amp": takes,
                "battery": f"piece:{load.place}",
            }
            out.append(RuleFinding("charges too fast", Urgency.SHOULD, (f"circuit:{n}",), values))
    return out


def _balance(circuits: Circuits, end: End) -> list[RuleFinding]:
    """A converter that is to give more power than it is fed."""
    if end.kind != "converter":
        return []
    gives, takes = (
        sum(
            circuits.models[n].amps * circuits.volts(n)
            for n, e in ends.items()
            if e.place == end.place
        )
        for ends in (circuits.feeds, circuits.loads)
    )
    if takes == 0 or gives <= takes * CONVERTER_SHARE + 1e-9:
        return []
    about = f"piece:{end.place}"
    return [
        _must("converter power", about, gives_watt=gives, takes_watt=takes, share=CONVERTER_SHARE)
    ]


def takes_amp(circuits: Circuits, bank: Bank) -> float | None:
    """The most current a bank takes; None where its capacity is not told."""
    kinds = [circuits.files.types[t] for t in _types(circuits, bank)]
    if not kinds or kinds[0].amp_hours is None:
        return None
    told = kinds[0].charge_amps
    each = told if told is not None else LEAD_CHARGE_SHARE * kinds[0].amp_hours
    if told is None and kinds[0].lithium:
        return None  # its maker's figure is wanted: none is guessed
    return each * len(bank.strings)


def bank_reports(circuits: Circuits, day: dict[str, float]) -> list[BankReport]:
    """Every bank with what it holds and takes; `day` is what is drawn in a day, by circuit."""
    out = []
    for bank in banks_in_use(circuits):
        kinds = [circuits.files.types[t] for t in _types(circuits, bank)]
        if not kinds:
            continue
        k = kinds[0]
        amp_hour = (k.amp_hours or 0.0) * len(bank.strings)
        usable = amp_hour * (LITHIUM_USABLE if k.lithium else LEAD_USABLE)
        charge = sum(
            e.type.charge_amps or circuits.models[n].amps
            for n, e in _charging(circuits).items()
            if circuits.loads[n].place in bank.batteries
        )
        takes = takes_amp(circuits, bank)
        amp = min(charge, takes) if takes is not None else charge
        loss = LITHIUM_LOSS if k.lithium else LEAD_LOSS
        model = circuits.files.job.banks.get(bank.key)
        standby = 24.0 * (model.standby_amps if model is not None else 0.0)
        drawn = standby + sum(
            ah for n, ah in day.items() if circuits.feeds[circuits.root(n)].place in bank.batteries
        )
        out.append(
            BankReport(
                bank.key or bank.batteries[0],
                bank.batteries,
                (k.volts or 0.0) * bank.in_series,
                amp_hour,
                usable,
                k.lithium,
                charge,
                takes or 0.0,
                loss * usable / amp if amp > 0 else None,
                drawn,
            )
        )
    return out
