"""The words of the rules about feeds, fuses and what they guard."""

from viewer.words.rule_values import CFR, Values, Words, in_ka, larger


def network(v: Values) -> Words:
    return ("every load fed from a source", "Ohm's law", v.s("fault"), "", "Put that right first")


def feeder(v: Values) -> Words:
    fuse = f", its fuse is {v.n('fuse_amp'):g} A" if v.n("fuse_amp") else ""
    return (
        "a feeder sized for what it feeds",
        "sum of its loads",
        f"{v.n('amp'):.0f} A with all on, {v.n('stated_amp'):g} A stated{fuse}",
        f"{v.n('amp'):.0f} A",
        f"Set its amps to {v.n('amp'):.0f}, or its diversity to {v.n('diversity'):.2f} if not all "
        "is on at once",
    )


def hot_drop(v: Values) -> Words:
    return (
        "volt drop over the whole path, contacts and fuses counted",
        "ISO 10133 classes, 3 % and 10 %",
        f"too much volt drop, hot ({v.n('hot_degc'):.0f} °C), with everything on",
        "3 % or 10 % at the load",
        "The cables alone are within it; a size up on the feeder they share helps all of them",
    )


def fuse_distance(v: Values) -> Words:
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


def cable_carries(v: Values) -> Words:
    return (
        "a cable that carries its load",
        f"{CFR} 183.425 table 5",
        f"{v.n('amp'):g} A load on a cable that carries {v.n('carries_amp'):.0f} A",
        "",
        larger(v),
    )


def unfused_link(v: Values) -> Words:
    return (
        "every conductor from a source has a fuse before it",
        f"{CFR} 183.455",
        f"a link for {v.n('amp'):g} A from a source, with no fuse before it",
        "",
        "Make it an ordinary circuit (take its link away): it then has a fuse at its feed",
    )


def no_fuse_fits(v: Values) -> Words:
    return (
        "a fuse between the load and what the cable carries",
        f"{CFR} 183.455(c)",
        f"no standard fuse lies between {v.n('amp'):g} A and {v.n('carries_amp'):.0f} A",
        "",
        larger(v),
    )


def fuse_under_load(v: Values) -> Words:
    return (
        "a fuse not below its load",
        "common practice",
        f"{v.n('fuse_amp'):g} A fuse, {v.n('amp'):g} A load",
        f"{v.n('amp'):g} A or more",
        "Take the next size of fuse up",
    )


def fuse_over_cable(v: Values) -> Words:
    return (
        "a fuse no larger than the cable carries",
        f"{CFR} 183.425 table 5; 183.455(c)(1) allows 150 % of it under 50 V",
        f"{v.n('fuse_amp'):g} A fuse on a cable that carries {v.n('carries_amp'):.0f} A",
        f"at most {v.n('carries_amp'):.0f} A",
        f"Fit a smaller fuse, or {v.s('size') or 'a second cable'}",
    )


def behind(v: Values) -> str:
    """What a fault current rests on."""
    how = {
        "maker": "as its maker says",
        "lithium": "lithium, no figure given",
        "resistance": "by its internal resistance",
    }
    words = []
    for text in v.list("batteries"):
        key, amp, why = text.split("|")
        words.append(f"{v.names.of(key)}: {in_ka(float(amp))}, {how[why]}")
    if v.n("cranking_amp"):
        words.append(f"{v.n('cranking_amp'):.0f} A cold cranking in all")
    if v.s("cranking") == "unknown":
        words.append("no cranking figure is given: the largest class of the table")
    return "ABYC E-11; " + "; ".join(words) if words else "ABYC E-11"


def stops_unknown(v: Values) -> Words:
    return (
        "a fuse that can stop the battery's fault current",
        behind(v),
        "what its fuse can stop is not given",
        f"a short here can reach {in_ka(v.n('needed_amp'))}",
        f"Buy a fuse class that stops {in_ka(v.n('needed_amp'))} and write it in as the circuit's "
        "fuse_interrupts_amps",
    )


def stops_too_little(v: Values) -> Words:
    return (
        "a fuse that can stop the battery's fault current",
        behind(v),
        f"this fuse can stop {in_ka(v.n('known_amp'))}",
        f"a short here can reach {in_ka(v.n('needed_amp'))}",
        "Take a fuse class that stops more, or put one before it that limits the current",
    )


def fuse_steps(v: Values) -> Words:
    return (
        "the fuse nearest the fault goes first",
        "common practice, from memory: about 1.6 to 1",
        f"a fault here may blow the {v.n('above_amp'):g} A fuse first",
        f"{v.n('asked_amp'):.0f} A before a {v.n('fuse_amp'):g} A fuse",
        f"Feed it from the bus beside {v.name('above')}, or fit a smaller fuse",
    )


def no_isolator(v: Values) -> Words:
    del v
    return (
        "an isolator for each battery bank, close to it",
        "ISO 10133; ABYC E-11",
        "there is no isolator in the job",
        "one in reach",
        "Put an isolator on the battery board",
    )


def isolator_reach(v: Values) -> Words:
    opening = v.s("opening")
    found = f"{v.n('reach_mm'):.0f} mm from the edge of {v.name('opening')}"
    return (
        "an isolator reached without moving anything",
        "ISO 10133; reach of an arm: common practice",
        found if opening else "there is no opening to reach it by",
        f"{v.n('asked_mm'):.0f} mm",
        "Move it nearer the opening, or fit a remote isolator there",
    )


def shunt_side(v: Values) -> Words:
    return (
        "every return on the load side of the shunt",
        "shunt makers' manuals; common practice",
        f"it returns to {v.names.place(v.s('end').rpartition('.')[0])}, the battery's side",
        "the minus bus after the shunt",
        "Return it to the minus bus, else the shunt never sees its current",
    )


def pump_isolated(v: Values) -> Words:
    return (
        "a bilge pump that works with the isolator off",
        "ABYC E-11 and ISO 10133 allow the bypass; common practice",
        f"fed from {v.names.place(v.s('place').partition(':')[2])}, behind the isolator",
        "a feed from the battery side with a fuse of its own",
        "Take it from the battery side of the isolator and set bypass = true",
    )
