"""The words of the rules about what is joined to what, and about claims that do not hold."""

from viewer.words.rule_values import CFR, Values, Words

FIRE = "Do not connect it: this is a short circuit"


def plus_to_minus(v: Values) -> Words:
    return (
        "a circuit's plus never meets a minus",
        "Ohm's law; common practice",
        f"{v.end('feed')} is joined straight to {v.end('load')}",
        "plus to plus, and minus back",
        f"{FIRE}. Give the load's plus terminal, or feed it from a plus",
    )


def series_link(v: Values) -> Words:
    return (
        "batteries are joined in series only where a bank is meant to be",
        "common practice: in series voltages add up",
        f"{v.end('feed')} is joined to {v.end('load')}",
        "plus to plus for batteries side by side",
        "Join plus to plus. A bank in series is not worked out here: have it drawn and checked by "
        "a licensed person",
    )


def fed_from_minus(v: Values) -> Words:
    return (
        "a circuit is fed from a plus",
        "common practice",
        f"{v.end('feed')} is a minus; it feeds {v.end('load')}",
        "a plus terminal",
        "Feed it from the plus; its minus goes back by returns_to",
    )


def not_a_power_end(v: Values) -> Words:
    return (
        "power goes between power terminals",
        "common practice",
        f"{v.end('feed')} to {v.end('load')}",
        "no mains and no data terminal at either end",
        "Give the right terminal, or mark the circuit mains = true or signal = true",
    )


def fed_by_a_load(v: Values) -> Words:
    return (
        "a load feeds no other circuit",
        "common practice",
        f"{v.end('feed')} is what a load is fed by; {v.end('load')} hangs on it",
        "a fuse way, a bus or a battery",
        "Feed it from the panel, with a fuse of its own",
    )


def returns_to_plus(v: Values) -> Words:
    return (
        "a circuit's minus returns to a minus",
        "Ohm's law; common practice",
        f"its return goes to {v.end('back')}",
        "a minus bus, a shunt or a battery's minus",
        f"{FIRE}. Give a minus terminal in returns_to",
    )


def other_voltage(v: Values) -> Words:
    return (
        "one voltage from source to load",
        "makers' data",
        f"{v.end('end')} is for {v.n('end_volts'):g} V; the circuit is {v.n('said_volts'):g} V",
        "the same nominal voltage, or a converter between",
        "Choose gear for that voltage, feed it through a converter, or mend the circuit's volts",
    )


def mixed_batteries(v: Values) -> Words:
    return (
        "batteries side by side are alike",
        "battery makers' manuals; common practice",
        f"{v.end('feed')} and {v.end('load')}: lithium beside lead-acid",
        "the same chemistry, age and size",
        "Never join them straight: charge one from the other through a converter",
    )


def not_a_starter(v: Values) -> Words:
    return (
        "only a starter motor's own feed goes without a fuse",
        f"{CFR} 183.455",
        f"{v.end('load')} is a {v.s('kind')}, not a starter fed by a battery",
        "a starter motor behind a battery",
        "Take starter = true away and fit a fuse",
    )


def not_a_signal(v: Values) -> Words:
    return (
        "a data or aerial lead carries next to nothing",
        "common practice",
        f"{v.n('amp'):g} A to {v.end('load')}",
        f"at most {v.n('most_amp'):g} A, to an instrument, radio, sensor or aerial",
        "Take signal = true away: it is a power circuit and needs its size and fuse",
    )


def no_bypass(v: Values) -> Words:
    return (
        "a bypass is taken from the battery side of the isolator",
        "ISO 10133, from memory; common practice",
        f"it is fed from {v.end('feed')}, which the isolator switches",
        "the battery, or the part its own cable ends on",
        "Feed it from the battery side with a fuse of its own, or take bypass = true away",
    )


def device_volts(v: Values) -> Words:
    return (
        "a fuse or breaker is made for the voltage it guards",
        "ISO 8820-3: blade fuses 32 V; makers' data",
        f"{v.n('volts'):g} V through {v.name('place')}, which is made for {v.n('rated_volts'):g} V",
        "a device rated for the circuit's voltage",
        "Fit one rated for it: a lesser one may burn on",
    )


def bank_draw(v: Values) -> Words:
    return (
        "a day's draw within what the bank gives",
        "common practice: half of a lead-acid bank; eight tenths of lithium from memory",
        f"{v.n('day_ah'):.0f} Ah a day from {v.n('bank_ah'):.0f} Ah",
        f"at most {v.n('gives_ah'):.0f} Ah between charges",
        "Add capacity or charging, or charge more often than once a day",
    )


def link_ends(v: Values) -> Words:
    return (
        "a link between batteries has a fuse at both ends",
        "33 CFR 183.455: each end is a source",
        f"{v.end('feed')} to {v.end('load')}: one fuse for two sources",
        "a fuse within 178 mm of each battery",
        "Fit a second fuse at the other end",
    )


def over_rating(v: Values) -> Words:
    return (
        "no more current than gear is made to carry",
        "makers' data",
        f"{v.n('amp'):.0f} A through {v.name('part')}, which carries {v.n('rated_amp'):.0f} A",
        "a part rated for the current",
        "Choose a larger one, or share the load over two",
    )


def path_without_isolator(v: Values) -> Words:
    return (
        "every path from a battery has an isolator in it",
        "ISO 10133, from memory; common practice",
        f"nothing on the way from {v.name('battery')} isolates it",
        "an isolator in this path, near the battery",
        "Lead it through an isolator; what must stay live says bypass = true",
    )


def too_few_ways(v: Values) -> Words:
    return (
        "no more circuits on a panel than it has ways",
        "makers' data",
        f"{v.n('circuits'):.0f} circuits",
        f"it has {v.n('ways'):.0f} ways",
        "Move some to another panel, or choose a larger one",
    )


def wired_to_nothing(v: Values) -> Words:
    del v
    return (
        "gear in the boat hangs on a circuit",
        "common practice",
        "no circuit feeds it, and it feeds none",
        "a circuit, or another job's",
        "Add its circuit, or leave it out of this job",
    )


def bypass_for_what(v: Values) -> Words:
    return (
        "only what must stay live bypasses the isolator: bilge pumps, alarms, memories, charging",
        "ISO 10133, from memory; common practice",
        f"{v.end('load')}, {v.n('amp'):g} A, would stay live with the isolator off",
        "a pump, a sensor, a memory or a charger, of little current",
        "Feed it from behind the isolator and take bypass = true away",
    )
