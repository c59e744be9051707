"""What the page shows of the circuits, and changes to them."""

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change
from viewer.page.panels.cables.diagram import DiagramRow, diagram_of
from viewer.page.panels.ways.commands import current
from viewer.page.tries import tried
from viewer.page.wire import Ask, DeskRow, Fine, JsonValue, Mm, Panel, Row
from viewer.words.circuits import (
    DECIDED,
    cut_words,
    detour_words,
    drop_words,
    fuse_words,
    no_way_words,
    size_words,
    through_words,
)
from viewer.words.compare import changes as compared
from viewer.words.names import Names, metres
from viewer.words.tables import fuse_place
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow, FuseRow

PANEL = Panel("cables")
Line = tuple[tuple[Mm, Mm, Mm], ...]


class PartRow(Row):
    """One part of a cut length."""

    words: str
    mm: Mm


class CableRow(Row):
    """One circuit in words, with its ways to be lit."""

    number: str
    label: str
    feed: str
    load: str
    feed_words: str
    load_words: str
    amps: Fine
    out: str
    back: str
    size: str
    drop: str
    percent: str
    """Of how much is allowed."""
    fuse: str
    through: str
    joints: tuple[str, ...]
    reason: str
    fuse_reason: str
    parts: tuple[PartRow, ...]
    longer: tuple[str, ...]
    """Why its way is longer than the shortest."""
    link: bool
    mains: bool
    signal: bool
    good: bool
    lines: tuple[Line, ...]


class CutPiece(Row):
    """One thing to buy and how it is cut."""

    cable: str
    words: str
    pieces: tuple[str, ...]
    price: str


class CablesRow(Row):
    """Every circuit, what to cut, and what it comes to."""

    circuits: tuple[CableRow, ...]
    diagram: DiagramRow
    cuts: tuple[CutPiece, ...]
    cost: str
    costs: tuple[tuple[str, str, str, str], ...]


class NewCircuit(Ask):
    """A circuit from a terminal to another."""

    label: str = Field(min_length=1, max_length=80)
    feed: str = Field(max_length=120)
    load: str = Field(max_length=120)
    amps: float = Field(gt=0, le=5000)
    link: bool = False
    seen: str = ""


class SetCircuit(Ask):
    """Fields of a circuit; null takes one out."""

    number: str = Field(max_length=12)
    fields: dict[str, JsonValue] = Field(max_length=20)
    seen: str = ""


class TryWay(Ask):
    """A circuit led through other holes."""

    number: str = Field(max_length=12)
    via: tuple[str, ...] = Field(default=(), max_length=20)
    avoid: tuple[str, ...] = Field(default=(), max_length=20)
    seen: str = ""


class TriedWay(Row):
    """What another way would cost."""

    number: str
    words: tuple[str, ...]
    before: str
    after: str
    cost: str
    lines: tuple[Line, ...]
    has_way: bool


@PANEL.shows_of(CablesRow)
def shows(result: Result, desk: Desk) -> CablesRow:
    """Every circuit in words."""
    del desk
    from viewer.words.cut_tables import cable_words, stock_words
    from viewer.words.tables import wiring_tables

    names = Names(result)
    lines = _lines(result)
    fuses = {f.number: f for f in result.fuses}
    costs = next((t for t in wiring_tables(result, names) if t.key == "costs"), None)
    pole = {"+": "plus", "-": "minus"}
    return CablesRow(
        circuits=tuple(
            _cable(c, names, lines.get(c.number, ()), fuses.get(c.number)) for c in result.circuits
        ),
        diagram=diagram_of(result, names),
        cuts=tuple(
            CutPiece(
                cable=cable_words(x),
                words=stock_words(x),
                pieces=tuple(
                    f"{p.number} {pole[p.pole]} {p.length_mm / 1000:.2f} m" for p in x.pieces
                ),
                price=f"{x.price:.2f}",
            )
            for x in result.cuts
        ),
        cost=f"{sum(c.total for c in result.costs):.2f}",
        costs=() if costs is None else tuple((r[0], r[1], r[2], r[3]) for r in costs.rows),
    )


def _lines(result: Result) -> dict[str, tuple[Line, ...]]:
    out: dict[str, tuple[Line, ...]] = {}
    for pole in result.poles:
        out[pole.number] = (*out.get(pole.number, ()), pole.line)
    for c in result.circuits:
        if c.number not in out and c.line:
            out[c.number] = (c.line,)
    return out


def _cable(c: CircuitRow, names: Names, lines: tuple[Line, ...], fuse: FuseRow | None) -> CableRow:
    out, back = cut_words(c)
    return CableRow(
        number=c.number,
        label=c.label,
        feed=c.feed,
        load=c.load,
        feed_words=names.terminal(c.feed),
        load_words=names.terminal(c.load),
        amps=c.amps,
        out=out,
        back=back,
        size=size_words(c),
        drop=drop_words(c),
        percent=_percent(c),
        fuse=fuse_words(c.fuse_amp),
        through=through_words(c, names),
        joints=c.joints,
        reason=_reason(c),
        fuse_reason=_fuse_reason(c, fuse, names),
        parts=_parts(c),
        longer=tuple(f"{metres(d.extra_mm)} {detour_words(d, names)}" for d in c.detours),
        link=c.link,
        mains=c.mains,
        signal=c.signal,
        good=c.in_order,
        lines=lines,
    )


def _percent(c: CircuitRow) -> str:
    if c.drop_percent is None:
        return "-"
    return f"{c.drop_percent:.1f} of {c.drop_limit_percent:g} %"


def _reason(c: CircuitRow) -> str:
    """Why the cable has its size, in one sentence."""
    if c.mains:
        return "Mains (AC): its space and route are shown; a licensed person sizes and fits it."
    if c.signal:
        return "A data or aerial lead: it comes as its maker sells it."
    if c.size is None:
        return "No size: it has no way yet."
    by = DECIDED[c.decided_by or "given"]
    next_down = ""
    if c.down is not None:
        next_down = f"; {c.down.size} would drop {c.down.drop_percent:.1f} %"
    carries = f", it carries {c.carries_amp:.0f} A" if c.carries_amp else ""
    return (
        f"{c.size} because of {by}: {drop_words(c)} of {c.drop_limit_percent:g} % "
        f"over the whole path{carries}{next_down}."
    )


def _fuse_reason(c: CircuitRow, fuse: FuseRow | None, names: Names) -> str:
    if fuse is None:
        return ""
    if fuse.amp is None:
        return f"No fuse: {fuse_place(fuse, names)}."
    stops = f", able to stop {fuse.stops_amp / 1000:.1f} kA" if fuse.stops_amp else ""
    fitted = f"{fuse_words(fuse.amp, fuse.breaker)}, {fuse_place(fuse, names)}"
    return (
        f"{fitted}: over the load of {fuse.load_amp:g} A and "
        f"under what the cable carries, {fuse.carries_amp:.0f} A{stops}."
    )


def _parts(c: CircuitRow) -> tuple[PartRow, ...]:
    x = c.out
    if x is None:
        return ()
    rows = (
        ("along its way", x.route_mm),
        ("tail at the feed", x.tail_feed_mm),
        ("tail at the load", x.tail_load_mm),
        ("loop to serve it", x.loop_mm),
        ("to follow what swings", x.swing_mm),
        ("wander in the bundle", x.wander_mm),
        ("bends", x.bends_mm),
    )
    return tuple(PartRow(words=w, mm=mm) for w, mm in rows if mm)


@PANEL.command("add", NewCircuit, DeskRow)
def add(desk: Desk, ask: NewCircuit) -> DeskRow:
    """A new circuit under the next free number."""
    job = desk.tables()[0]
    taken = job.get("circuits", {})
    number = next(str(n) for n in range(1, 2000) if str(n) not in taken)
    table: dict[str, JsonValue] = {
        "label": ask.label,
        "feed": ask.feed,
        "load": ask.load,
        "amps": int(ask.amps) if ask.amps == int(ask.amps) else ask.amps,
    }
    if ask.link:
        table["link"] = True
    change = Change(path=("circuits", number), value=table)
    return desk.edit(Edit(f"Circuit {number}, {ask.label}: added", (), (change,), ask.seen))


@PANEL.command("set", SetCircuit, DeskRow)
def set_circuit(desk: Desk, ask: SetCircuit) -> DeskRow:
    """Change a circuit."""
    table = desk.tables()[0].get("circuits", {}).get(ask.number)
    if not isinstance(table, dict):
        raise CoamingError("That circuit is not there any more")
    changes = tuple(
        Change(path=("circuits", ask.number, field), value=value)
        for field, value in ask.fields.items()
        if value is not None or field in table
    )
    what = ", ".join(f.replace("_", " ") for f in ask.fields)
    words = f"Circuit {ask.number}, {table.get('label', '')}: {what} changed"
    return desk.edit(Edit(words, (), changes, ask.seen))


def _asked_way(desk: Desk, ask: TryWay) -> tuple[Change, ...]:
    table = desk.tables()[0].get("circuits", {}).get(ask.number)
    if not isinstance(table, dict):
        raise CoamingError("That circuit is not there any more")
    out = []
    for field, value in (("via", ask.via), ("avoid", ask.avoid)):
        if value or field in table:
            out.append(
                Change(path=("circuits", ask.number, field), value=list(value) if value else None)
            )
    return tuple(out)


@PANEL.command("try_way", TryWay, TriedWay)
def try_way(desk: Desk, ask: TryWay) -> TriedWay:
    """What a circuit would cost by other holes; nothing is written."""
    before = current(desk)
    after = tried(desk, (), _asked_way(desk, ask))
    names = Names(after)
    a, b = before.circuit(ask.number), after.circuit(ask.number)
    cost = [r.estimate.net for r in (before, after)]
    more = cost[1] - cost[0]
    words = compared(before, after)
    if b.no_way is not None:
        words = [no_way_words(b.no_way, names, b.plug_mm)]
    return TriedWay(
        number=ask.number,
        words=tuple(words),
        before=f"{cut_words(a)[0]}, {size_words(a)}",
        after=f"{cut_words(b)[0]}, {size_words(b)}",
        cost=f"{more:+.2f}",
        lines=_lines(after).get(ask.number, ()),
        has_way=b.no_way is None,
    )


@PANEL.command("keep_way", TryWay, DeskRow)
def keep_way(desk: Desk, ask: TryWay) -> DeskRow:
    """Lead a circuit through other holes from now on."""
    names = desk.look().boat
    where = ", ".join(ask.via) or "the way coaming chooses"
    del names
    words = f"Circuit {ask.number} led by {where.replace('_', ' ')}"
    return desk.edit(Edit(words, (), _asked_way(desk, ask), ask.seen))
