"""Fuses and what else keeps a circuit safe: where each fuse sits, what it must break, what it guards.

Rules are from 33 CFR 183 subpart I as reprinted, ISO 10133 and ABYC E-11 extracts, each named in the
finding. None of this is a certificate.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import OUTSIDE, Thing
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Weight
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling, own_mm
from routing.circuits.circuits import CHARGERS, End
from routing.sizes.sizing import BUNDLE_VOLT, carries

BARE_MM: Final = 178.0  # 33 CFR 183.455(b)(1): 7 in along the conductor
SHEATHED_MM: Final = 1016.0  # 33 CFR 183.455(b)(2): 40 in in a sheath
BATTERY_SHEATHED_MM: Final = (
    1830.0  # 33 CFR 183.460(a), from memory; ABYC E-11: 72 in from the battery
)
REGULATION_OVER: Final = 1.5  # 33 CFR 183.455(c)(1): up to 150 % of the table under 50 V
STEP_RATIO: Final = (
    1.6  # a fuse this much larger than the next one lets the next one go first: memory
)
LITHIUM_FAULT_AMP: Final = 20_000.0  # where the maker gives no figure: trade default
# ABYC E-11, 12 to 24 V: greatest total cold cranking amps -> breaking current of main and branch devices
CRANKING: Final = ((650.0, 1500.0, 750.0), (1100.0, 3000.0, 1500.0), (float("inf"), 5000.0, 2500.0))
BLADE_BREAKS_AMP: Final = 1000.0  # ISO 8820-3
BLADE_MOST_AMP: Final = 40.0
REACH_MM: Final = 600.0  # usable reach of an arm through an opening: common practice
HAND_MM: Final = 150.0  # least port an arm works through: common practice


@dataclass(frozen=True, slots=True)
class FusePlace:
    """One line of the fuse schedule: what to fit, where, and what it must be able to break."""

    number: str
    label: str
    amp: float | None
    where: str
    along_mm: float
    limit_mm: float
    load_amp: float
    carries_amp: float
    breaks_amp: float
    note: str


def protection(cabling: Cabling) -> tuple[list[FusePlace], list[RuleFinding]]:
    """The fuse schedule and every finding about fuses, isolators, shunts and pumps."""
    places: list[FusePlace] = []
    found: list[RuleFinding] = []
    for c in cabling.cables:
        if c.mains or c.signal or c.conductor is None or c.length is None:
            continue
        feed, load = cabling.circuits.feeds[c.number], cabling.circuits.loads[c.number]
        if feed is None or load is None:
            continue
        if c.starter:
            found += _overload(c, c.carries_amp)
            places.append(
                FusePlace(
                    c.number,
                    c.label,
                    None,
                    "none: a starter feed is exempt",
                    0.0,
                    0.0,
                    c.amps,
                    c.conductor.ampacity_amp,
                    0.0,
                    "keep it short, sheathed and away from metal",
                )
            )
            continue
        place = _place(cabling, c, feed, load, _fault(cabling, c.number))
        places.append(place)
        found += (
            _overload(c, place.carries_amp)
            + _distance(c, place)
            + _rating(c, place)
            + _breaking(cabling, c, place)
        )
    return places, found + _steps(cabling) + _isolators(cabling) + _shunt(cabling) + _pumps(cabling)


def _about(c: Cable) -> str:
    return f"Circuit {c.number}, {c.label}"


def _batteries(cabling: Cabling, number: str) -> list[End]:
    """The batteries a fault on a circuit would draw from: the one it hangs on, and those in parallel with it."""
    circuits = cabling.circuits
    root = number
    while (up := circuits.supply.get(root)) is not None:
        root = up
    first = circuits.feeds[root]
    if (
        first is not None and first.kind in CHARGERS
    ):  # a charger's own cable: the battery it charges is the source
        load = circuits.loads[root]
        root = next(
            (
                n
                for n, e in circuits.loads.items()
                if e is not None
                and load is not None
                and e.thing is load.thing
                and (f := circuits.feeds[n]) is not None
                and f.kind == "battery"
            ),
            root,
        )
        first = circuits.feeds[root]
    found = [first] if first is not None and first.kind == "battery" else []
    board = circuits.loads[root]
    if (
        board is not None and board.thing.kind == "board"
    ):  # every battery with a cable of its own to the same board
        for n, load in circuits.loads.items():
            feed = circuits.feeds[n]
            own = (
                load is not None
                and load.thing is board.thing
                and not circuits.models[n].starter
                and not circuits.models[n].mains
            )
            if (
                own
                and feed is not None
                and feed.kind == "battery"
                and all(e.place != feed.place for e in found)
            ):
                found.append(feed)
    grown = True
    while grown:
        grown = False
        for n, load in circuits.loads.items():
            feed = circuits.feeds[n]
            if feed is None or load is None or feed.kind != "battery" or load.kind != "battery":
                continue
            mine = {e.place for e in found}
            for this, other in ((feed, load), (load, feed)):
                if this.place in mine and other.place not in mine:
                    found.append(other)
                    grown = True
    return found


def _fault(cabling: Cabling, number: str) -> tuple[float, float, str]:
    """(breaking current for main devices, for branch devices, why) for the batteries behind a circuit."""
    cranking, other, words = 0.0, 0.0, []
    for e in _batteries(cabling, number):
        if e.item.fault_amps is not None:
            other += e.item.fault_amps
            words.append(f"{e.thing.label}: {e.item.fault_amps / 1000:g} kA as its maker says")
        elif e.item.lithium:
            other += LITHIUM_FAULT_AMP
            words.append(f"{e.thing.label}: lithium, no figure given, 20 kA taken")
        else:
            cranking += e.item.cranking_amps or 650.0
    main, branch = next((m, b) for most, m, b in CRANKING if cranking <= most)
    if not cranking:
        main = branch = 0.0
    else:
        words.append(f"{cranking:.0f} A cold cranking in all")
    return main + other, branch + other, "; ".join(words)


def _place(
    cabling: Cabling, c: Cable, feed: End, load: End, fault: tuple[float, float, str]
) -> FusePlace:
    """Where the circuit's fuse sits and how far along the cable from its source that is."""
    model = cabling.circuits.models[c.number]
    at_battery = feed.kind == "battery"
    limit = BARE_MM if not model.sheathed else (BATTERY_SHEATHED_MM if at_battery else SHEATHED_MM)
    if model.fuse_at is not None:
        along, where = (
            own_mm(model.fuse_at, f"circuits.{c.number}.fuse_at"),
            f"in the cable, from {feed.name.partition('.')[0]}",
        )
    elif at_battery and load.kind == "fuse":
        along, where = c.length.cut_mm if c.length else 0.0, f"{load.place} at the far end"
    elif feed.kind in ("fuse panel", "fuse", "switch"):
        along, where = 0.0, f"a way of {feed.place}"
    elif feed.kind in CHARGERS:
        along, where = 0.0, f"at {load.place}, the battery end"
    else:
        along, where = 0.0, f"to fit at {feed.place}, within {limit:.0f} mm along the cable"
    hot = c.hot
    bundled = c.bundled if c.volts >= BUNDLE_VOLT or cabling.circuits.files.job.job.bundling else 0
    carried = carries(c.conductor, hot, bundled) if c.conductor else 0.0
    note = "" if feed.kind not in CHARGERS else "a charger's output is guarded at the battery end"
    return FusePlace(
        c.number,
        c.label,
        c.fuse_amp,
        where,
        along,
        limit,
        c.amps,
        carried,
        fault[0] if at_battery else fault[1],
        note,
    )


def _distance(c: Cable, p: FusePlace) -> list[RuleFinding]:
    if p.along_mm <= p.limit_mm + 1e-6:
        return []
    source = "33 CFR 183.455(b), 183.460; ABYC E-11"
    sheath = (
        ""
        if p.limit_mm != BARE_MM or p.along_mm > BATTERY_SHEATHED_MM
        else f", or sheath the cable all the way (then {BATTERY_SHEATHED_MM / 1000:.2f} m from a battery)"
    )
    return [
        RuleFinding(
            Weight.MUST,
            _about(c),
            "a fuse near each source, measured along the cable",
            source,
            f"the fuse is {p.along_mm:.0f} mm along it ({p.where})",
            f"{p.limit_mm:.0f} mm",
            f"Put a fuse on the battery's post or within {p.limit_mm:.0f} mm of it{sheath}",
        )
    ]


def _overload(c: Cable, carries_amp: float) -> list[RuleFinding]:
    """More current than the size carries where it lies."""
    if c.amps <= carries_amp + 1e-9:
        return []
    remedy = (
        f"Take {c.up.conductor.name} or larger, or share the load over two cables"
        if c.up
        else "Share the load over two cables"
    )
    return [
        RuleFinding(
            Weight.MUST,
            _about(c),
            "a cable that carries its load",
            "33 CFR 183.425 table 5",
            f"{c.amps:g} A load, {carries_amp:.0f} A cable",
            f"{c.amps:g} A",
            remedy,
        )
    ]


def _rating(c: Cable, p: FusePlace) -> list[RuleFinding]:
    if p.amp is None:
        up = (
            "take a larger cable, or share the load over two"
            if c.up
            else "share the load over two cables"
        )
        return [
            RuleFinding(
                Weight.MUST,
                _about(c),
                "a fuse between the load and what the cable carries",
                "33 CFR 183.455(c)",
                f"no standard fuse between {c.amps:g} A and {p.carries_amp:.0f} A",
                "one",
                up[0].upper() + up[1:],
            )
        ]
    out = []
    if p.amp < c.amps:
        out.append(
            RuleFinding(
                Weight.MUST,
                _about(c),
                "a fuse not below its load",
                "common practice",
                f"{p.amp:g} A fuse, {c.amps:g} A load",
                f"{c.amps:g} A or more",
                "Take the next size of fuse up",
            )
        )
    if p.amp > p.carries_amp + 1e-9:
        worst = p.amp > REGULATION_OVER * p.carries_amp
        out.append(
            RuleFinding(
                Weight.MUST if worst else Weight.SHOULD,
                _about(c),
                "a fuse no larger than the cable carries",
                "33 CFR 183.425 table 5; 183.455(c)(1) allows 150 % of it under 50 V",
                f"{p.amp:g} A fuse, {p.carries_amp:.0f} A cable",
                f"{p.carries_amp:.0f} A",
                f"Fit a smaller fuse, or {c.up.conductor.name if c.up else 'a second cable'}",
            )
        )
    return out


def _breaking(cabling: Cabling, c: Cable, p: FusePlace) -> list[RuleFinding]:
    """Can the device break the current a dead short would draw where it sits?"""
    model, feed, load = (
        cabling.circuits.models[c.number],
        cabling.circuits.feeds[c.number],
        cabling.circuits.loads[c.number],
    )
    if feed is None or load is None:
        return []
    known = model.fuse_interrupts_amps
    if known is None and load.kind == "fuse" and feed.kind == "battery":
        known = load.item.interrupts_amps
    if known is None and feed.kind in ("fuse panel", "fuse", "switch"):
        known = feed.item.interrupts_amps or (
            BLADE_BREAKS_AMP if p.amp is not None and p.amp <= BLADE_MOST_AMP else None
        )
    needed = _at_place(cabling, p.breaks_amp, c)
    if known is None:
        if feed.kind == "battery" or p.breaks_amp > 5000:
            return [
                RuleFinding(
                    Weight.SHOULD,
                    _about(c),
                    "a device that can break the battery's fault current",
                    "ABYC E-11; " + _fault(cabling, c.number)[2],
                    "breaking current of the fuse not given",
                    f"{needed / 1000:.1f} kA",
                    f"Buy a fuse class that breaks {needed / 1000:.1f} kA and write it in as fuse_interrupts_amps of the circuit",
                )
            ]
        return []
    if known + 1e-9 < needed:
        return [
            RuleFinding(
                Weight.MUST,
                _about(c),
                "a device that can break the battery's fault current",
                "ABYC E-11; " + _fault(cabling, c.number)[2],
                f"its fuse breaks {known / 1000:g} kA",
                f"{needed / 1000:.1f} kA",
                "Take a fuse class that breaks more, or put such a fuse before it that limits the current",
            )
        ]
    return []


def _at_place(cabling: Cabling, fault_amp: float, c: Cable) -> float:
    """The fault current left where a circuit is fed: the cables before it stand in its way."""
    ohm, n = 0.0, cabling.circuits.supply.get(c.number)
    by_number = {k.number: k for k in cabling.cables}
    while n is not None:
        k = by_number[n]
        if k.conductor is not None and k.length is not None and k.back_length is not None:
            ohm += k.conductor.ohm(k.length.cut_mm + k.back_length.cut_mm, 20.0)
        n = cabling.circuits.supply.get(n)
    if fault_amp <= 0:
        return 0.0
    return c.volts / (c.volts / fault_amp + ohm)


def _steps(cabling: Cabling) -> list[RuleFinding]:
    """Discrimination: the fuse nearest the fault goes first."""
    by_number = {k.number: k for k in cabling.cables}
    out = []
    for c in cabling.cables:
        up = cabling.circuits.supply.get(c.number)
        if (
            up is None
            or c.fuse_amp is None
            or by_number[up].fuse_amp is None
            or by_number[up].starter
        ):
            continue
        above = by_number[up].fuse_amp or 0.0
        if above < STEP_RATIO * c.fuse_amp - 1e-9:
            out.append(
                RuleFinding(
                    Weight.SHOULD,
                    _about(c),
                    "the fuse nearest the fault goes first",
                    "common practice, from memory: about 1.6 to 1",
                    f"{c.fuse_amp:g} A behind {above:g} A of circuit {up}",
                    f"{STEP_RATIO * c.fuse_amp:.0f} A before it",
                    f"Feed it from the bus beside circuit {up}, or fit a smaller fuse",
                )
            )
    return out


def _isolators(cabling: Cabling) -> list[RuleFinding]:
    """An isolator for each battery that feeds more than a starter, in reach with lids open and nothing moved."""
    boat = cabling.circuits.boat
    out = []
    spots: list[tuple[str, Thing, Array]] = []
    for t in boat.things.values():
        for part, kind in t.parts.items():
            if kind == "isolator":
                low, high = t.extent(part)
                spots.append((f"{t.label}, {part}", t, (low + high) / 2))
        if t.kind == "isolator":
            spots.append((t.label, t, t.rest.at_mm))
    feeds = [
        e
        for n, e in cabling.circuits.feeds.items()
        if e is not None and e.kind == "battery" and not cabling.circuits.models[n].bypass
    ]
    if feeds and not spots:
        out.append(
            RuleFinding(
                Weight.MUST,
                "The batteries",
                "an isolator for each battery bank, close to it",
                "ISO 10133; ABYC E-11",
                "no isolator in the job",
                "one in reach",
                "Put an isolator on the battery board",
            )
        )
    for label, t, at in spots:
        reach, what = _reach(cabling, t, at)
        if reach > REACH_MM:
            out.append(
                RuleFinding(
                    Weight.MUST,
                    label,
                    "an isolator reached without moving anything",
                    "ISO 10133; reach of an arm: common practice",
                    f"{reach:.0f} mm from the edge of {what}"
                    if what
                    else "no opening to reach it by",
                    f"{REACH_MM:.0f} mm",
                    "Move it nearer the opening, or fit a remote isolator there",
                )
            )
    return out


def _reach(cabling: Cabling, t: Thing, at: Array) -> tuple[float, str]:
    """(distance from the nearest opening an arm goes through, its label); 0 in a space one stands in."""
    boat = cabling.circuits.boat
    if t.space == OUTSIDE or boat.spaces[t.space].site == "open":
        return 0.0, ""
    best, what = float("inf"), ""
    for o in boat.openings.values():
        if t.space not in (o.inner, o.outer) or float(o.size.min()) < HAND_MM:
            continue
        u, v = o.others
        nearest = o.centre.copy()
        nearest[u] = np.clip(at[u], o.centre[u] - o.size[0] / 2, o.centre[u] + o.size[0] / 2)
        nearest[v] = np.clip(at[v], o.centre[v] - o.size[1] / 2, o.centre[v] + o.size[1] / 2)
        d = float(np.linalg.norm(at - nearest))
        if d < best:
            best, what = d, o.label
    return best, what


def _shunt(cabling: Cabling) -> list[RuleFinding]:
    """With a shunt in the boat, every return goes to its load side."""
    boat = cabling.circuits.boat
    if not any("shunt" in (t.kind, *t.parts.values()) for t in boat.things.values()):
        return []
    out = []
    for n, e in cabling.circuits.returns.items():
        if e is not None and (
            e.kind == "battery" or (e.kind == "shunt" and e.name.endswith(".battery"))
        ):
            feed = cabling.circuits.feeds[n]
            if (
                feed is not None
                and feed.kind == "battery"
                and (load := cabling.circuits.loads[n]) is not None
                and load.thing.kind == "board"
            ):
                continue  # the battery's own main cable
            out.append(
                RuleFinding(
                    Weight.MUST,
                    f"Circuit {n}, {cabling.circuits.models[n].label}",
                    "every return on the load side of the shunt",
                    "shunt makers' manuals; common practice",
                    f"returns to {e.name}, the battery's side",
                    "the minus bus after the shunt",
                    "Return it to the minus bus, else the shunt never sees its current",
                )
            )
    return out


def _pumps(cabling: Cabling) -> list[RuleFinding]:
    """A bilge pump that goes dead with the isolator."""
    boat = cabling.circuits.boat
    out = []
    for n, load in cabling.circuits.loads.items():
        feed, model = cabling.circuits.feeds[n], cabling.circuits.models[n]
        if (
            load is None
            or feed is None
            or load.kind != "pump"
            or model.bypass
            or feed.kind == "battery"
        ):
            continue
        boards = {feed.thing.name}
        up = cabling.circuits.supply.get(n)
        while up is not None:
            f = cabling.circuits.feeds[up]
            boards |= {f.thing.name} if f is not None else set()
            up = cabling.circuits.supply.get(up)
        if any(
            "isolator" in (boat.things[b].kind, *boat.things[b].parts.values())
            for b in boards
            if b in boat.things
        ):
            out.append(
                RuleFinding(
                    Weight.SHOULD,
                    f"Circuit {n}, {model.label}",
                    "a bilge pump that works with the isolator off",
                    "ABYC E-11 and ISO 10133 allow the bypass; common practice",
                    f"fed from {feed.place}, behind the isolator",
                    "a feed from the battery side with a fuse of its own",
                    "Take it from the battery side of the isolator and set bypass = true",
                )
            )
    return out
