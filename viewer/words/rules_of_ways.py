"""The words of the rules about how cable lies, leaves its terminals and passes holes."""

from viewer.words.names import joined
from viewer.words.rule_values import Values, Words

LUGS = "common practice: straight out for the lug, then a bend of the cable's own radius"
SUPPORTS = "ISO 10133:2012 7.3 and 7.4: supports 450 mm apart, battery cables 300 mm"
KEPT = "common practice; see trade notes"


def cable_touches(v: Values) -> Words:
    return (
        "a cable clear of what it passes",
        "common practice",
        f"comes {v.n('deep_mm'):.0f} mm too near to {v.name('what')}",
        "clear of it",
        "Move one of the two aside, or lead the cable through another hole",
    )


def lead_under_foot(v: Values) -> Words:
    return (
        "a lead that comes out of the face its gear is screwed on",
        "geometry",
        f"{v.end('end')} points into its mounting face",
        "a hole under it, or a groove in its foot",
        "Drill under it, stand it off, or say where its lead really comes out",
    )


def no_lug_room(v: Values) -> Words:
    return (
        "room straight out of a terminal",
        LUGS,
        f"no room for a lug at {v.end('end')}: what stands before it is hard against it",
        "room for lug and bend",
        "Move what stands before the terminal aside, or turn the part round",
    )


def lead_room(v: Values) -> Words:
    return (
        "room for lug and bend at a terminal",
        LUGS,
        f"room for a bend of {v.n('has_mm'):.0f} mm and {v.n('lug_mm'):.0f} mm of lug at "
        f"{v.end('end')}",
        f"a bend of {v.n('needs_mm'):.0f} mm",
        "Move what stands before the terminal aside, or turn the part round",
    )


def stands_in_hazard(v: Values) -> Words:
    return (
        "cable kept off hot, moving and sharp things, fuel and water",
        KEPT,
        f"{v.end('end')} itself stands within the distance of {v.name('what')}",
        "the distance kept",
        "Move the gear, or shield its lead there",
    )


def through_room(v: Values) -> Words:
    _, _, rest = v.s("what").partition(":")
    owner, _, why = rest.rpartition(":")
    return (
        "cable out of the rooms that gear needs",
        "common practice",
        f"the lead of {v.end('end')} lies in the {why} room of {v.names.place(owner)}",
        "another way",
        "Leave a loop there that can be laid aside, or move the part",
    )


def before_opening(v: Values) -> Words:
    return (
        "no cable across an opening",
        "common practice",
        f"{v.end('end')} stands in the way of {v.name('what')}",
        "the opening free",
        "Move the gear aside",
    )


def through_plate(v: Values) -> Words:
    return (
        "a lead that leaves through the board's plate",
        "geometry",
        f"the lead of {v.end('end')} goes through {v.name('what')}",
        "a hole in the plate, edged",
        "Drill it on the bench: it is in the list of holes; or move the part nearer to the edge",
    )


def hangs(v: Values) -> Words:
    return (
        "no cable hanging longer than its supports may be apart",
        SUPPORTS,
        f"hangs {v.n('hangs_mm'):.0f} mm in {v.name('space')}",
        "a support of its own",
        "Fix a batten or a stand-off there, or move the gear nearer to a face",
    )


def bend_room(v: Values) -> Words:
    return (
        "the room kept for a cable's bend holds the cable chosen",
        LUGS,
        f"{v.n('has_mm'):.0f} mm kept at {v.end('end')}",
        f"needs {v.n('needs_mm'):.0f} mm",
        "Keep more room before the terminal, or take two smaller cables",
    )


def hole_in_hazard(v: Values) -> Words:
    return (
        "cable kept off hot, moving and sharp things, fuel and water, compass and aerials",
        KEPT,
        f"stands {v.n('has_mm'):.0f} mm from {v.name('what')}",
        f"{v.n('asks_mm'):.0f} mm",
        "Drill it farther off, or say less in the hazard's 'keep_off' where you know better",
    )


def tray_by_hazard(v: Values) -> Words:
    return (
        "trays off hot, moving and sharp things, fuel and engines",
        KEPT,
        f"runs too near to {v.name('what')}: no cable is laid on it",
        "the distance kept",
        "Fix the tray farther off",
    )


def gland_ways_unknown(v: Values) -> Words:
    return (
        "a gland seals each cable by itself",
        "common practice",
        f"{v.n('cables'):.0f} cables in a gland whose ways are not told",
        f"a gland of {v.n('cables'):.0f} ways",
        "Say 'ways' of the gland: how many cables it seals",
    )


def gland_ways(v: Values) -> Words:
    return (
        "a gland seals each cable by itself",
        "common practice",
        f"{v.n('cables'):.0f} cables in a gland of {v.n('ways'):.0f} ways",
        f"{v.n('cables'):.0f} ways",
        f"Take a gland of {v.n('cables'):.0f} ways, or a second gland",
    )


def pair_apart(v: Values) -> Words:
    return (
        "the two conductors of a pair laid together",
        "common practice: less field at a compass, less noise in a radio",
        f"up to {v.n('apart_mm'):.0f} mm apart over {v.n('over_mm') / 1000:.1f} m",
        "side by side",
        "Return it to the board it is fed from, or through the same holes",
    )


def compass_field(v: Values) -> Words:
    each = [
        f"circuit {n} {float(d):.1f}°"
        for n, d in zip(v.list("numbers"), v.list("each_deg"), strict=True)
    ]
    return (
        f"the wiring turns a compass by no more than {v.n('allowed_deg'):.0f}°",
        "Biot and Savart along the real ways, cables alone: no iron, motors, loudspeakers or heel",
        f"with everything on, up to {v.n('degrees'):.1f}° where the earth's level field is "
        f"{v.n('earth_ut'):.0f} µT: {joined(each)}; the nearest passes "
        f"{v.n('nearest_mm') / 10:.0f} cm away",
        f"{v.n('allowed_deg'):.0f}°",
        f"Lead them {v.n('lead_off_mm') / 10:.0f} cm off, or twist each pair; swing the compass "
        "with them off and on",
    )


def support_on_a_lid(v: Values) -> Words:
    return (
        "supports fixed to what stays, not to a lid or over an opening",
        "common practice",
        f"supports in {v.name('what')} come on what is taken off: {v.n('supports'):.0f} of them",
        "material that stays",
        "Fix a batten there, or lead the cable round what comes off",
    )
