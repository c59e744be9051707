"""The words of the rules about what cables end on, and what each end is for."""

from viewer.words.rule_values import CFR, Values, Words


def end_too_small(v: Values) -> Words:
    return (
        "a lug or push-on end made for the cable and for what it goes on",
        "ranges of DIN 46235 lugs and DIN 46245 ends, from memory; makers' data",
        f"{v.s('size')} on {v.end('end')} ({v.s('on')}), which takes {v.n('most_mm2'):g} mm²",
        f"at most {v.n('most_mm2'):g} mm²",
        "Bring it to a stud that takes it and go on with a short thinner tail, fused for the tail; "
        "never cut strands away",
    )


def short_heats(v: Values) -> Words:
    return (
        "a conductor that a short does not overheat before its fuse has cleared it",
        "IEC 60364-5-54: S = sqrt(I²t) / k, k = 143",
        f"{v.n('area_mm2'):g} mm² where {v.n('least_mm2'):.1f} mm² is wanted for what the fuse "
        "lets through",
        f"at least {v.n('least_mm2'):.1f} mm²",
        "Take a larger size, or a fuse that lets less through",
    )


def fuse_under_inrush(v: Values) -> Words:
    return (
        "a fuse that lets its load's first moment by",
        "ISO 8820-3, from memory: twice its rating for a quarter of a second",
        f"{v.n('fuse_amp'):g} A fuse, {v.n('inrush_amp'):g} A at first",
        f"at least {v.n('least_amp'):.0f} A, on a cable that carries it",
        "Take a larger fuse, with the cable for it",
    )


def not_mains(v: Values) -> Words:
    return (
        "mains leads run between mains ends; nothing else is left to the licensed person unsized",
        "common practice",
        f"{v.end('end')} is no mains end",
        "a shore inlet or the mains side of a charger at both ends",
        "Take mains = true away: it is a low-voltage circuit and needs its size and fuse",
    )


def not_brief(v: Values) -> Words:
    return (
        "only a motor runs a few minutes at a time: a windlass, a bow thruster, a winch",
        "common practice",
        f"{v.end('load')} is a {v.s('kind')}; by its duty it may run long",
        "a motor that is on less than half an hour a day",
        "Take brief = true away",
    )


def draws_more(v: Values) -> Words:
    return (
        "a circuit allows for what its load draws",
        "makers' data",
        f"{v.n('amp'):g} A is told; {v.end('load')} draws {v.n('draws_amp'):.0f} A",
        f"at least {v.n('draws_amp'):.0f} A",
        "Set its amps to what the load draws by its maker",
    )


def feeds_itself(v: Values) -> Words:
    return (
        "a circuit leads from one thing to another",
        "common practice",
        f"it leads from {v.end('end')} to itself",
        "two ends",
        "Give the terminal it feeds",
    )


def not_a_link(v: Values) -> Words:
    return (
        "a link is one conductor between parts of a board or batteries of a bank",
        "common practice",
        f"{v.end('load')} is what uses power: it needs its minus too",
        "a circuit of two conductors",
        "Take link = true away",
    )


def volts_unknown(v: Values) -> Words:
    return (
        "gear is fed the voltage it is made for",
        "makers' data",
        f"{v.end('load')} is to have {v.n('volts'):g} V; its type tells no voltage",
        "volts in its type, by its maker",
        "Look at its label and write volts in its type, or feed it through a converter",
    )


def blade_way(v: Values) -> Words:
    return (
        "no more through a way of a blade panel than blade fuses are made for",
        "ISO 8820-3",
        f"{v.n('amp'):g} A through {v.name('place')}",
        f"at most {v.n('most_amp'):g} A a way",
        "Feed it from a bus or stud, with a bolted fuse of its own",
    )


def diversity(v: Values) -> Words:
    return (
        "a feeder carries what may be on at once",
        "memory: shops count a half to eight tenths",
        f"{v.n('diversity'):g} of {v.n('amp'):.0f} A is said to be on at once",
        f"at least {v.n('least'):g} of it, where several hang on one feeder",
        "Say what is really on together: anchoring, night passage, engine stopped",
    )


def drop_class(v: Values) -> Words:
    return (
        "panels, pumps, blowers and navigation lights drop at most 3 %",
        "ISO 10133",
        f"{v.n('asked'):g} % is asked for; it feeds a {v.s('kind')}",
        f"{v.n('held'):g} %",
        f"It was sized for {v.n('held'):g} %",
    )


def fed_twice(v: Values) -> Words:
    return (
        "a load hangs on one bank",
        "common practice: two would be joined through it",
        f"{v.end('load')} is fed by {v.name('other')} from another bank too",
        "one feed, or a change-over switch before it",
        "Take one away, or feed both through a change-over switch",
    )


def bare_hole(v: Values) -> Words:
    del v
    return (
        "no cable over a bare cut edge",
        f"{CFR} 183.445(a)",
        "its edge is bare",
        "edging, a grommet or a gland all round",
        'Fit it before any cable goes through, and write edge = "edged"',
    )


def lugs_on_a_stud(v: Values) -> Words:
    return (
        "no more than four lugs on one stud, the largest first",
        "ABYC E-11",
        f"{v.n('lugs'):.0f} lugs on {v.end('end')}",
        f"at most {v.n('most'):.0f}",
        "Bring them to a bus bar, and one cable on to the stud",
    )


def laid_twice(v: Values) -> Words:
    return (
        "one circuit from one terminal to another",
        "common practice",
        f"{v.name('other')} leads between the same two terminals",
        "one of them",
        "Take one away, or give the end that is meant",
    )


def led_round(v: Values) -> Words:
    return (
        "nothing leads round an isolator, a fuse or a switch",
        "common practice: what is led round neither parts nor guards",
        f"copper joins both sides of this {v.s('kind')}",
        "one way only, through it",
        "Take the other way away, or give it an isolator and fuse of its own",
    )


def led_past(v: Values) -> Words:
    return (
        "what is to part or guard a circuit has the circuit on both its sides",
        "common practice",
        f"only {v.end('end')} is used: nothing passes through this {v.s('kind')}",
        "the feed on one side and the load on the other",
        "Move one of the cables that end there to the other side",
    )


def spare_ways(v: Values) -> Words:
    return (
        "ways to spare",
        "",
        f"{v.n('spare'):.0f} of {v.n('ways'):.0f} ways are free",
        "",
        "Nothing to do",
    )


def no_switch(v: Values) -> Words:
    del v
    return (
        "a switch for what a person turns on and off",
        "common practice",
        "neither a switch nor a breaker is told on its way",
        "",
        "Put in its switch, relay or control, or let its own one do; it is not bought here",
    )


def links_not_told(v: Values) -> Words:
    del v
    return (
        "what joins the parts of a board",
        "",
        "no links are told: its parts are taken to hang on the one fed from off the board, "
        "through its fuse, isolator and shunt",
        "circuits with link = true",
        "Add its links: they are cut, sized and listed for the bench",
    )
