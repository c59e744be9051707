"""While an engine starts: the voltage at its starter, and what else hangs on the same battery gets.

A battery gives less volts the more it gives amps: its internal resistance, as its maker tells or as
its cold cranking current implies (7.2 V left of 12.6 at that current: EN 50342-1 and SAE J537 test
at 7.2 to 7.5 V, from memory; the cold makes it the worst case).
"""

from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import Circuits, End

RESTED_VOLT: Final = 12.6  # a charged 12 V lead-acid battery: common practice
CRANKED_VOLT: Final = 7.2
STARTER_LEAST: Final = 0.75  # of nominal at the starter: below it may not turn, from memory
OTHERS_LEAST: Final = 0.8  # of nominal at the battery: below it electronics restart, from memory
COLD_DEGC: Final = 20.0


def internal_ohm(battery: End) -> float | None:
    """A battery's internal resistance, ohm; None where nothing tells it."""
    t = battery.type
    if t.milliohm is not None:
        return t.milliohm / 1000
    if t.cranking_amps is None or t.volts is None:
        return None
    return (RESTED_VOLT - CRANKED_VOLT) / t.cranking_amps * (t.volts / 12.0)


def starting_rules(cabling: Cabling) -> list[RuleFinding]:
    """Starters that get too few volts, and electronics that may restart while one turns."""
    circuits = cabling.circuits
    out: list[RuleFinding] = []
    for n, load in circuits.loads.items():
        if load.kind != "starter":
            continue
        found = _volts(cabling, n)
        if found is None:
            continue
        battery, at_battery, at_starter = found
        nominal = circuits.volts(n)
        values: Values = {
            "battery": f"piece:{battery.place}",
            "battery_volt": at_battery,
            "starter_volt": at_starter,
        }
        about = (f"circuit:{n}",)
        if at_starter < STARTER_LEAST * nominal:
            out.append(RuleFinding("starter volts", Urgency.SHOULD, about, values))
        others = _others(circuits, battery, n)
        if others and at_battery < OTHERS_LEAST * nominal:
            told = tuple(f"circuit:{k}" for k in others)
            out.append(RuleFinding("dips while starting", Urgency.SHOULD, told, values))
    return out


def _volts(cabling: Cabling, n: str) -> tuple[End, float, float] | None:
    """(the battery, its volts and the starter's while it turns); None where it is not known."""
    circuits, made = cabling.circuits, cabling.by_number()
    battery = circuits.feeds[circuits.root(n)]
    inner = internal_ohm(battery) if battery.kind == "battery" else None
    if inner is None:
        return None
    amp, ohm = circuits.models[n].amps, 0.0
    for k in (n, *circuits.above(n)):
        cable = made[k]
        if cable.conductor is None or cable.sized_mm is None:
            return None
        ohm += cable.conductor.ohm(cable.sized_mm, COLD_DEGC)
    strings = len(circuits.bank_of(battery.place).strings)
    rested = RESTED_VOLT * circuits.volts(n) / 12.0
    at_battery = rested - amp * inner / strings
    return battery, at_battery, at_battery - amp * ohm


def _others(circuits: Circuits, battery: End, n: str) -> list[str]:
    """Electronics on the same bank as a starter."""
    bank = circuits.bank_of(battery.place)
    return [
        k
        for k, load in circuits.loads.items()
        if load.kind in ("instrument", "radio", "sensor")
        and k != n
        and not circuits.models[k].signal
        and circuits.feeds[circuits.root(k)].place in bank.batteries
    ]
