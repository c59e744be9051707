"""The wiring in words: the tables of the book that tell of trunks, fuses, fixings, rules and cost."""

from dataclasses import dataclass

from layout.job.sizes import inches
from layout.verdict.rules import RuleFinding, Weight
from routing.circuits.cables import Cable
from routing.stock.supports import run_words
from routing.wiring import Wiring

SHORTEST_TRUNK_MM = 150.0
Row = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A titled table with a line of words above it; `widths` share out the page."""

    key: str
    title: str
    note: str
    head: Row
    rows: tuple[Row, ...]
    widths: tuple[int, ...]


def sections(w: Wiring) -> tuple[Section, ...]:
    """Every table about the wiring that has something in it."""
    made = (
        _findings(w),
        _sizes(w),
        _detours(w),
        _trunks(w),
        _pulls(w),
        _fuses(w),
        _draws(w),
        _fixings(w),
        _backbones(w),
        _devices(w),
        _leads(w),
        _mains(w),
        _drums(w),
        _costs(w),
    )
    return tuple(s for s in made if s.rows)


def _metres(mm: float) -> str:
    return f"{mm / 1000:.2f} m"


def _label(w: Wiring, number: str) -> str:
    return next(c.label for c in w.cabling.cables if c.number == number)


def _findings(w: Wiring) -> Section:
    def row(f: RuleFinding) -> Row:
        return (f.weight.value, f.about, f.measured, f"{f.rule}: {f.wanted}", f.source, f.remedy)

    return Section(
        "rules",
        "Rules looked at",
        "What was found against rules of the trade and of standards as reprinted. None of this is a certificate: local codes and licensed practice decide.",
        ("Weight", "About", "Measured", "Rule and what it asks", "Source", "What would mend it"),
        tuple(row(f) for f in w.findings),
        (8, 20, 20, 22, 16, 24),
    )


def _sizes(w: Wiring) -> Section:
    rows = []
    for c in w.cabling.cables:
        if c.conductor is None:
            continue
        fed = w.fed.get(c.number)
        hot = (
            "-"
            if fed is None or fed.hot_percent is None or fed.cold_percent is None
            else f"{fed.cold_percent:.1f} / {fed.hot_percent:.1f} %"
        )
        rows.append(
            (
                c.number,
                c.label,
                c.conductor.name,
                c.decides,
                f"{c.drop_percent:.1f} % of {c.drop_limit_percent:g} %",
                hot,
                "-"
                if c.down is None
                else f"{c.down.conductor.name}: {c.down.drop_percent:.1f} %, {c.down.dearer:+.2f}",
                "-"
                if c.up is None
                else f"{c.up.conductor.name}: {c.up.drop_percent:.1f} %, {c.up.dearer:+.2f}",
            )
        )
    return Section(
        "sizes",
        "Why each size, and the sizes beside it",
        "Drop is over the whole path from the battery and back through the cables. Cold / hot is the whole network with all on, cables at 5 and 60 °C, contacts and fuses counted. Prices are the difference in cable, in your currency.",
        (
            "No.",
            "Circuit",
            "Size",
            "Decided by",
            "Drop",
            "Cold / hot, all on",
            "Next down",
            "Next up",
        ),
        tuple(rows),
        (6, 22, 10, 13, 14, 14, 18, 18),
    )


def _detours(w: Wiring) -> Section:
    rows = [
        (c.number, c.label, d.rule, f"{_metres(d.extra_mm)} ({inches(d.extra_mm)}) longer")
        for c in w.cabling.cables
        for d in c.detours
    ]
    return Section(
        "detours",
        "What rules add to the routes",
        "Each rule taken alone.",
        ("No.", "Circuit", "Why", "How much"),
        tuple(rows),
        (6, 26, 44, 24),
    )


def _trunks(w: Wiring) -> Section:
    rows = []
    for run, numbers in zip(w.cabling.runs, w.cabling.run_circuits, strict=True):
        if len(numbers) > 1 and run.kind in ("face", "tray") and run.length_mm >= SHORTEST_TRUNK_MM:
            rows.append((run_words(w.cabling, run), _metres(run.length_mm), ", ".join(numbers)))
    words = []
    for kind, plan in w.cabling.plans:
        proof = (
            "proven the cheapest on these ways"
            if plan.gap < 1e-6
            else f"at most {plan.gap:.1%} above the cheapest there can be on these ways"
        )
        words.append(
            f"{kind.capitalize()} trunks: {plan.cost:.0f} for cable, pulling, clips and holes, {plan.saving:.0f} less than every cable by its own shortest way; {proof}."
        )
    return Section(
        "trunks",
        "Shared trunks",
        " ".join(words),
        ("Where", "Length", "Circuits"),
        tuple(rows),
        (36, 12, 52),
    )


def _pulls(w: Wiring) -> Section:
    rows = []
    for k, p in enumerate(w.cabling.pulls, start=1):
        head = "-" if p.head_mm is None else f"{p.head_mm:.0f} mm ({inches(p.head_mm)})"
        rows.append(
            (
                str(k),
                f"{p.number} {_label(w, p.number)}",
                head,
                ", ".join(w.cabling.circuits.boat.joint_label(j) for j in p.through),
            )
        )
    return Section(
        "pulls",
        "Order of pulling",
        "Big plugs first; each was shown to pass beside what is in the hole by then.",
        ("Step", "Circuit", "Plug", "Through"),
        tuple(rows),
        (8, 36, 20, 36),
    )


def _fuses(w: Wiring) -> Section:
    rows = []
    for p in w.fuses:
        along = "-" if p.amp is None else f"{p.along_mm:.0f} of {p.limit_mm:.0f} mm"
        breaks = f"{p.breaks_amp / 1000:.1f} kA" if p.breaks_amp else "-"
        rows.append(
            (
                p.number,
                p.label,
                f"{p.amp:g} A" if p.amp else "none",
                p.where + (f"; {p.note}" if p.note else ""),
                along,
                f"{p.load_amp:g} A",
                f"{p.carries_amp:.0f} A",
                breaks,
            )
        )
    return Section(
        "fuses",
        "Fuse schedule",
        "Along: how far the fuse is from its source along the cable, and the most allowed. Breaks: the fault current at the battery's devices by the rule named under Rules; a fuse further on may see less.",
        ("No.", "Circuit", "Fuse", "Where", "Along", "Load", "Cable carries", "Breaks"),
        tuple(rows),
        (6, 20, 9, 30, 15, 9, 11, 10),
    )


def _draws(w: Wiring) -> Section:
    rows = [
        (d.number, d.label, f"{d.amp:.1f} A", f"{24 * d.duty:.1f} h", f"{d.amp_hour:.0f} Ah")
        for d in w.draws
    ]
    total = sum(d.amp_hour for d in w.draws)
    if rows:
        rows.append(("", "in a day", "", "", f"{total:.0f} Ah"))
    note = f"Loads whose duty the job tells. The batteries that feed circuits hold {w.bank_amp_hour:.0f} Ah when new; half of that is all a lead battery should give (common practice)."
    return Section(
        "draws",
        "What is drawn in a day",
        note,
        ("No.", "Circuit", "While on", "On, of a day", "Ampere-hours"),
        tuple(rows),
        (8, 40, 16, 18, 18),
    )


def _fixings(w: Wiring) -> Section:
    rows = [(s.place, s.what, str(s.count), ", ".join(s.circuits), s.note) for s in w.fixings]
    return Section(
        "fixings",
        "Fixings, by place",
        "",
        ("Place", "What", "How many", "Circuits", "Note"),
        tuple(rows),
        (20, 28, 9, 22, 30),
    )


def _backbones(w: Wiring) -> Section:
    rows = []
    for b in w.backbones:
        r = b.report
        lengths = tuple(
            _metres(x) for x in (r.trunk_mm, r.counted_mm, r.drops_mm, r.longest_drop_mm)
        )
        verdict = "well" if not r.findings else f"{len(r.findings)} to put right"
        rows.append(
            (
                r.label,
                *lengths,
                str(r.devices),
                f"{r.loads} ({r.amp:.2f} A)",
                f"{r.spread_volt:.2f} V",
                verdict,
            )
        )
    return Section(
        "backbones",
        "Instrument backbone",
        "",
        (
            "Backbone",
            "Length",
            "Counted",
            "Drops",
            "Longest",
            "Instruments",
            "Loads",
            "Spread",
            "Verdict",
        ),
        tuple(rows),
        (16, 10, 10, 10, 10, 11, 12, 9, 12),
    )


def _devices(w: Wiring) -> Section:
    rows = [
        (b.backbone.label, t.name, _metres(t.along_mm), d.name, _metres(d.drop_mm), str(d.loads))
        for b in w.backbones
        for t in b.backbone.tees
        for d in t.devices
    ]
    return Section(
        "tees",
        "Tees and drops",
        "",
        ("Backbone", "Tee", "Along", "Instrument", "Drop", "Load number"),
        tuple(rows),
        (20, 18, 12, 24, 12, 12),
    )


def _leads(w: Wiring) -> Section:
    rows = []
    for x in w.leads:
        coil = (
            "-"
            if x.length_mm is None or x.surplus_mm <= 0 or not x.coil[2]
            else " x ".join(f"{v:.0f}" for v in x.coil) + " mm"
        )
        where = x.place + (
            f", {x.from_power_mm:.0f} mm from power" if x.place and x.from_power_mm < 1e6 else ""
        )
        rows.append(
            (
                x.number,
                x.label,
                _metres(x.needs_mm),
                "none reaches" if x.length_mm is None else _metres(x.length_mm),
                _metres(x.surplus_mm),
                coil,
                where or "-",
            )
        )
    return Section(
        "leads",
        "Ready-made leads",
        "Never cut or jointed. Lay surplus in a figure of eight, not a round coil.",
        ("No.", "Lead", "Needs", "Take", "Over", "Room", "Lay the rest"),
        tuple(rows),
        (6, 20, 10, 11, 9, 18, 32),
    )


def _mains(w: Wiring) -> Section:
    rows = []
    for c in w.cabling.cables:
        if c.mains:
            way = (
                ", ".join(w.cabling.circuits.boat.joint_label(j) for j in c.route.joints)
                if c.route and c.route.joints
                else "-"
            )
            rows.append(
                (
                    c.number,
                    c.label,
                    c.feed,
                    c.load,
                    _metres(c.route.length_mm) if c.route else "no way",
                    way,
                    "licensed person",
                )
            )
    note = "Nothing here is sized or approved: a licensed person sizes, fits and tests it."
    return Section(
        "mains",
        "Mains (AC): space and route only",
        note,
        ("No.", "Circuit", "From", "To", "Route", "Through", "Who"),
        tuple(rows),
        (6, 24, 18, 18, 10, 16, 14),
    )


def _drums(w: Wiring) -> Section:
    rows: list[Row] = []
    for b in w.bought:
        left = list(b.pieces)
        for cut in b.plan.cuts:
            words = []
            for piece in cut.pieces_mm:
                k = next(i for i, p in enumerate(left) if p[1] == piece)
                words.append(f"{left.pop(k)[0]} {piece / 1000:.2f}")
            proof = "cheapest, proven" if b.plan.proven_best else f"bound {b.plan.bound:.2f}"
            rows.append(
                (
                    b.cable,
                    cut.stock.name,
                    f"{cut.stock.cost:.2f}",
                    ", ".join(words),
                    _metres(cut.left_mm),
                    proof,
                )
            )
    return Section(
        "drums",
        "What to buy and how to cut it",
        "No run is ever jointed.",
        ("Cable", "From", "Price", "Cut, m", "Left over", "Plan"),
        tuple(rows),
        (11, 18, 9, 42, 10, 14),
    )


def _costs(w: Wiring) -> Section:
    rows = [
        (line.what, line.count, "-" if not line.each else f"{line.each:.2f}", f"{line.total:.2f}")
        for line in w.costs
    ]
    if rows:
        rows.append(("in all", "", "", f"{sum(line.total for line in w.costs):.2f}"))
    return Section(
        "costs",
        "What the wiring comes to",
        "By the job's rates; usual values are from memory, ±40 %: put in your own.",
        ("What", "How much", "Each", "Together"),
        tuple(rows),
        (34, 36, 12, 14),
    )


def rule_steps(w: Wiring) -> list[str]:
    """The findings that must be put right as sentences, and how many more there are."""
    out = [f.line() for f in w.findings if f.weight is Weight.MUST]
    more = sum(f.weight is Weight.SHOULD for f in w.findings)
    if more:
        out.append(
            f"{more} more thing{'s' if more > 1 else ''} would be better otherwise: see Rules looked at in the book."
        )
    return out


def drop_words(c: Cable) -> str:
    """A circuit's drop as a person reads it."""
    return (
        "-"
        if c.mains or c.signal or c.conductor is None
        else f"{c.drop_volt:.2f} V, {c.drop_percent:.1f} %"
    )
