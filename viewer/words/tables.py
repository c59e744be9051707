"""The tables of the book about the wiring: heads, rows in words, and the share of the page."""

from collections.abc import Callable
from typing import Final

from viewer.words.circuits import DECIDED, fuse_words, plug_words
from viewer.words.cut_tables import costs, cuts
from viewer.words.names import Names, joined, metres, short, times
from viewer.words.rules import rule_words
from viewer.words.table import Table, Words
from viewer.words.way_tables import (
    compass_list,
    detour_list,
    laid_list,
    loop_list,
    plate_hole_list,
)
from viewer.words.wire_tables import (
    CLOSED,
    bank_list,
    link_list,
    size_plan_words,
    wire_list,
)
from viewer.work.rows import Result
from viewer.work.wiring_rows import FixingRow, FuseRow, LeadRow, NeighbourRow

SHORTEST_RUN_MM: Final = 150.0
URGENCY: Final = {"must": "must", "should": "should", "note": "note"}


def wiring_tables(r: Result, names: Names) -> tuple[Table, ...]:
    """Every table about the wiring that has something in it."""
    makers: tuple[Callable[[Result, Names], Table], ...] = (
        _findings,
        _sizes,
        laid_list,
        detour_list,
        _runs,
        _pulls,
        _fuses,
        wire_list,
        link_list,
        bank_list,
        _draws,
        plate_hole_list,
        loop_list,
        compass_list,
        _fixings,
        _backbones,
        _devices,
        _leads,
        _mains,
        cuts,
        costs,
    )
    return tuple(t for t in (make(r, names) for make in makers) if t.rows)


def _findings(r: Result, names: Names) -> Table:
    rows = []
    for f in r.findings:
        w = rule_words(f, names)
        asks = f"{w.rule}: {w.asks}" if w.asks else w.rule
        rows.append((URGENCY[f.urgency], w.about, w.found, asks, w.source, w.remedy))
    return Table(
        "rules",
        "Rules looked at",
        "What was found against rules of the trade and of standards as reprinted. None of this is "
        "a certificate: local codes and licensed practice decide.",
        ("Urgency", "About", "Found", "Rule and what it asks", "Source", "What would mend it"),
        tuple(rows),
        (8, 20, 20, 22, 16, 24),
    )


def _beside(n: NeighbourRow | None) -> str:
    return "-" if n is None else f"{n.size}: {n.drop_percent:.1f} %, {n.dearer:+.2f}"


def _sizes(r: Result, names: Names) -> Table:
    del names
    rows = []
    for c in r.circuits:
        if c.size is None or c.drop_percent is None:
            continue
        hot = "-"
        if c.cold_percent is not None and c.hot_percent is not None:
            hot = f"{c.cold_percent:.1f} / {c.hot_percent:.1f} %"
        drop = f"{c.drop_percent:.1f} % of {c.drop_limit_percent:g} %"
        by = DECIDED[c.decided_by or "given"]
        rows.append((c.number, c.label, c.size, by, drop, hot, _beside(c.down), _beside(c.up)))
    return Table(
        "sizes",
        "Why each size, and the sizes beside it",
        "Volt drop is over the whole path from the battery and back through the cables. Cold / hot "
        "is the whole network with everything on, cables at 5 and 60 °C, contacts and fuses "
        "counted. Prices are the difference in cable, in your currency. " + size_plan_words(r),
        ("No.", "Circuit", "Size", "Decided by", "Volt drop", "Cold / hot", "Next down", "Next up"),
        tuple(rows),
        (6, 22, 10, 13, 14, 14, 18, 18),
    )


def _runs(r: Result, names: Names) -> Table:
    rows = [
        (names.where(x.kind, x.where, x.face), metres(x.length_mm), ", ".join(x.circuits))
        for x in r.runs
        if len(x.circuits) > 1 and x.kind in ("face", "tray") and x.length_mm >= SHORTEST_RUN_MM
    ]
    words = []
    for p in r.run_plans:
        gap = max(0.0, p.cost - p.bound) / p.cost if p.cost > 0 else 0.0
        most = f"it can be at most {gap:.1%} cheaper"
        proof = "it cannot be cheaper" if gap < CLOSED else most
        words.append(
            f"Shared runs for {p.group} cost {p.cost:.0f} in cable, pulling, clips and holes, "
            f"{p.saving:.0f} less than separate; {proof}."
        )
    head = ("Where", "Length", "Circuits")
    return Table("shared_runs", "Shared runs", " ".join(words), head, tuple(rows), (36, 12, 52))


def _pulls(r: Result, names: Names) -> Table:
    rows = [
        (
            str(k),
            f"{p.number} {names.circuit(p.number)}",
            plug_words(p.plug_mm),
            ", ".join(names.joint(j) for j in p.through),
        )
        for k, p in enumerate(r.pulls, start=1)
    ]
    note = "Big plugs first: plugs checked in this order."
    head = ("Step", "Circuit", "Plug", "Through")
    return Table("pulls", "Order of pulling", note, head, tuple(rows), (8, 36, 20, 36))


def fuse_place(f: FuseRow, names: Names) -> str:
    """Where a circuit's fuse sits."""
    return {
        "starter": "none: a starter feed is exempt; keep it short, sheathed and away from metal",
        "in cable": f"in the cable, from {names.place(f.place)}",
        "far end": f"{names.place(f.place)}, at the far end",
        "fuse way": f"a {'breaker' if f.breaker else 'fuse way'} of {names.place(f.place)}",
        "battery end": f"at {names.place(f.place)}, the battery end, for a charger's output",
        "to fit": f"to fit at {names.place(f.place)}, within {f.limit_mm:.0f} mm along the cable",
    }[f.at]


def _fuses(r: Result, names: Names) -> Table:
    rows = []
    for f in r.fuses:
        along = "-" if f.amp is None else f"{f.along_mm:.0f} mm, at most {f.limit_mm:.0f}"
        stops = f"{f.stops_amp / 1000:.1f} kA" if f.stops_amp else "-"
        rows.append(
            (
                f.number,
                names.circuit(f.number),
                fuse_words(f.amp, f.breaker) if f.amp else "none",
                fuse_place(f, names),
                along,
                f"{f.load_amp:g} A",
                f"{f.carries_amp:.0f} A",
                stops,
            )
        )
    return Table(
        "fuses",
        "Fuse schedule",
        "Must stop: the fault current at the battery's fuses by the rule named under Rules; a fuse "
        "further on may see less. Batteries can burn: fit fuses with the battery disconnected.",
        (
            "No.",
            "Circuit",
            "Fuse",
            "Where",
            "Distance from source",
            "Load",
            "Cable carries",
            "Must stop",
        ),
        tuple(rows),
        (6, 20, 9, 30, 15, 9, 11, 10),
    )


def _draws(r: Result, names: Names) -> Table:
    rows: list[Words] = [
        (
            d.number,
            names.circuit(d.number),
            f"{d.amp:.1f} A",
            f"{24 * d.duty:.1f} h",
            f"{d.amp_hour:.0f} Ah",
        )
        for d in r.draws
    ]
    if rows:
        rows.append(("", "in a day", "", "", f"{sum(d.amp_hour for d in r.draws):.0f} Ah"))
    note = (
        "Loads whose duty the job tells. The batteries that feed circuits hold "
        f"{r.bank_amp_hour:.0f} Ah when new; half of that is all a lead-acid battery should give "
        "(common practice)."
    )
    head = ("No.", "Circuit", "While on", "On, of a day", "Ampere-hours")
    return Table("draws", "What is drawn in a day", note, head, tuple(rows), (8, 40, 16, 18, 18))


def fixing_words(f: FixingRow, names: Names) -> tuple[str, str]:
    """(what to fit, a note)."""
    joint = names.joint_whole(f.joint) if f.joint else ""
    if f.kind == "clip":
        note = f"no more than {f.spacing_mm:.0f} mm apart, where the pictures show them"
        battery = ", the first within 1 m of the battery" if f.spacing_mm < 450 else ""
        return f"clip for a bundle up to {f.bundle_mm:.0f} mm", note + battery
    if f.kind == "edging":
        around = (
            f"{f.length_mm:.0f} mm round a {f.bundle_mm:.0f} mm hole, before any cable goes through"
        )
        return f"edging or grommet in {joint}", around
    if f.kind == "outside":
        over = f"over {f.length_mm / 1000:.1f} m, against sun and chafe"
        return "clips and a sleeve for a leg outside", over
    if f.kind == "stand-off":
        return "batten or stand-off for a lead", f"it would hang {f.length_mm:.0f} mm"
    if f.kind == "gland":
        return f"seal the gland of {joint}", "after the last cable"
    if f.kind == "string":
        drawn = "draw a new string in with the last cable"
        return (
            f"pull string in {joint}",
            drawn if f.has_string else "no string in it: fish one first",
        )
    return f"drip loop inside {joint}", f"{f.length_mm:.0f} mm below the hole before the first clip"


def _fixings(r: Result, names: Names) -> Table:
    rows = []
    for f in r.fixings:
        what, note = fixing_words(f, names)
        space = names.space(f.space) if f"space:{f.space}" in names.labels else names.joint(f.space)
        rows.append((space, what, str(f.count), ", ".join(f.circuits), note))
    head = ("Place", "What", "How many", "Circuits", "Note")
    return Table("fixings", "Fixings, by place", "", head, tuple(rows), (20, 28, 9, 22, 30))


def _backbones(r: Result, names: Names) -> Table:
    rows = []
    for b in r.backbones:
        lengths = (b.length_mm, b.counted_mm, b.drop_leads_mm, b.longest_drop_lead_mm)
        verdict = "in order" if not b.findings else f"{b.findings} to put right"
        rows.append(
            (
                names.of(f"backbone:{b.key}"),
                *(metres(x) for x in lengths),
                str(len(b.devices)),
                f"{b.loads} ({b.amp:.2f} A)",
                f"{b.spread_volt:.2f} V",
                verdict,
            )
        )
    return Table(
        "backbones",
        "Instrument backbone",
        "",
        (
            "Backbone",
            "Length",
            "Length counted for limit",
            "Drop leads",
            "Longest",
            "Instruments",
            "Loads",
            "Volt drop end to end",
            "Verdict",
        ),
        tuple(rows),
        (16, 10, 10, 10, 10, 11, 12, 11, 12),
    )


def _devices(r: Result, names: Names) -> Table:
    rows = [
        (
            names.of(f"backbone:{b.key}"),
            d.tee,
            metres(d.along_mm),
            names.of(d.on),
            metres(d.drop_lead_mm),
            str(d.loads),
        )
        for b in r.backbones
        for d in b.devices
    ]
    head = ("Backbone", "Tee", "Along", "Instrument", "Drop lead", "Load number")
    return Table("tees", "Tees and drop leads", "", head, tuple(rows), (20, 18, 12, 24, 12, 12))


def _lead_place(x: LeadRow, names: Names) -> str:
    if x.face is None or x.beside is None or x.from_end_mm is None:
        return "-"
    off = "" if x.from_power_mm is None else f", {x.from_power_mm:.0f} mm from power"
    return f"{names.face(x.face)}, {x.from_end_mm:.0f} mm from {names.piece(x.beside)}{off}"


def _leads(r: Result, names: Names) -> Table:
    rows = []
    for x in r.leads:
        coiled = x.length_mm is not None and x.surplus_mm > 0 and x.coil_mm[2] > 0
        rows.append(
            (
                x.number,
                names.circuit(x.number),
                metres(x.needs_mm),
                "none reaches" if x.length_mm is None else metres(x.length_mm),
                metres(x.surplus_mm),
                times(*x.coil_mm) if coiled else "-",
                _lead_place(x, names),
            )
        )
    note = "Never cut or jointed. Lay surplus in a figure of eight, not a round coil."
    head = ("No.", "Lead", "Needs", "Take", "Over", "Room", "Lay the rest")
    return Table("leads", "Ready-made leads", note, head, tuple(rows), (6, 20, 10, 11, 9, 18, 32))


def _mains(r: Result, names: Names) -> Table:
    rows = [
        (
            c.number,
            c.label,
            names.place(c.feed.rpartition(".")[0]),
            names.place(c.load.rpartition(".")[0]),
            metres(c.out.route_mm) if c.out else "no way",
            joined([short(names.joint(j)) for j in c.joints]) or "-",
            "licensed person",
        )
        for c in r.circuits
        if c.mains
    ]
    note = "Nothing here is sized or approved: a licensed person sizes, fits and tests it."
    head = ("No.", "Circuit", "From", "To", "Route", "Through", "Who")
    title = "Mains (AC): space and route only"
    return Table("mains", title, note, head, tuple(rows), (6, 24, 18, 18, 10, 16, 14))
