"""Circuits in words: sizes, drops, lengths, why a route is longer, why there is none."""

from typing import Final

from viewer.words.names import Names, joined, metres, mm, short
from viewer.work.wiring_rows import BoreRow, CircuitRow, DetourRow, NoWayRow

DECIDED: Final = {
    "least size": "least size allowed",
    "current": "its current",
    "drop": "its volt drop",
    "fuse": "a fuse a quarter over its load",
    "drop shared with what it feeds": "volt drop shared with what it feeds",
    "given": "given in the job",
    "no size is enough": "no size is enough",
}


def size_words(circuit: CircuitRow) -> str:
    """A circuit's size."""
    if circuit.mains:
        return "licensed person"
    return "lead" if circuit.signal else (circuit.size or "-")


def drop_words(circuit: CircuitRow) -> str:
    """A circuit's drop over the whole path."""
    if circuit.drop_volt is None or circuit.drop_percent is None:
        return "-"
    return f"{circuit.drop_volt:.2f} V, {circuit.drop_percent:.1f} %"


def percent_words(circuit: CircuitRow) -> tuple[str, str]:
    """(drop, limit) in percent."""
    if circuit.drop_percent is None:
        return "-", "-"
    return f"{circuit.drop_percent:.1f} %", f"{circuit.drop_limit_percent:g} %"


def fuse_words(amp: float | None, breaker: bool = False) -> str:
    """A fuse, or the breaker that stands for one."""
    return f"{amp:g} A{' breaker' if breaker else ''}" if amp else "-"


def cut_words(circuit: CircuitRow) -> tuple[str, str]:
    """(cut length out, and back)."""
    out = metres(circuit.out.cut_mm) if circuit.out else "no way"
    return out, metres(circuit.back.cut_mm) if circuit.back else "-"


def no_way_words(n: NoWayRow, names: Names, plug_mm: float | None) -> str:
    """Why a cable has no way, and what would open one."""
    listed = joined([names.joint(k) for k in n.keys[:3]])
    if n.barrier == "avoid":
        return f"no way that avoids {listed}: leave 'avoid' out and there is one"
    if n.barrier == "terminal":
        shut = joined([names.terminal(k) for k in n.keys])
        return f"no room for any cable round {shut}: move what stands there aside"
    if n.barrier == "plug":
        plug = plug_mm or 0.0
        return (
            f"its plug of {plug:.0f} mm does not pass {listed}: pull it first, drill "
            f"{plug + 2:.0f} mm beside, or use a lead whose plug is fitted after"
        )
    if n.barrier == "via":
        return f"no way through {listed} in that order: leave 'via' out and there is one"
    if n.barrier == "bare":
        return (
            f"the only way is through {listed}, whose edge is bare and may not be edged: "
            "allow edging there, or cut another hole"
        )
    if n.barrier == "closed":
        return (
            f"no way from {n.start} to {n.goal} that keeps off closed surfaces and hazards: the "
            f"nearest is {n.nearest_mm / 1000:.1f} m across them; open a surface, or add a tray "
            "or pipe"
        )
    return f"no way from {n.start} to {n.goal}: add a hole, pipe or tray between their spaces"


def detour_words(d: DetourRow, names: Names) -> str:
    """Why a route is longer than the shortest."""
    if d.rule == "hazard":
        return f"to stay {d.value_mm:.0f} mm from {names.of('hazard:' + d.keys[0])}"
    if d.rule == "closed":
        return f"to keep off the {names.face('.'.join(d.keys))}"
    return {
        "together": "to keep off closed surfaces and hazards, together",
        "asked": "to go by 'via' and 'avoid' as the job asks",
        "plug": f"to pass its {d.value_mm:.0f} mm plug",
        "bend": "to keep its bend radius",
        "power": "to keep off power cable",
        "shared": "to share a run (cheaper overall)",
    }[d.rule]


def larger_than_straight(circuit: CircuitRow) -> str:
    """What to buy where a straight tape would have bought too small; empty elsewhere."""
    if circuit.area_mm2 is None or circuit.straight_area_mm2 is None or circuit.out is None:
        return ""
    if circuit.area_mm2 <= circuit.straight_area_mm2:
        return ""
    straight = (
        circuit.straight_mm
        + circuit.out.cut_mm
        - circuit.out.route_mm
        - circuit.out.wander_mm
        - circuit.out.bends_mm
    )
    return (
        f"buy {circuit.size}, not {circuit.straight_size}: "
        f"cut length {circuit.out.cut_mm / 1000:.2f} m, not {straight / 1000:.1f}"
    )


def full_words(bore: BoreRow) -> str:
    """How full a bore is."""
    if bore.too_full and bore.fill - bore.limit < 0.01:
        return f"just over {bore.limit:.0%}"
    return f"{bore.fill:.0%}"


def full_sentence(bore: BoreRow) -> str:
    """Why a bore is too small: its share of the area, or cables that do not pass side by side."""
    if bore.too_full and bore.fill <= bore.limit:
        return f"its thickest cables do not pass {bore.bore_mm:.0f} mm side by side"
    return f"{full_words(bore)} full, {bore.limit:.0%} allowed"


def bore_todo(bore: BoreRow) -> list[str]:
    """What is to be done about a hole or pipe."""
    out = []
    if bore.needs_edging:
        out.append("fit edging or a grommet before any cable goes through")
    if bore.too_full:
        out.append(f"fit a bore of {enough_mm(bore):.0f} mm or move a cable")
    if bore.may_jam:
        out.append("three like cables may wedge side by side: pull them together")
    return out


def enough_mm(bore: BoreRow) -> float:
    """A bore that is enough: the next whole millimetre above both the least and what is there."""
    return max(-(-bore.least_bore_mm // 1), bore.bore_mm // 1 + 1)


def plug_words(plug_mm: float | None) -> str:
    """A plug's size."""
    return "-" if plug_mm is None else mm(plug_mm)


def through_words(circuit: CircuitRow, names: Names) -> str:
    """What a circuit passes through, or why it has no way."""
    if circuit.no_way is not None:
        return no_way_words(circuit.no_way, names, circuit.plug_mm)
    return ", ".join(short(names.joint(j)) for j in circuit.joints)
