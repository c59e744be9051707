"""The words of the rules about where pieces stand."""

from viewer.words.names import joined, size_label
from viewer.words.rule_values import CFR, Values, Words, in_m


def held_by_nothing(v: Values) -> Words:
    what = "the back and edges of its plate touch" if v.s("board") else "its foot touches"
    return (
        "every piece of gear stands on or is fixed to something",
        "common practice",
        f"{what} nothing; the nearest face it looks at is {v.n('gap_mm'):.0f} mm away",
        "a face, a solid or other gear it is fixed to",
        "Put its 'at' on a face, add the shelf or post to the hull file, or say what holds it "
        "with held_by",
    )


def sizes_not_measured_here(v: Values) -> Words:
    named = joined([size_label(k) for k in v.list("sizes")])
    more = (
        f" and {v.n('count') - len(v.list('sizes')):.0f} more"
        if v.n("count") > len(v.list("sizes"))
        else ""
    )
    return (
        "a boat's sizes measured on that boat",
        "common practice: two boats of one model differ by 15 to 25 mm",
        f"{v.n('count'):.0f} sizes are those of {v.s('copied_from')}: {named}{more}",
        "",
        "Measure them on this boat, those that decide first",
    )


def stands_tipped(v: Values) -> Words:
    return (
        "gear with a tilt limit stands within it",
        "makers' manuals; a flooded battery spills its acid",
        f"stands {v.n('tilt_degrees'):.0f}° from upright",
        f"at most {v.n('allowed_degrees'):.0f}° is allowed",
        'Stand it upright (top = "up"), or choose a type that may lie',
    )


def board_upside_down(v: Values) -> Words:
    del v
    return (
        "a board's upper edge is up",
        "common practice: a board built by its papers is hung as they show it",
        "its upper edge looks down where it hangs",
        "",
        "Turn 'along' the other way, and its parts stand as they are drawn",
    )


def turned_wrong(v: Values) -> Words:
    how = "upright or on its head" if v.s("stands") == "on end" else "upright"
    return (
        "gear stands as its maker says",
        "makers' manuals; fins that lie do not cool",
        f"{v.name('part')} does not stand {how} where it hangs",
        how,
        "Turn it on its board, or the board",
    )


def battery_and_fuel(v: Values) -> Words:
    return (
        "a battery not straight above or below fuel parts",
        f"{CFR} 183.420(d)",
        f"straight {v.s('side')} {v.name('hazard')}, by {v.n('overlap_mm'):.0f} mm in plan, "
        f"{v.n('apart_mm'):.0f} mm apart",
        "no overlap in plan is allowed",
        f"Move it {v.n('aside_mm'):.0f} mm sideways, whatever the height between",
    )


def fuel_shielded(v: Values) -> Words:
    return (
        "metal fuel parts within 300 mm of and above a battery's top shielded",
        f"{CFR} 183.420(c); ISO 10133:2012 5.7",
        f"{v.name('hazard')} is {v.n('gap_mm'):.0f} mm away",
        f"{v.n('asked_mm'):.0f} mm or a shield is asked",
        "Shield the fuel parts with an insulating cover, or move the battery "
        f"{v.n('off_mm'):.0f} mm off",
    )


def charger_over_battery(v: Values) -> Words:
    return (
        "a charger not straight above a battery (corrosive gas)",
        "charger makers' manuals; common practice",
        f"{v.name('part')} is straight above {v.name('battery')}, {v.n('over_mm'):.0f} mm over it",
        "no battery straight below",
        "Move one sideways, or seal and vent the battery box to the outside",
    )


def petrol_distance(v: Values) -> Words:
    return (
        "electrical gear that is not ignition-protected kept from a petrol source",
        f"{CFR} 183.410(b)(3)",
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')} in the same space",
        f"{v.n('asked_mm'):.0f} mm (2 ft) in the open air, or a bulkhead, is asked",
        "Choose ignition-protected gear, put a bulkhead between, or move it "
        f"{v.n('off_mm'):.0f} mm off",
    )


def petrol_space(v: Values) -> Words:
    return (
        "electrical gear in a petrol space is ignition-protected",
        f"{CFR} 183.410",
        f"stands in {v.names.space(v.s('space').partition(':')[2])}, where petrol vapour may be",
        "ignition-protected gear is asked",
        "Choose ignition-protected gear or another space",
    )


def bilge_water(v: Values) -> Words:
    return (
        "gear above the expected bilge water",
        "ISO 10133 (extract)",
        f"stands {v.n('under_mm'):.0f} mm under the level of {v.name('hazard')}",
        "above it, as high as practicable",
        f"Raise it {v.n('under_mm'):.0f} mm on a tray or shelf",
    )


def magnets(v: Values) -> Words:
    sensor = v.s("what") == "heading sensor"
    source = "makers' manuals: 6 ft" if sensor else "common practice where no figure is given: 1 m"
    return (
        f"magnets and motors kept from the {v.s('what')}",
        source,
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')}",
        f"{in_m(v.n('asked_mm'))} is asked",
        f"Move one {v.n('off_mm'):.0f} mm away, or swing the compass with it on and off first",
    )


def sensor_and_compass(v: Values) -> Words:
    return (
        "a heading sensor kept from the steering compass",
        "makers' manuals: 2 ft",
        f"{v.n('gap_mm'):.0f} mm from {v.name('hazard')}",
        f"{v.n('asked_mm'):.0f} mm is asked",
        f"Move one {v.n('off_mm'):.0f} mm away",
    )
