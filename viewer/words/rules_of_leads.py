"""The words of the rules about ways, leads and backbones."""

from typing import Final

from viewer.words.names import joined
from viewer.words.rule_values import Values, Words, in_m


def bend_radius(v: Values) -> Words:
    data = v.s("lead") == "data"
    source = "NASA-STD-8739.4 7.3.21: 6 diameters" if data else "ship class rule: 4 diameters"
    places = f" at {v.n('places'):.0f} places" if v.n("places") > 1 else ""
    return (
        "the least bend radius kept",
        source,
        f"{v.n('has_mm'):.0f} mm to turn in{places}",
        f"needs {v.n('needs_mm'):.0f} mm",
        "Let it bow off its clips there, or "
        + ("take it round another way" if data else "take two smaller cables"),
    )


def data_off_power(v: Values) -> Words:
    places = joined([v.names.of(s) for s in v.list("spaces")])
    return (
        "data and aerial leads kept 300 mm from power where they run side by side",
        "common practice",
        f"{in_m(v.n('beside_mm'))} beside power cable" + (f" in {places}" if places else ""),
        "none",
        "Put it on the other side of the space there, or cross at a right angle",
    )


def pair_near_compass(v: Values) -> Words:
    return (
        "the two conductors of a pair kept together near a compass",
        "common practice: a split pair doubles the error",
        f"they part within 1 m of {v.name('hazard')}",
        "one route for both, twisted",
        "Return it to the board it is fed from",
    )


def mains_apart(v: Values) -> Words:
    shared = joined([v.names.joint(j.partition(":")[2]) for j in v.list("joints")])
    return (
        "AC and DC not in one conduit or run",
        "ISO 13297 and ABYC E-11 (extracts)",
        f"shares {shared} with DC",
        "a route of its own",
        "Give it a hole or pipe of its own; a licensed person decides",
    )


def lead_reaches(v: Values) -> Words:
    short = (v.n("needs_mm") - v.n("longest_mm")) / 1000
    return (
        "a ready-made lead that reaches, never jointed",
        "makers forbid cutting; common practice",
        f"needs {v.n('needs_mm') / 1000:.2f} m, the longest is {v.n('longest_mm') / 1000:.2f} m",
        "",
        f"Move one end {short:.2f} m nearer, or order a longer lead",
    )


def lead_surplus(v: Values) -> Words:
    size = f"{v.n('breadth_mm'):.0f} x {v.n('depth_mm'):.0f} x {v.n('height_mm'):.0f}"
    return (
        "a place for the surplus of a ready-made lead",
        "common practice",
        f"{in_m(v.n('over_mm'))} over, no free place of {size} mm at either end",
        "one, clear of power",
        "Lay it out along a run of data leads, or take a shorter lead by moving one end",
    )


def run_whole(v: Values) -> Words:
    return (
        "cable cut whole, never jointed",
        "common practice",
        f"a run of {v.n('run_mm') / 1000:.2f} m is longer than the longest drum, "
        f"{v.n('longest_mm') / 1000:.2f} m",
        "a drum that holds the longest run",
        "Add a longer drum to 'stock', or buy it as one cut length",
    )


BUS: Final = "IEC 61162-3 installation guides as reprinted; IEC 62026-3 cable figures"


def bus_way(v: Values) -> Words:
    return (
        "a route for the backbone and its drop leads",
        "geometry",
        f"no route from {v.s('start')} to {v.s('goal')}",
        "",
        "Add a hole, pipe or tray between their spaces",
    )


def drop_lead(v: Values) -> Words:
    over = (v.n("drop_mm") - v.n("limit_mm")) / 1000
    return (
        "no drop lead over 6 m",
        BUS,
        f"drop lead to {v.name('on')} is {in_m(v.n('drop_mm'))}",
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        f"Move tee {v.s('tee')} {over:.1f} m towards it, or extend the backbone to it",
    )


def bus_device(v: Values) -> Words:
    return (
        "no instrument draws over 1 A from the bus",
        BUS,
        f"{v.name('on')} draws {v.n('amp'):.2f} A",
        f"{v.n('limit_amp'):g} A is the most",
        "Feed it from a circuit of its own",
    )


def bus_length(v: Values) -> Words:
    return (
        "the backbone's length, long end drop leads counted in",
        BUS,
        in_m(v.n("counted_mm")),
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        "Use heavy cable, or shorten it at the far end",
    )


def all_drop_leads(v: Values) -> Words:
    return (
        "all drop leads together",
        BUS,
        in_m(v.n("drops_mm")),
        f"{v.n('limit_mm') / 1000:.0f} m is the most",
        "Put tees nearer the instruments",
    )


def bus_devices(v: Values) -> Words:
    return (
        "instruments on one backbone",
        BUS,
        f"{v.n('count'):.0f}",
        f"{v.n('limit'):.0f} is the most",
        "Split it with a bridge",
    )


def terminators(v: Values) -> Words:
    ends = v.list("ends")
    return (
        "one terminator at each end and no other",
        BUS,
        f"terminators on {joined(v.list('are'))}" if v.list("are") else "no terminator",
        f"on {joined(ends)}",
        "Put one on each end tee" if len(ends) > 1 else "Add a second tee: it has two ends",
    )


def bus_current(v: Values) -> Words:
    return (
        "current in a half of the backbone",
        BUS,
        f"{v.n('amp'):.1f} A",
        f"{v.n('limit_amp'):.0f} A is the most",
        "Feed it nearer its middle, or use heavy cable",
    )


def bus_spread(v: Values) -> Words:
    return (
        "supply voltage between any two instruments",
        BUS,
        f"{v.n('spread_volt'):.2f} V apart",
        f"{v.n('limit_volt'):g} V is the most",
        "Feed it nearer its middle, use heavy cable, or give heavy users a circuit of their own",
    )


def bus_fuse(v: Values) -> Words:
    return (
        "the fuse of a light backbone",
        BUS,
        f"{v.n('fuse_amp'):g} A",
        f"{v.n('limit_amp'):g} A",
        f"Fit {v.n('limit_amp'):g} A",
    )
