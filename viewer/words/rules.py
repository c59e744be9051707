"""The words of every rule: what it asks, its source, what was found, and what would mend it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from viewer.words.names import Names, joined
from viewer.work.rows import FindingRow

Figures = dict[str, float]


@dataclass(frozen=True, slots=True)
class RuleWords:
    """One finding in words."""

    about: str
    rule: str
    source: str
    found: str
    asks: str
    remedy: str

    def sentence(self) -> str:
        """The finding as sentences: what is wrong, what is asked, what to do."""
        asks = f"; {self.asks}" if self.asks else ""
        return f"{self.about}: {self.found}{asks} ({self.source}). {self.remedy}."


class _Values:
    """A finding's values, numbers and words apart."""

    def __init__(self, f: FindingRow, names: Names) -> None:
        self.values, self.names = f.values, names

    def n(self, key: str) -> float:
        """A number."""
        value = self.values.get(key, 0.0)
        return float(value) if isinstance(value, int | float) else 0.0

    def s(self, key: str) -> str:
        """A text."""
        return str(self.values.get(key, ""))

    def name(self, key: str) -> str:
        """The words for a key."""
        return self.names.of(self.s(key))

    def list(self, key: str) -> list[str]:
        """Several texts."""
        value = self.values.get(key, ())
        return [str(v) for v in value] if isinstance(value, tuple | list) else []


Words = tuple[str, str, str, str, str]  # rule, source, found, asks, remedy
CFR: Final = "33 CFR"


def _m(mm: float) -> str:
    return f"{mm / 1000:.1f} m"


def _ka(amp: float) -> str:
    return f"{amp / 1000:.3g} kA"


def _larger(v: _Values) -> str:
    size = v.s("size")
    return f"Take {size} or larger" if size else "Share the load over two cables"


def _battery_and_fuel(v: _Values) -> Words:
    return (
        "a battery not straight above or below fuel parts",
        f"{CFR} 183.420(d)",
        f"straight {v.s('side')} {v.name('hazard')}, by {v.n('overlap_mm'):.0f} mm in plan, "
        f"{v.n('apart_mm'):.0f} mm apart",
        "no overlap in plan is allowed",
        f"Move it {v.n('aside_mm'):.0f} mm sideways, whatever the height between",
    )


def _fuel_shielded(v: _Values) -> Words:
    return (
        "metal fuel parts within 300 mm of and above a battery's top shielded",
        f"{CFR} 183.420(c); ISO 10133:2012 5.7",
        f"{v.name('hazard')} is {v.n('gap_mm'):.0f} mm away",
        f"{v.n('asked_mm'):.0f} mm or a shield is asked",
        "Shield the fuel parts with an insulating cover, or move the battery "
        f"{v.n('off_mm'):.0f} mm off",
    )


def _charger_over_battery(v: _Values) -> Words:
    return (
        "a charger not straight above a battery (corrosive gas)",
        "charger makers' manuals; common practice",
        f"{v.name('part')} is straight above {v.name('battery')}, {v.n('over_mm'):.0f} mm over it",
        "no battery straight below",
        "Move one sideways, or seal and vent the battery box to the outside",
    )


def _petrol_distance(v: _Values) -> Words:
    return (
        "electrical gear that is not ignition-protected kept from a petrol source",
        f"{CFR} 183.410(b)(3)",
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')} in the same space",
        f"{v.n('asked_mm'):.0f} mm (2 ft) in the open air, or a bulkhead, is asked",
        "Choose ignition-protected gear, put a bulkhead between, or move it "
        f"{v.n('off_mm'):.0f} mm off",
    )


def _petrol_space(v: _Values) -> Words:
    return (
        "electrical gear in a petrol space is ignition-protected",
        f"{CFR} 183.410",
        f"stands in {v.names.space(v.s('space').partition(':')[2])}, where petrol vapour may be",
        "ignition-protected gear is asked",
        "Choose ignition-protected gear or another space",
    )


def _bilge_water(v: _Values) -> Words:
    return (
        "gear above the expected bilge water",
        "ISO 10133 (extract)",
        f"stands {v.n('under_mm'):.0f} mm under the level of {v.name('hazard')}",
        "above it, as high as practicable",
        f"Raise it {v.n('under_mm'):.0f} mm on a tray or shelf",
    )


def _magnets(v: _Values) -> Words:
    sensor = v.s("what") == "heading sensor"
    source = "makers' manuals: 6 ft" if sensor else "common practice where no figure is given: 1 m"
    return (
        f"magnets and motors kept from the {v.s('what')}",
        source,
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')}",
        f"{_m(v.n('asked_mm'))} is asked",
        f"Move one {v.n('off_mm'):.0f} mm away, or swing the compass with it on and off first",
    )


def _sensor_and_compass(v: _Values) -> Words:
    return (
        "a heading sensor kept from the steering compass",
        "makers' manuals: 2 ft",
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')}",
        f"{v.n('asked_mm'):.0f} mm is asked",
        f"Move one {v.n('off_mm'):.0f} mm away",
    )


def _network(v: _Values) -> Words:
    return ("every load fed from a source", "Ohm's law", v.s("fault"), "", "Put that right first")


def _feeder(v: _Values) -> Words:
    fuse = f", its fuse is {v.n('fuse_amp'):g} A" if v.n("fuse_amp") else ""
    return (
        "a feeder sized for what it feeds",
        "sum of its loads",
        f"{v.n('amp'):.0f} A with all on, {v.n('stated_amp'):g} A stated{fuse}",
        f"{v.n('amp'):.0f} A",
        f"Set its amps to {v.n('amp'):.0f}, or its diversity to {v.n('diversity'):.2f} if not all "
        "is on at once",
    )


def _hot_drop(v: _Values) -> Words:
    return (
        "volt drop over the whole path, contacts and fuses counted",
        "ISO 10133 classes, 3 % and 10 %",
        f"too much volt drop, hot ({v.n('hot_degc'):.0f} °C), with everything on",
        "3 % or 10 % at the load",
        "The cables alone are within it; a size up on the feeder they share helps all of them",
    )


def _fuse_distance(v: _Values) -> Words:
    limit = v.n("limit_mm")
    sheath = v.n("sheath_mm")
    more = (
        f", or sheath the cable all the way (then {sheath / 1000:.2f} m from a battery)"
        if sheath
        else ""
    )
    return (
        "a fuse near each source, measured along the cable",
        f"{CFR} 183.455(b), 183.460; ABYC E-11",
        f"the fuse is {v.n('along_mm'):.0f} mm along the cable",
        f"at most {limit:.0f} mm is allowed",
        f"Put a fuse on the battery's post or within {limit:.0f} mm of it{more}",
    )


def _cable_carries(v: _Values) -> Words:
    return (
        "a cable that carries its load",
        f"{CFR} 183.425 table 5",
        f"{v.n('amp'):g} A load on a cable that carries {v.n('carries_amp'):.0f} A",
        "",
        _larger(v),
    )


def _no_fuse_fits(v: _Values) -> Words:
    return (
        "a fuse between the load and what the cable carries",
        f"{CFR} 183.455(c)",
        f"no standard fuse lies between {v.n('amp'):g} A and {v.n('carries_amp'):.0f} A",
        "",
        _larger(v),
    )


def _fuse_under_load(v: _Values) -> Words:
    return (
        "a fuse not below its load",
        "common practice",
        f"{v.n('fuse_amp'):g} A fuse, {v.n('amp'):g} A load",
        f"{v.n('amp'):g} A or more",
        "Take the next size of fuse up",
    )


def _fuse_over_cable(v: _Values) -> Words:
    return (
        "a fuse no larger than the cable carries",
        f"{CFR} 183.425 table 5; 183.455(c)(1) allows 150 % of it under 50 V",
        f"{v.n('fuse_amp'):g} A fuse on a cable that carries {v.n('carries_amp'):.0f} A",
        f"at most {v.n('carries_amp'):.0f} A",
        f"Fit a smaller fuse, or {v.s('size') or 'a second cable'}",
    )


def _behind(v: _Values) -> str:
    """What a fault current rests on."""
    how = {
        "maker": "as its maker says",
        "lithium": "lithium, no figure given",
        "resistance": "by its internal resistance",
    }
    words = []
    for text in v.list("batteries"):
        key, amp, why = text.split("|")
        words.append(f"{v.names.of(key)}: {_ka(float(amp))}, {how[why]}")
    if v.n("cranking_amp"):
        words.append(f"{v.n('cranking_amp'):.0f} A cold cranking in all")
    return "ABYC E-11; " + "; ".join(words) if words else "ABYC E-11"


def _stops_unknown(v: _Values) -> Words:
    return (
        "a fuse that can stop the battery's fault current",
        _behind(v),
        "what its fuse can stop is not given",
        f"a short here can reach {_ka(v.n('needed_amp'))}",
        f"Buy a fuse class that stops {_ka(v.n('needed_amp'))} and write it in as the circuit's "
        "fuse_interrupts_amps",
    )


def _stops_too_little(v: _Values) -> Words:
    return (
        "a fuse that can stop the battery's fault current",
        _behind(v),
        f"this fuse can stop {_ka(v.n('known_amp'))}",
        f"a short here can reach {_ka(v.n('needed_amp'))}",
        "Take a fuse class that stops more, or put one before it that limits the current",
    )


def _fuse_steps(v: _Values) -> Words:
    return (
        "the fuse nearest the fault goes first",
        "common practice, from memory: about 1.6 to 1",
        f"a fault here may blow the {v.n('above_amp'):g} A fuse first",
        f"{v.n('asked_amp'):.0f} A before a {v.n('fuse_amp'):g} A fuse",
        f"Feed it from the bus beside {v.name('above')}, or fit a smaller fuse",
    )


def _no_isolator(v: _Values) -> Words:
    del v
    return (
        "an isolator for each battery bank, close to it",
        "ISO 10133; ABYC E-11",
        "there is no isolator in the job",
        "one in reach",
        "Put an isolator on the battery board",
    )


def _isolator_reach(v: _Values) -> Words:
    opening = v.s("opening")
    found = f"{v.n('reach_mm'):.0f} mm from the edge of {v.name('opening')}"
    return (
        "an isolator reached without moving anything",
        "ISO 10133; reach of an arm: common practice",
        found if opening else "there is no opening to reach it by",
        f"{v.n('asked_mm'):.0f} mm",
        "Move it nearer the opening, or fit a remote isolator there",
    )


def _shunt_side(v: _Values) -> Words:
    return (
        "every return on the load side of the shunt",
        "shunt makers' manuals; common practice",
        f"it returns to {v.names.place(v.s('end').rpartition('.')[0])}, the battery's side",
        "the minus bus after the shunt",
        "Return it to the minus bus, else the shunt never sees its current",
    )


def _pump_isolated(v: _Values) -> Words:
    return (
        "a bilge pump that works with the isolator off",
        "ABYC E-11 and ISO 10133 allow the bypass; common practice",
        f"fed from {v.names.place(v.s('place').partition(':')[2])}, behind the isolator",
        "a feed from the battery side with a fuse of its own",
        "Take it from the battery side of the isolator and set bypass = true",
    )


def _bend_radius(v: _Values) -> Words:
    data = v.s("lead") == "data"
    source = "NASA-STD-8739.4 7.3.21: 6 diameters" if data else "ship class rule: 4 diameters"
    places = f" at {v.n('places'):.0f} places" if v.n("places") > 1 else ""
    return (
        "the least bend radius kept",
        source,
        f"{v.n('has_mm'):.0f} mm to turn in{places}",
        f"needs {v.n('needs_mm'):.0f} mm",
        "Let it bow off its clips there, or take two smaller cables",
    )


def _data_off_power(v: _Values) -> Words:
    return (
        "data and aerial leads kept 300 mm from power where they run side by side",
        "common practice",
        f"{_m(v.n('beside_mm'))} beside power cable",
        "none",
        "Put it on the other side of the space there, or cross at a right angle",
    )


def _pair_near_compass(v: _Values) -> Words:
    return (
        "the two conductors of a pair kept together near a compass",
        "common practice: a split pair doubles the error",
        f"they part within 1 m of {v.name('hazard')}",
        "one route for both, twisted",
        "Return it to the board it is fed from",
    )


def _mains_apart(v: _Values) -> Words:
    shared = joined([v.names.joint(j.partition(":")[2]) for j in v.list("joints")])
    return (
        "AC and DC not in one conduit or run",
        "ISO 13297 and ABYC E-11 (extracts)",
        f"shares {shared} with DC",
        "a route of its own",
        "Give it a hole or pipe of its own; a licensed person decides",
    )


def _lead_reaches(v: _Values) -> Words:
    short = (v.n("needs_mm") - v.n("longest_mm")) / 1000
    return (
        "a ready-made lead that reaches, never jointed",
        "makers forbid cutting; common practice",
        f"needs {v.n('needs_mm') / 1000:.2f} m, the longest is {v.n('longest_mm') / 1000:.2f} m",
        "",
        f"Move one end {short:.2f} m nearer, or order a longer lead",
    )


def _lead_surplus(v: _Values) -> Words:
    size = f"{v.n('breadth_mm'):.0f} x {v.n('depth_mm'):.0f} x {v.n('height_mm'):.0f}"
    return (
        "a place for the surplus of a ready-made lead",
        "common practice",
        f"{_m(v.n('over_mm'))} over, no free place of {size} mm at either end",
        "one, clear of power",
        "Lay it out along a run of data leads, or take a shorter lead by moving one end",
    )


def _run_whole(v: _Values) -> Words:
    return (
        "cable cut whole, never jointed",
        "common practice",
        f"a run of {v.n('run_mm') / 1000:.2f} m is longer than the longest drum, "
        f"{v.n('longest_mm') / 1000:.2f} m",
        "a drum that holds the longest run",
        "Add a longer drum to 'stock', or buy it as one cut length",
    )


BUS: Final = "IEC 61162-3 installation guides as reprinted; IEC 62026-3 cable figures"


def _bus_way(v: _Values) -> Words:
    return (
        "a route for the backbone and its drop leads",
        "geometry",
        f"no route from {v.s('start')} to {v.s('goal')}",
        "",
        "Add a hole, pipe or tray between their spaces",
    )


def _drop_lead(v: _Values) -> Words:
    over = (v.n("drop_mm") - v.n("limit_mm")) / 1000
    return (
        "no drop lead over 6 m",
        BUS,
        f"drop lead to {v.name('on')} is {_m(v.n('drop_mm'))}",
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        f"Move tee {v.s('tee')} {over:.1f} m towards it, or extend the backbone to it",
    )


def _bus_device(v: _Values) -> Words:
    return (
        "no instrument draws over 1 A from the bus",
        BUS,
        f"{v.name('on')} draws {v.n('amp'):.2f} A",
        f"{v.n('limit_amp'):g} A is the most",
        "Feed it from a circuit of its own",
    )


def _bus_length(v: _Values) -> Words:
    return (
        "the backbone's length, long end drop leads counted in",
        BUS,
        _m(v.n("counted_mm")),
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        "Use heavy cable, or shorten it at the far end",
    )


def _all_drop_leads(v: _Values) -> Words:
    return (
        "all drop leads together",
        BUS,
        _m(v.n("drops_mm")),
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        "Put tees nearer the instruments",
    )


def _bus_devices(v: _Values) -> Words:
    return (
        "instruments on one backbone",
        BUS,
        f"{v.n('count'):.0f}",
        f"{v.n('limit'):.0f} is the most",
        "Split it with a bridge",
    )


def _terminators(v: _Values) -> Words:
    ends = v.list("ends")
    return (
        "one terminator at each end and no other",
        BUS,
        f"terminators on {joined(v.list('are'))}" if v.list("are") else "no terminator",
        f"on {joined(ends)}",
        "Put one on each end tee" if len(ends) > 1 else "Add a second tee: it has two ends",
    )


def _bus_current(v: _Values) -> Words:
    return (
        "current in a half of the backbone",
        BUS,
        f"{v.n('amp'):.1f} A",
        f"{v.n('limit_amp'):.0f} A is the most",
        "Feed it nearer its middle, or use heavy cable",
    )


def _bus_spread(v: _Values) -> Words:
    return (
        "supply voltage between any two instruments",
        BUS,
        f"{v.n('spread_volt'):.2f} V apart",
        f"{v.n('limit_volt'):g} V is the most",
        "Feed it nearer its middle, use heavy cable, or give heavy users a circuit of their own",
    )


def _bus_fuse(v: _Values) -> Words:
    return (
        "the fuse of a light backbone",
        BUS,
        f"{v.n('fuse_amp'):g} A",
        f"{v.n('limit_amp'):g} A",
        f"Fit {v.n('limit_amp'):g} A",
    )


RULES: Final[dict[str, Callable[[_Values], Words]]] = {
    "battery and fuel": _battery_and_fuel,
    "fuel shielded": _fuel_shielded,
    "charger over battery": _charger_over_battery,
    "petrol distance": _petrol_distance,
    "petrol space": _petrol_space,
    "bilge water": _bilge_water,
    "magnets": _magnets,
    "sensor and compass": _sensor_and_compass,
    "network": _network,
    "feeder": _feeder,
    "hot drop": _hot_drop,
    "fuse distance": _fuse_distance,
    "cable carries": _cable_carries,
    "no fuse fits": _no_fuse_fits,
    "fuse under load": _fuse_under_load,
    "fuse over cable": _fuse_over_cable,
    "stops unknown": _stops_unknown,
    "stops too little": _stops_too_little,
    "fuse steps": _fuse_steps,
    "no isolator": _no_isolator,
    "isolator reach": _isolator_reach,
    "shunt side": _shunt_side,
    "pump isolated": _pump_isolated,
    "bend radius": _bend_radius,
    "data off power": _data_off_power,
    "pair near compass": _pair_near_compass,
    "mains apart": _mains_apart,
    "lead reaches": _lead_reaches,
    "lead surplus": _lead_surplus,
    "run whole": _run_whole,
    "bus way": _bus_way,
    "drop lead": _drop_lead,
    "bus device": _bus_device,
    "bus length": _bus_length,
    "all drop leads": _all_drop_leads,
    "bus devices": _bus_devices,
    "terminators": _terminators,
    "bus current": _bus_current,
    "bus spread": _bus_spread,
    "bus fuse": _bus_fuse,
}


def rule_words(f: FindingRow, names: Names) -> RuleWords:
    """A finding in words."""
    rule, source, found, asks, remedy = RULES[f.rule](_Values(f, names))
    return RuleWords(names.about(f.about), rule, source, found, asks, remedy)
