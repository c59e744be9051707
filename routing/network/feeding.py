"""The job's DC network: what every load gets with all on as the job says, cables cold and hot.

Every part that shares copper is one node for each pole; cables, fuses, isolators and shunts are the
resistances between. Contact resistances are from memory, but for the shunt's, which follows from
its rating (50 mV at 500 A).
"""

from dataclasses import dataclass
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import CHARGERS
from routing.errors import RoutingError
from routing.network.network import Branch, Load, Source, solve
from routing.network.nodes import OUTPUT, Nodes

COLD_DEGC: Final = 5.0
HOT_DEGC: Final = 60.0
HOT_ENGINE_DEGC: Final = 75.0
FUSE_VOLT: Final = 0.08  # drop of a blade or bolted fuse at its rating: memory
SOURCE_OHM: Final = 1e-6  # drop is told from the battery's terminals
OVER_SHARE: Final = 1.005  # a feeder over its amps by less than this is not told


@dataclass(frozen=True, slots=True)
class Fed:
    """What a circuit gets: drop in percent of nominal, cables cold and hot, and its current."""

    cold_percent: float | None
    hot_percent: float | None
    amp: float


@dataclass(frozen=True, slots=True)
class Draw:
    """What a load takes in a day: amp while on, share of the day, ampere-hours."""

    number: str
    amp: float
    duty: float
    amp_hour: float


def daily_draw(cabling: Cabling) -> tuple[list[Draw], float]:
    """(each load whose duty is told, the Ah of all batteries that feed more than a starter)."""
    circuits = cabling.circuits
    out = []
    for cable in cabling.cables:
        m = circuits.models[cable.number]
        if m.duty is not None and not cable.mains:
            amp = cable.amps if m.watts is None else m.watts / cable.volts
            out.append(Draw(cable.number, amp, m.duty, 24.0 * amp * m.duty))
    banks = {
        feed.place: feed.type.amp_hours or 0.0
        for n, feed in circuits.feeds.items()
        if feed.kind == "battery" and not circuits.models[n].starter
    }
    return out, sum(banks.values())


def feed_network(cabling: Cabling) -> tuple[dict[str, Fed], list[RuleFinding]]:
    """(what each sized circuit gets, findings): the whole network solved twice."""
    try:
        cold, _ = _Net(cabling, COLD_DEGC, COLD_DEGC).solved()
        hot, amps = _Net(cabling, HOT_DEGC, HOT_ENGINE_DEGC).solved()
    except RoutingError as e:
        found = RuleFinding("network", Urgency.MUST, ("job:network",), {"fault": str(e)})
        return {}, [found]
    out = {n: Fed(cold.get(n), hot.get(n), amp) for n, amp in amps.items()}
    return out, _findings(cabling, out)


class _Net:
    """The network of a job at one temperature of its cables."""

    def __init__(self, cabling: Cabling, degc: float, engine_degc: float) -> None:
        self.circuits = cabling.circuits
        self.degc, self.engine_degc = degc, engine_degc
        self.feeding = {up for up in self.circuits.supply.values() if up is not None}
        sized = [cable for cable in cabling.cables if cable.conductor is not None]
        self.cables = [c for c in sized if not self._charges(c.number)]
        self.nodes = Nodes(self.circuits)
        self.branches: list[Branch] = []
        self.loads: list[Load] = []

    def _charges(self, n: str) -> bool:
        """True for a charger's own cable that feeds nothing else: it is no load."""
        return self.circuits.feeds[n].kind in CHARGERS and n not in self.feeding

    def solved(self) -> tuple[dict[str, float], dict[str, float]]:
        """(drop in percent at each end load, current through each cable). Raises RoutingError."""
        for cable in self.cables:
            self._add(cable)
        branches = [*self.branches, *self.nodes.contacts(), *self._supposed()]
        found = solve(self._sources(), branches, self.loads)
        volts = {c.number: c.volts for c in self.cables}
        drop = {
            n: 100 * (volts[n] - v) / volts[n]
            for n, v in ((d.name, found.load_volt[d.name]) for d in self.loads)
        }
        return drop, {c.number: abs(found.branch_amp[c.number]) for c in self.cables}

    def _sources(self) -> list[Source]:
        """Each battery behind its terminals, and what chargers give."""
        out = []
        for p, e in self.nodes.places.items():
            if e.kind == "battery":
                in_series = self.circuits.bank_of(e.place).in_series
                volts = self._nominal(p) / in_series
                out.append(Source(p, f"{p} +", f"{p} -", volts, SOURCE_OHM))
            elif p.endswith(OUTPUT):
                volts = self._nominal(p.removesuffix(OUTPUT))
                out.append(Source(p, f"{p} +", f"{p} -", volts, SOURCE_OHM))
        return out

    def _add(self, cable: Cable) -> None:
        """A circuit's cable out and back, and what hangs on its end."""
        n, circuits, nodes = cable.number, self.circuits, self.nodes
        feed, load = circuits.feeds[n], circuits.loads[n]
        t = self.engine_degc if cable.hot else self.degc
        if cable.conductor is None or cable.sized_mm is None:
            return
        ohm = [cable.conductor.ohm(x.cut_mm, t) for x in cable.lengths]
        if cable.one:
            a = nodes.minus(feed) if feed.terminal.pole == "minus" else nodes.plus(feed, True)
            b = nodes.minus(load) if load.terminal.pole == "minus" else nodes.plus(load)
            fuse = FUSE_VOLT / cable.fuse_amp if cable.fuse_amp else 0.0
            self.branches.append(Branch(n, a, b, ohm[0] + fuse))
            return
        fuse = FUSE_VOLT / cable.fuse_amp if cable.fuse_amp else 0.0
        plus, minus = f"{load.place} + {n}", f"{load.place} - {n}"
        self.branches += [
            Branch(n, nodes.plus(feed, True), plus, ohm[0] + fuse),
            Branch(f"{n} back", minus, nodes.home(n), ohm[1]),
        ]
        m = circuits.models[n]
        if n in self.feeding or load.kind == "battery":
            self.branches += [
                Branch(f"{n} end", plus, nodes.plus(load), 0.0),
                Branch(f"{n} end back", minus, nodes.end_minus(n), 0.0),
            ]
        elif not cable.starter:  # a starter turns for seconds: it is no part of what is on
            share = self._share_on(n)
            watt = None if m.watts is None else m.watts * share
            self.loads.append(
                Load(n, plus, minus, None if watt is not None else cable.amps * share, watt)
            )

    def _nominal(self, place: str) -> float:
        """The voltage of what a place is part of: as its circuits are told, else the job's."""
        end = self.nodes.places.get(place)
        bank = self.circuits.bank_of(place).batteries if end and end.kind == "battery" else (place,)
        fed = [n for n, feed in self.circuits.feeds.items() if feed.place in bank]
        return self.circuits.volts(fed[0]) if fed else self.circuits.files.job.job.volts

    def _share_on(self, n: str) -> float:
        """The share of a load that is on at once: the diversity of every feeder before it."""
        share = 1.0
        for up in self.circuits.above(n):
            share *= self.circuits.models[up].diversity
        return share

    def _supposed(self) -> list[Branch]:
        """What is supposed of boards whose links are not told."""
        circuits = self.circuits
        fed: dict[str, str] = {}
        fed_places = set()
        for number, model in circuits.models.items():
            load, feed = circuits.loads[number], circuits.feeds[number]
            if model.mains or model.signal or self._charges(number):
                continue
            fed_places.add(load.place)
            if load.piece.is_board and feed.piece is not load.piece:
                fed.setdefault(load.piece.key, load.place)
        return self.nodes.supposed(fed_places, fed)


def _findings(cabling: Cabling, fed: dict[str, Fed]) -> list[RuleFinding]:
    out: list[RuleFinding] = []
    hot: list[str] = []
    for cable in cabling.cables:
        f = fed.get(cable.number)
        if f is None:
            continue
        about = (f"circuit:{cable.number}",)
        if f.amp > cable.amps * OVER_SHARE:
            over = cable.fuse_amp is not None and f.amp > cable.fuse_amp
            urgency = Urgency.MUST if over else Urgency.SHOULD
            out.append(
                RuleFinding(
                    "feeder",
                    urgency,
                    about,
                    {
                        "amp": f.amp,
                        "stated_amp": cable.amps,
                        "fuse_amp": cable.fuse_amp or 0.0,
                        "diversity": cable.amps / f.amp,
                    },
                )
            )
        limit = cable.drop_limit_percent + 1e-9
        if f.hot_percent is not None and f.hot_percent > limit and cable.in_order:
            hot.append(cable.number)
    if hot:
        numbers = tuple(f"circuit:{n}" for n in hot)
        out.append(RuleFinding("hot drop", Urgency.NOTE, numbers, {"hot_degc": HOT_DEGC}))
    return out
