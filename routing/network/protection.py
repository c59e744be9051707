"""Fuses: where each sits, what it must be able to stop, and what it guards.

Rules are from 33 CFR 183 subpart I as reprinted, ISO 10133 and ABYC E-11 extracts, each named with
its words. None of this is a certificate.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import CHARGERS, End
from routing.network.guards import guard_rules

BARE_MM: Final = 178.0  # 33 CFR 183.455(b)(1): 7 in along the conductor
SHEATHED_MM: Final = 1016.0  # 33 CFR 183.455(b)(2): 40 in in a sheath
# 33 CFR 183.460(a), from memory; ABYC E-11: 72 in from the battery
BATTERY_SHEATHED_MM: Final = 1830.0
CHARGED_SHARE: Final = 1.2  # a 12 V battery on charge stands at 14.4 V: common practice
REGULATION_OVER: Final = 1.5  # 33 CFR 183.455(c)(1): up to 150 % of the table under 50 V
STEP_RATIO: Final = 1.6  # a fuse this much larger than the next lets the next go first: memory
LITHIUM_FAULT_AMP: Final = 20_000.0  # where the maker gives no figure: trade default
UNKNOWN_CRANKING_AMP: Final = float("inf")  # where none is given: the largest class of the table
BLADE_MOST_VOLT: Final = 32.0  # ISO 8820-3: blade fuses are rated 32 V
# ABYC E-11, 12 to 24 V: most cold cranking amps in all -> interrupting rating of main and branch
CRANKING: Final = (
    (650.0, 1500.0, 750.0),
    (1100.0, 3000.0, 1500.0),
    (float("inf"), 5000.0, 2500.0),
)
BLADE_STOPS_AMP: Final = 1000.0  # ISO 8820-3
BLADE_MOST_AMP: Final = 40.0


class FuseAt(StrEnum):
    """Where a circuit's fuse sits."""

    STARTER = "starter"  # none: a starter feed is exempt
    IN_CABLE = "in cable"  # `place` is what it is measured from
    FAR_END = "far end"
    FUSE_WAY = "fuse way"  # a way of a panel or fuse
    BATTERY_END = "battery end"  # of a charger's cable
    TO_FIT = "to fit"


IN_GEAR: Final = (FuseAt.FUSE_WAY, FuseAt.FAR_END)  # bought with it where they are breakers


@dataclass(frozen=True, slots=True)
class Fault:
    """The fault current behind a circuit: what main and branch devices must be able to stop."""

    main_amp: float
    branch_amp: float
    cranking_amp: float
    batteries: tuple[tuple[str, float, str], ...]  # key, amp, "maker", "lithium" or "resistance"

    def values(self) -> Values:
        """What it rests on, for a finding."""
        known = self.cranking_amp < UNKNOWN_CRANKING_AMP
        return {
            "cranking_amp": self.cranking_amp if known else 0.0,
            "cranking": "" if known else "unknown",
            "batteries": tuple(f"piece:{k}|{amp:g}|{how}" for k, amp, how in self.batteries),
        }


@dataclass(frozen=True, slots=True)
class FusePlace:
    """One line of the fuse schedule: what to fit, where, and what it must be able to stop."""

    number: str
    amp: float | None
    at: FuseAt
    place: str
    along_mm: float
    limit_mm: float
    load_amp: float
    carries_amp: float
    stops_amp: float
    breaker: bool = False


def protection(cabling: Cabling) -> tuple[list[FusePlace], list[RuleFinding]]:
    """The fuse schedule and every finding about fuses, isolators, shunts and pumps."""
    places: list[FusePlace] = []
    found: list[RuleFinding] = []
    schedule = _Schedule(cabling)
    for cable in cabling.cables:
        if cable.mains or cable.signal or cable.conductor is None or cable.length is None:
            continue
        if cable.link and (guard := schedule.guard_amp(cable)) is not None:
            found += _overload(cable) + _guarded(cable, guard)
            continue
        place = schedule.place(cable)
        places.append(place)
        found += _overload(cable)
        if not cable.starter:
            found += (
                _distance(cable, place) + _rating(cable, place) + schedule.stopping(cable, place)
            )
            found += _device_volts(cable, place, cabling.circuits.feeds[cable.number])
    return places, found + _steps(cabling) + guard_rules(cabling)


def _about(cable: Cable) -> tuple[str, ...]:
    return (f"circuit:{cable.number}",)


class _Schedule:
    """Places fuses and finds what is behind them."""

    def __init__(self, cabling: Cabling) -> None:
        self.circuits = cabling.circuits
        self.cables = cabling.by_number()

    # -- what is behind a circuit ------------------------------------------------------------------

    def _batteries(self, n: str) -> list[End]:
        """The batteries a fault would draw from: the one it hangs on, and those beside it."""
        circuits = self.circuits
        root = circuits.root(n)
        first = circuits.feeds[root]
        if circuits.loads[root].kind == "battery" and first.kind in CHARGERS:
            return self._in_parallel({circuits.loads[root].place: circuits.loads[root]})
        if first.kind in CHARGERS:  # a charger's own cable: the battery it charges is the source
            board = circuits.loads[root].piece
            root = next(
                (
                    number
                    for number, e in circuits.loads.items()
                    if e.piece is board and circuits.feeds[number].kind == "battery"
                ),
                root,
            )
            first = circuits.feeds[root]
        found = [first] if first.kind == "battery" else []
        board = circuits.loads[root].piece
        if board.is_board:  # every battery with a cable of its own to the same board
            for m, load in circuits.loads.items():
                c = circuits.models[m]
                if load.piece is board and not c.starter and not c.mains:
                    found.append(circuits.feeds[m])
        found = [e for e in found if e.kind == "battery"]
        return self._in_parallel({e.place: e for e in found})

    def _in_parallel(self, found: dict[str, End]) -> list[End]:
        """Those and every battery a cable of its own joins to one of them."""
        grown = True
        while grown:
            grown = False
            for number, load in self.circuits.loads.items():
                feed = self.circuits.feeds[number]
                if feed.kind != "battery" or load.kind != "battery":
                    continue
                if feed.terminal.pole != load.terminal.pole:
                    continue  # in series: the same current flows through both
                for this, other in ((feed, load), (load, feed)):
                    if this.place in found and other.place not in found:
                        found[other.place] = other
                        grown = True
        return list(found.values())

    def fault(self, n: str) -> Fault:
        """The fault current of the batteries behind a circuit."""
        cranking, other, known = 0.0, 0.0, []
        for e in self._batteries(n):
            t = e.type
            if t.fault_amps is not None:
                known.append((e.piece.key, t.fault_amps, "maker"))
            elif t.milliohm is not None and t.volts is not None:
                known.append((e.piece.key, 1000.0 * t.volts / t.milliohm, "resistance"))
            elif t.lithium:
                known.append((e.piece.key, LITHIUM_FAULT_AMP, "lithium"))
            else:
                cranking += t.cranking_amps or UNKNOWN_CRANKING_AMP
        other = sum(amp for _, amp, _ in known)
        main, branch = next((m, b) for most, m, b in CRANKING if cranking <= most)
        if not cranking:
            main = branch = 0.0
        return Fault(main + other, branch + other, cranking, tuple(known))

    def guard_amp(self, link: Cable) -> float | None:
        """The fuse before a link; 0 for one that carries no current of a source, None where a
        fuse is yet to be placed.
        """
        c = self.circuits
        feed, load = c.feeds[link.number], c.loads[link.number]
        found = [self.cables[n].fuse_amp for n in c.guards_of_link(link.number)]
        fuses = [a for a in found if a is not None]
        between = feed.kind == load.kind == "battery"
        free = feed.terminal.pole == "minus" or between or feed.kind in CHARGERS
        return max(fuses) if fuses else (0.0 if free else None)

    # -- where the fuse sits -----------------------------------------------------------------------

    def place(self, cable: Cable) -> FusePlace:
        """Where a circuit's fuse sits and how far along the cable from its source that is."""
        feed, load = self.circuits.feeds[cable.number], self.circuits.loads[cable.number]
        if cable.starter:
            return FusePlace(
                cable.number, None, FuseAt.STARTER, "", 0.0, 0.0, cable.amps, cable.carries_amp, 0.0
            )
        at_battery = feed.kind == "battery"
        limit = BARE_MM
        if self.circuits.models[cable.number].sheathed:
            limit = BATTERY_SHEATHED_MM if at_battery else SHEATHED_MM
        at, place, along = self._where(cable, feed, load)
        amp = self._link_amp(feed) if at is FuseAt.FUSE_WAY and feed.kind == "fuse" else None
        fault = self.fault(cable.number)
        main = at_battery or at is FuseAt.BATTERY_END
        stops = fault.main_amp if main else self._needed(fault, cable)
        return FusePlace(
            cable.number,
            amp or cable.fuse_amp,
            at,
            place,
            along,
            limit,
            cable.amps,
            cable.carries_amp,
            stops,
            (load if at is FuseAt.FAR_END else feed).type.breakers and at in IN_GEAR,
        )

    def _link_amp(self, feed: End) -> float | None:
        """The rating of a single fuse: that of the cable ending on it, for all that leave it."""
        ending = [
            self.cables[number].fuse_amp
            for number, load in self.circuits.loads.items()
            if load.place == feed.place and number in self.cables
        ]
        return max((a for a in ending if a is not None), default=None)

    def _where(self, cable: Cable, feed: End, load: End) -> tuple[FuseAt, str, float]:
        """(where, the place it is at or measured from, how far along the cable at most)."""
        given = self.circuits.boat.lengths[cable.number].fuse_at
        if given is not None:
            return FuseAt.IN_CABLE, feed.piece.key, given.most
        if feed.kind == "battery" and load.kind == "fuse":
            return FuseAt.FAR_END, load.place, cable.length.cut_mm if cable.length else 0.0
        charges = load.kind == "battery" and self._charged(cable.number)
        if charges and feed.kind != "battery":  # what would feed a fault is the battery
            return FuseAt.BATTERY_END, load.place, 0.0
        if feed.kind in ("fuse panel", "fuse"):  # a plain switch has no fuse in it
            return FuseAt.FUSE_WAY, feed.place, 0.0
        if feed.kind in CHARGERS:
            return FuseAt.BATTERY_END, load.place, 0.0
        return FuseAt.TO_FIT, feed.place, 0.0

    def _charged(self, number: str) -> bool:
        """True for a cable whose current comes from a charger."""
        return self.circuits.feeds[self.circuits.root(number)].kind in CHARGERS

    # -- what it can stop --------------------------------------------------------------------------

    def stopping(self, cable: Cable, place: FusePlace) -> list[RuleFinding]:
        """Can the device stop the current a dead short would draw where it sits?"""
        feed = self.circuits.feeds[cable.number]
        known = self._rating_of(cable, place)
        fault = self.fault(cable.number)
        needed = place.stops_amp
        values: Values = {"needed_amp": needed, **fault.values()}
        if known is None:
            if place.at is FuseAt.TO_FIT or needed <= 0:  # the schedule says what it must stop
                return []
            lithium = any(how == "lithium" for _, _, how in fault.batteries)
            urgency = Urgency.MUST if lithium and feed.kind == "battery" else Urgency.SHOULD
            return [RuleFinding("stops unknown", urgency, _about(cable), values)]
        if known + 1e-9 < needed:
            values = {"known_amp": known, **values}
            return [RuleFinding("stops too little", Urgency.MUST, _about(cable), values)]
        return []

    def _rating_of(self, cable: Cable, place: FusePlace) -> float | None:
        """What the circuit's fuse can stop, as far as the job or the type tells."""
        m = self.circuits.models[cable.number]
        feed, load = self.circuits.feeds[cable.number], self.circuits.loads[cable.number]
        if m.fuse_interrupts_amps is not None:
            return m.fuse_interrupts_amps
        if load.kind == "fuse" and feed.kind == "battery":
            return load.type.interrupts_amps
        if feed.kind in ("fuse panel", "fuse"):
            small = place.amp is not None and place.amp <= BLADE_MOST_AMP
            blade = small and not place.breaker
            return feed.type.interrupts_amps or (BLADE_STOPS_AMP if blade else None)
        return None

    def _needed(self, fault: Fault, cable: Cable) -> float:
        """What the device must stop away from the battery.

        Either the table's branch figure as it stands, which allows for cable
        already (ABYC E-11), or the main figure less what the cables before it hold back, whichever
        is less: both are allowed, one is enough. Makers' figures fall along the cables.
        """
        known = sum(amp for _, amp, _ in fault.batteries)
        by_table = fault.branch_amp - known + self._at_place(known, cable)
        return min(by_table, self._at_place(fault.main_amp, cable))

    def _at_place(self, fault_amp: float, cable: Cable) -> float:
        """The fault current left where a circuit is fed: the cables before it stand in its way."""
        ohm = 0.0
        for n in self.circuits.above(cable.number):
            k = self.cables[n]
            if k.conductor is not None and k.sized_mm is not None:
                ohm += k.conductor.ohm(k.sized_mm, 20.0)
        volts = CHARGED_SHARE * cable.volts
        return volts / (volts / fault_amp + ohm) if fault_amp > 0 else 0.0


def _next_up(cable: Cable) -> str:
    """The next size up, where there is one."""
    up = cable.chosen.up if cable.chosen is not None else None
    return up.conductor.name if up is not None else ""


def _distance(cable: Cable, p: FusePlace) -> list[RuleFinding]:
    if p.along_mm <= p.limit_mm + 1e-6:
        return []
    sheath = p.limit_mm == BARE_MM and p.along_mm <= BATTERY_SHEATHED_MM
    values: Values = {
        "along_mm": p.along_mm,
        "limit_mm": p.limit_mm,
        "sheath_mm": BATTERY_SHEATHED_MM if sheath else 0.0,
        "place": f"piece:{p.place}",
        "at": p.at.value,
    }
    return [RuleFinding("fuse distance", Urgency.MUST, _about(cable), values)]


def _overload(cable: Cable) -> list[RuleFinding]:
    """More current than the size carries where it lies."""
    if cable.amps <= cable.carries_amp + 1e-9:
        return []
    values: Values = {"amp": cable.amps, "carries_amp": cable.carries_amp, "size": _next_up(cable)}
    return [RuleFinding("cable carries", Urgency.MUST, _about(cable), values)]


def _guarded(cable: Cable, guard_amp: float) -> list[RuleFinding]:
    """A link that carries less than the fuse before it lets through."""
    if guard_amp <= cable.carries_amp + 1e-9:
        return []
    over = Urgency.MUST if guard_amp > REGULATION_OVER * cable.carries_amp else Urgency.SHOULD
    values: Values = {"fuse_amp": guard_amp, "carries_amp": cable.carries_amp}
    return [
        RuleFinding("fuse over cable", over, _about(cable), {**values, "size": _next_up(cable)})
    ]


def _rating(cable: Cable, place: FusePlace) -> list[RuleFinding]:
    values: Values = {"amp": cable.amps, "carries_amp": place.carries_amp, "size": _next_up(cable)}
    if place.amp is None and cable.link:  # a link has no fuse of its own, and none lies before it
        return [RuleFinding("unfused link", Urgency.MUST, _about(cable), {"amp": cable.amps})]
    if place.amp is None:
        return [RuleFinding("no fuse fits", Urgency.MUST, _about(cable), values)]
    out = []
    values = {"fuse_amp": place.amp, **values}
    if place.amp < cable.amps:
        out.append(RuleFinding("fuse under load", Urgency.MUST, _about(cable), values))
    if place.amp > place.carries_amp + 1e-9:
        over = Urgency.MUST if place.amp > REGULATION_OVER * place.carries_amp else Urgency.SHOULD
        out.append(RuleFinding("fuse over cable", over, _about(cable), values))
    return out


def _device_volts(cable: Cable, p: FusePlace, feed: End) -> list[RuleFinding]:
    """A blade fuse in a circuit of more volts than it is made for."""
    own = feed.type.volts if feed.kind in ("fuse panel", "fuse") else None
    blade = feed.kind == "fuse panel" and p.at is FuseAt.FUSE_WAY and not p.breaker
    rated = own if own is not None else (BLADE_MOST_VOLT if blade else None)
    if rated is None or cable.volts <= rated:
        return []
    values: Values = {"volts": cable.volts, "rated_volts": rated, "place": f"piece:{p.place}"}
    return [RuleFinding("device volts", Urgency.MUST, _about(cable), values)]


def _steps(cabling: Cabling) -> list[RuleFinding]:
    """Discrimination: the fuse nearest the fault goes first."""
    cables = cabling.by_number()
    out = []
    for cable in cabling.cables:
        fused = (n for n in cabling.circuits.above(cable.number)
                 if cables[n].fuse_amp is not None and not cables[n].starter)  # fmt: skip
        up = next(fused, None)  # a link has no fuse of its own
        if up is None or cable.fuse_amp is None:
            continue
        above = cables[up].fuse_amp
        if above is not None and above < STEP_RATIO * cable.fuse_amp - 1e-9:
            values: Values = {
                "fuse_amp": cable.fuse_amp,
                "above_amp": above,
                "asked_amp": STEP_RATIO * cable.fuse_amp,
                "above": f"circuit:{up}",
            }
            out.append(RuleFinding("fuse steps", Urgency.SHOULD, _about(cable), values))
    return out
