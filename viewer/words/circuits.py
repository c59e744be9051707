"""Circuits in words: sizes, drops, lengths, why a route is longer, why there is none."""

from typing import Final

from viewer.words.names import Names, joined, metres, mm, short
from viewer.work.wiring_rows import BoreRow, CircuitRow, DetourRow, NoWayRow

DECIDED: Final = {
    "least size": "least size allowed",
    "current": "its current",
    "drop": "its volt drop",
    "fuse": "a fuse a quarter over its load",
    "given": "given in the job",
    "no size is enough": "no size is enough",
}


def size_words(c: CircuitRow) -> str:
    """A circuit's size."""
    if c.mains:
        return "licensed person"
    return "lead" if c.signal else (c.size or "-")


def drop_words(c: CircuitRow) -> str:
    """A circuit's drop over the whole path."""
    if c.drop_volt is None or c.drop_percent is None:
        return "-"
    return f"{c.drop_volt:.2f} V, {c.drop_percent:.1f} %"


def percent_words(c: CircuitRow) -> tuple[str, str]:
    """(drop, limit) in percent."""
    if c.drop_percent is None:
        return "-", "-"
    return f"{c.drop_percent:.1f} %", f"{c.drop_limit_percent:g} %"


def fuse_words(amp: float | None) -> str:
    """A fuse."""
    return f"{amp:g} A" if amp else "-"


def cut_words(c: CircuitRow) -> tuple[str, str]:
    """(cut length out, and back)."""
    out = metres(c.out.cut_mm) if c.out else "no way"
    return out, metres(c.back.cut_mm) if c.back else "-"


def no_way_words(n: NoWayRow, names: Names, plug_mm: float | None) -> str:
    """Why a cable has no way, and what would open one."""
    listed = joined([names.joint(k) for k in n.keys[:3]])
    if n.barrier == "avoid":
        return f"no way that avoids {listed}: leave 'avoid' out and there is one"
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


def larger_than_straight(c: CircuitRow) -> str:
    """What to buy where a straight tape would have bought too small; empty elsewhere."""
    if c.area_mm2 is None or c.straight_area_mm2 is None or c.out is None:
        return ""
    if c.area_mm2 <= c.straight_area_mm2:
        return ""
    straight = c.straight_mm + c.out.cut_mm - c.out.route_mm - c.out.wander_mm - c.out.bends_mm
    return (
        f"buy {c.size}, not {c.straight_size}: cut length {c.out.cut_mm / 1000:.2f} m, "
        f"not {straight / 1000:.1f}"
    )


def full_words(b: BoreRow) -> str:
    """How full a bore is."""
    if b.too_full and b.fill - b.limit < 0.01:
        return f"just over {b.limit:.0%}"
    return f"{b.fill:.0%}"


def bore_todo(b: BoreRow) -> list[str]:
    """What is to be done about a hole or pipe."""
    out = []
    if b.needs_edging:
        out.append("fit edging or a grommet before any cable goes through")
    if b.too_full:
        out.append(f"fit a bore of {enough_mm(b):.0f} mm or move a cable")
    if b.may_jam:
        out.append("three like cables may wedge side by side: pull them together")
    return out


def enough_mm(b: BoreRow) -> float:
    """A bore that is enough: the next whole millimetre above both the least and what is there."""
    return max(-(-b.least_bore_mm // 1), b.bore_mm // 1 + 1)


def plug_words(plug_mm: float | None) -> str:
    """A plug's size."""
    return "-" if plug_mm is None else mm(plug_mm)


def through_words(c: CircuitRow, names: Names) -> str:
    """What a circuit passes through, or why it has no way."""
    if c.no_way is not None:
        return no_way_words(c.no_way, names, c.plug_mm)
    return ", ".join(short(names.joint(j)) for j in c.joints)
