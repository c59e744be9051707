"""The job's DC network: what every load gets with all on as the job says, cables cold and hot.

Every part that shares copper is one node for each pole; cables, fuses, isolators and shunts are the
resistances between. Contact resistances are from memory, but for the shunt's, which follows from
its rating (50 mV at 500 A).
"""

from dataclasses import dataclass
from typing import Final

from layout.verdict.rules import RuleFinding, Weight
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import CHARGERS, End
from routing.errors import RoutingError
from routing.network.network import Branch, Load, Source, solve

COLD_DEGC: Final = 5.0
HOT_DEGC: Final = 60.0
HOT_ENGINE_DEGC: Final = 75.0
CONTACT_OHM: Final = {"isolator": 0.0002, "fuse": 0.0005, "switch": 0.005}  # memory
SHUNT_OHM: Final = 0.05 / 500
FUSE_VOLT: Final = 0.08  # drop of a blade or bolted fuse at its rating: memory
OUTPUT: Final = " output"
SOURCE_OHM: Final = 1e-6  # drop is told from the battery's terminals


@dataclass(frozen=True, slots=True)
class Fed:
    """What a circuit gets: drop in percent of its nominal voltage, cables cold and hot, and the current through it."""

    cold_percent: float | None
    hot_percent: float | None
    amp: float


@dataclass(frozen=True, slots=True)
class Draw:
    """What a load takes in a day: amp while on, share of the day, ampere-hours."""

    number: str
    label: str
    amp: float
    duty: float
    amp_hour: float


def daily_draw(cabling: Cabling) -> tuple[list[Draw], float]:
    """(each load whose duty is told, the ampere-hours of all batteries that feed circuits other than a starter's)."""
    circuits = cabling.circuits
    out = []
    for c in cabling.cables:
        model = circuits.models[c.number]
        if model.duty is not None and not c.mains:
            amp = c.amps if model.watts is None else model.watts / c.volts
            out.append(Draw(c.number, c.label, amp, model.duty, 24.0 * amp * model.duty))
    banks = {
        e.place: e.item.amp_hours or 0.0
        for n, e in circuits.feeds.items()
        if e is not None and e.kind == "battery" and not circuits.models[n].starter
    }
    return out, sum(banks.values())


def feed_network(cabling: Cabling) -> tuple[dict[str, Fed], list[RuleFinding]]:
    """(what each sized circuit gets, findings): the whole network solved twice."""
    try:
        cold, _ = _solved(cabling, COLD_DEGC, COLD_DEGC)
        hot, amps = _solved(cabling, HOT_DEGC, HOT_ENGINE_DEGC)
    except RoutingError as e:
        return {}, [
            RuleFinding(
                Weight.MUST,
                "The DC network",
                "every load fed from a source",
                "Ohm's law",
                str(e),
                "a network that can be solved",
                "Put that right first",
            )
        ]
    out = {
        c.number: Fed(cold.get(c.number), hot.get(c.number), amps.get(c.number, 0.0))
        for c in cabling.cables
        if c.number in amps
    }
    return out, _findings(cabling, out)


def _solved(
    cabling: Cabling, degc: float, engine_degc: float
) -> tuple[dict[str, float], dict[str, float]]:
    """(drop in percent at each end load, current through each cable)."""
    circuits = cabling.circuits
    cables = [
        c
        for c in cabling.cables
        if c.conductor is not None and c.length is not None and c.back_length is not None
    ]
    feeding = {up for n, up in circuits.supply.items() if up is not None}
    cables = [
        c
        for c in cables
        if (f := circuits.feeds[c.number]) is not None
        and (f.kind not in CHARGERS or c.number in feeding)
    ]
    branches: list[Branch] = []
    loads: list[Load] = []
    places: dict[str, End] = {}
    for c in cables:
        feed, load = circuits.feeds[c.number], circuits.loads[c.number]
        if (
            feed is None
            or load is None
            or c.conductor is None
            or c.length is None
            or c.back_length is None
        ):
            continue
        spot = feed.place + (
            OUTPUT if feed.kind in CHARGERS else ""
        )  # what a charger gives is not what it takes
        places.setdefault(spot, feed)
        places.setdefault(load.place, load)
        t = engine_degc if c.hot else degc
        back = circuits.returns[c.number]
        home = spot if back is None else back.place
        if back is not None:
            places.setdefault(back.place, back)
        fuse = FUSE_VOLT / c.fuse_amp if c.fuse_amp else 0.0
        there, here = (
            c.conductor.ohm(c.length.cut_mm, t) + fuse,
            c.conductor.ohm(c.back_length.cut_mm, t),
        )
        branches += [
            Branch(c.number, f"{spot} +", f"{load.place} + {c.number}", there),
            Branch(f"{c.number} back", f"{load.place} - {c.number}", f"{home} -", here),
        ]
        model = circuits.models[c.number]
        if c.number in feeding or load.kind == "battery":
            branches += [
                Branch(f"{c.number} end", f"{load.place} + {c.number}", f"{load.place} +", 0.0),
                Branch(
                    f"{c.number} end back", f"{load.place} - {c.number}", f"{load.place} -", 0.0
                ),
            ]
        elif not c.starter:  # a starter turns for seconds: it is no part of what is on
            share = _share_on(cabling, c.number)
            watt = None if model.watts is None else model.watts * share
            loads.append(
                Load(
                    f"circuit {c.number}",
                    f"{load.place} + {c.number}",
                    f"{load.place} - {c.number}",
                    None if watt is not None else c.amps * share,
                    watt,
                )
            )
    sources = [
        Source(p, f"{p} +", f"{p} -", _nominal(cabling, p.removesuffix(OUTPUT)), SOURCE_OHM)
        for p, e in places.items()
        if e.kind == "battery" or p.endswith(OUTPUT)
    ]
    branches += _boards(cabling, places)
    found = solve(sources, branches, loads)
    volts = {c.number: c.volts for c in cables}
    drop = {d.name.removeprefix("circuit "): found.load_volt[d.name] for d in loads}
    return {n: 100 * (volts[n] - v) / volts[n] for n, v in drop.items()}, {
        c.number: abs(found.branch_amp[c.number]) for c in cables
    }


def _nominal(cabling: Cabling, place: str) -> float:
    fed = [
        c.volts
        for c in cabling.cables
        if (f := cabling.circuits.feeds[c.number]) is not None and f.place == place
    ]
    return fed[0] if fed else cabling.circuits.files.job.job.volts


def _share_on(cabling: Cabling, number: str) -> float:
    """The share of a load that is on at once: the diversity of every feeder before it."""
    share = 1.0
    up = cabling.circuits.supply.get(number)
    while up is not None:
        share *= cabling.circuits.models[up].diversity
        up = cabling.circuits.supply.get(up)
    return share


def _boards(cabling: Cabling, places: dict[str, End]) -> list[Branch]:
    """On each board, parts no circuit feeds hang on the part that is fed from off the board, through fuse, isolator and shunt."""
    circuits = cabling.circuits
    fed: dict[str, str] = {}
    fed_places = set()
    for n in circuits.models:
        load, feed = circuits.loads[n], circuits.feeds[n]
        if (
            load is None
            or feed is None
            or circuits.models[n].mains
            or circuits.models[n].signal
            or (feed.kind in CHARGERS and n not in set(circuits.supply.values()))
        ):
            continue
        fed_places.add(load.place)
        if load.thing.kind == "board" and feed.thing is not load.thing:
            fed.setdefault(load.thing.name, load.place)
    out = []
    for place, end in places.items():
        main = fed.get(end.thing.name)
        if end.thing.kind != "board" or place in fed_places or main is None or main == place:
            continue
        kinds = set(end.thing.parts.values())
        plus = sum(CONTACT_OHM[k] for k in ("isolator", "fuse") if k in kinds)
        out += [
            Branch(f"{place} from {main}", f"{main} +", f"{place} +", plus),
            Branch(
                f"{place} to {main}",
                f"{place} -",
                f"{main} -",
                SHUNT_OHM if "shunt" in kinds else 0.0,
            ),
        ]
    return out


def _findings(cabling: Cabling, fed: dict[str, Fed]) -> list[RuleFinding]:
    out: list[RuleFinding] = []
    hot: list[str] = []
    for c in cabling.cables:
        f = fed.get(c.number)
        if f is None:
            continue
        if f.amp > c.amps * 1.005:
            fuse = f", its fuse is {c.fuse_amp:g} A" if c.fuse_amp else ""
            over = c.fuse_amp is not None and f.amp > c.fuse_amp
            out.append(
                RuleFinding(
                    Weight.MUST if over else Weight.SHOULD,
                    f"Circuit {c.number}, {c.label}",
                    "a feeder sized for what it feeds",
                    "sum of its loads",
                    f"{f.amp:.0f} A with all on, {c.amps:g} A stated{fuse}",
                    f"{f.amp:.0f} A",
                    f"Set its amps to {f.amp:.0f}, or its diversity to {c.amps / f.amp:.2f} if not all is on at once",
                )
            )
        if f.hot_percent is not None and f.hot_percent > c.drop_limit_percent + 1e-9 and c.well:
            hot.append(c.number)
    if hot:
        out.append(
            RuleFinding(
                Weight.NOTE,
                f"Circuit{'s' if len(hot) > 1 else ''} {', '.join(hot)}",
                "voltage drop over the whole path, contacts and fuses counted",
                "ISO 10133 classes, 3 % and 10 %",
                f"over their class with all on and cables at {HOT_DEGC:.0f} °C (figures in the circuit table)",
                "3 % or 10 % at the load",
                "The cables alone are within it; a size up on the feeder they share helps all of them at once",
            )
        )
    return out
