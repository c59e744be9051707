"""The words of the rules about batteries, banks and chargers, and about what cables end on."""

from viewer.words.names import joined
from viewer.words.rule_values import CFR, Values, Words

LITHIUM = "Lithium: keep to its maker's word; a licensed person checks it"


def bank_unlike(v: Values) -> Words:
    return (
        "the batteries of a bank are alike",
        "battery makers' manuals; common practice",
        f"they differ in {v.s('what')}",
        "one chemistry, voltage and capacity, and one age",
        "Use like batteries, or make two banks of them",
    )


def bank_not_joined(v: Values) -> Words:
    links = joined([x.replace(".", " ") for x in v.list("links")])
    return (
        "a bank's batteries are joined by links",
        "common practice",
        f"no circuit joins {links}",
        "a circuit with link = true for each",
        "Add the links: each is a cable to be cut, with its lugs",
    )


def fuse_each_battery(v: Values) -> Words:
    return (
        "an overload device for each battery of those side by side",
        "46 CFR 111.15-25 asks it of inspected vessels; lithium makers' manuals",
        f"{v.n('strings'):.0f} strings side by side share one fuse",
        "a fuse on each battery's plus, of a class that stops its fault current",
        "Fit one on each post, and write fuse_at in the links between them",
    )


def starter_volts(v: Values) -> Words:
    return (
        "enough volts at the starter while it turns",
        "three quarters of nominal, from memory; battery resistance from its cranking current",
        f"{v.n('starter_volt'):.1f} V at the starter, {v.n('battery_volt'):.1f} V at "
        f"{v.name('battery')}",
        "thicker or shorter cable, or a battery of more cranking current",
        "Go up a size, or stand the battery nearer",
    )


def dips_while_starting(v: Values) -> Words:
    return (
        "electronics do not hang on the battery that starts the engine",
        "four fifths of nominal, from memory",
        f"while the engine starts {v.name('battery')} falls to {v.n('battery_volt'):.1f} V",
        "a bank of their own, or a converter that holds their voltage",
        "Feed them from another bank",
    )


def alternator_fuse(v: Values) -> Words:
    fuse = f"{v.n('fuse_amp'):g} A" if v.n("fuse_amp") else "none is told"
    return (
        "an alternator that does not limit itself has a device of at most 120 % of its output",
        f"{CFR} 183.460(b), from memory",
        f"its fuse: {fuse}",
        f"at most {v.n('most_amp'):.0f} A",
        "Give its fuse_amp, or self_limiting = true where its maker says so",
    )


def alternator_unknown(v: Values) -> Words:
    del v
    return (
        "an alternator that does not limit itself has a device of at most 120 % of its output",
        f"{CFR} 183.460(b), from memory",
        "its type tells neither its output nor that it limits itself",
        "charge_amps, or self_limiting = true by its maker's word",
        "Read its plate and write it in its type",
    )


def mains_not_shown(v: Values) -> Words:
    del v
    return (
        "a mains charger's own lead is shown for its space and route",
        "common practice",
        "no circuit with mains = true ends on it",
        "a circuit from a shore inlet to its mains side",
        "Add it: nothing about it is sized; a licensed person decides",
    )


def no_regulator(v: Values) -> Words:
    return (
        "a solar panel charges through a regulator",
        "makers' manuals: a panel's open voltage is far over a battery's",
        f"it ends on {v.end('load')}",
        "the input of a regulator",
        "Fit a regulator between, with its fuse at the battery",
    )


def charges_a_panel(v: Values) -> Words:
    return (
        "a charger ends on a battery, its bus or its main fuse, not on a panel",
        "common practice: with two sources a panel's feeder fuse no longer limits it",
        f"it ends on {v.end('load')}",
        "the battery side of the isolator",
        "Lead it to the battery's bus, with its fuse there",
    )


def taps_a_string(v: Values) -> Words:
    return (
        "what a bank feeds is taken from its two ends",
        "common practice: a tap drains one battery of a string and the others are overcharged",
        f"{v.end('end')} is inside a string",
        "the plus end and the minus end of the bank",
        "Feed it through a converter from the whole bank",
    )


def mixed_by_a_bus(v: Values) -> Words:
    names = joined([v.names.of(k) for k in v.list("batteries")])
    return (
        "batteries side by side are alike",
        "battery makers' manuals; common practice",
        f"{names} end on {v.end('end')}: lithium beside lead-acid",
        "the same chemistry, age and size",
        "Never join them straight: charge one from the other through a converter",
    )


def banks_joined(v: Values) -> Words:
    names = joined([v.names.of(k) for k in v.list("batteries")])
    return (
        "two banks meet only through a switch for emergencies",
        "common practice",
        f"{names} both end on {v.end('end')}",
        "each bank on an isolator of its own",
        "Give each its own isolator; if they are one bank, say so under [banks]",
    )


def lithium_in_heat(v: Values) -> Words:
    del v
    return (
        "no lithium battery in an engine space",
        "battery makers' manuals: charging stops near 45 to 50 °C",
        "it stands in an engine space",
        "a cool, dry, ventilated place away from the engine",
        f"Find it another place. {LITHIUM}",
    )


def lithium_unmanaged(v: Values) -> Words:
    del v
    return (
        "a lithium battery has a management system that can part it from everything",
        "ISO/TS 23625, from memory; battery makers' manuals",
        "its type does not say that it has one",
        "management = true once its maker says so",
        f"Ask its maker, or choose one that has it. {LITHIUM}",
    )


def lithium_charger(v: Values) -> Words:
    said = "is not made for lithium" if v.s("known") == "no" else "is not known to suit lithium"
    return (
        "a charger suits the battery it charges",
        "battery makers' manuals",
        f"{v.name('charger')} {said}",
        "a charger with a setting for it, by its maker's word",
        "Ask its maker and write suits_lithium in its type, or choose another",
    )


def fed_by_nothing(v: Values) -> Words:
    del v
    return (
        "a converter is fed from a battery",
        "common practice",
        "circuits hang on its output, and none feeds its input",
        "a circuit whose load is its input",
        "Add the circuit that feeds it, with its fuse at the battery",
    )


def converter_power(v: Values) -> Words:
    return (
        "a converter gives no more than it is fed, less its own loss",
        "conservation of energy; an efficiency of nine tenths from memory",
        f"{v.n('gives_watt'):.0f} W are to come out of {v.n('takes_watt'):.0f} W",
        f"at most {v.n('share') * v.n('takes_watt'):.0f} W",
        "Feed it with more current, or hang less on it",
    )


def charges_too_fast(v: Values) -> Words:
    return (
        "no more charge than the battery takes",
        "common practice: a quarter of a lead-acid battery's Ah; its maker's word",
        f"{v.n('amp'):g} A into {v.name('battery')}, which takes {v.n('takes_amp'):.0f} A",
        f"at most {v.n('takes_amp'):.0f} A",
        "Set the charger to less, or write the battery's charge_amps by its maker",
    )
