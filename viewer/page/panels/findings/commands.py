"""Everything that wants mending as one list, and mends that were tried."""

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk, Edit
from viewer.page.panels.findings.mends import Mend, mends_for
from viewer.page.panels.ways.commands import current
from viewer.page.tries import tried, would_read
from viewer.page.wire import Ask, DeskRow, Panel, Row
from viewer.words.circuits import bore_todo, full_sentence, no_way_words
from viewer.words.names import Names
from viewer.words.pieces import FINE, PieceWords
from viewer.words.rules import rule_words
from viewer.work.rows import Result

PANEL = Panel("findings")
URGENCIES = ("must", "should", "note")
MOST_TRIED = 8


class FoundRow(Row):
    """One thing found."""

    id: str
    urgency: str
    about: str
    about_keys: tuple[str, ...]
    found: str
    asks: str
    rule: str
    source: str
    remedy: str
    tries: int
    """How many mends there are to try; 0 where a person has to choose."""


class FindingsRow(Row):
    """All of them, the must first."""

    rows: tuple[FoundRow, ...]


class OfFinding(Ask):
    """A finding, and the mend of it that is to be done or tried, by its words or its number."""

    id: str = Field(max_length=300)
    mend: str = Field(default="", max_length=200)
    number: int = Field(default=0, ge=0, le=100)
    seen: str = ""


class MendRow(Row):
    """A mend that was tried: whether it holds, and what else it changes."""

    words: str
    holds: bool
    changes: tuple[str, ...]


class TriedMend(Row):
    """A mend that was tried for one finding; null where it would not even be read."""

    id: str
    mend: MendRow | None
    many: int
    """How many there are to try."""


@PANEL.shows_of(FindingsRow)
def shows(result: Result, desk: Desk) -> FindingsRow:
    """Everything that wants mending."""
    names = Names(result)
    rows = [*_pieces(result, names), *_circuits(result, names), *_bores(result, names)]
    for f in result.findings:
        w = rule_words(f, names)
        rows.append(
            FoundRow(
                id=id_of(f.rule, f.about),
                urgency=f.urgency,
                about=w.about,
                about_keys=f.about,
                found=w.found,
                asks=w.asks,
                rule=w.rule,
                source=w.source,
                remedy=w.remedy,
                tries=0,
            )
        )
    with_tries = [
        row.model_copy(update={"tries": len(mends_for(result, desk, row.id))}) for row in rows
    ]
    return FindingsRow(rows=tuple(sorted(with_tries, key=lambda r: URGENCIES.index(r.urgency))))


def id_of(rule: str, about: tuple[str, ...]) -> str:
    """A finding's own name."""
    return f"{rule}|{','.join(about)}"


def _row(id_: str, urgency: str, about: str, key: str, found: str, remedy: str) -> FoundRow:
    return FoundRow(
        id=id_,
        urgency=urgency,
        about=about,
        about_keys=(key,),
        found=found,
        asks="",
        rule="",
        source="",
        remedy=remedy,
        tries=0,
    )


def _pieces(result: Result, names: Names) -> list[FoundRow]:
    out = []
    for row in result.pieces:
        p = PieceWords(result, row, names)
        if row.in_order or not p.advice:
            continue
        advice = p.advice
        open_yet = row.verdict in ("measure again", "goes in") and not row.clashes
        urgency = "should" if open_yet else "must"  # two bodies never stand in one place
        key = f"piece:{row.key}"
        found = p.at_rest if row.verdict in FINE else row.verdict
        out.append(_row(id_of("way in", (key,)), urgency, p.label, key, found, advice))
    return out


def _circuits(result: Result, names: Names) -> list[FoundRow]:
    out = []
    for c in result.circuits:
        key = f"circuit:{c.number}"
        about = f"Circuit {c.number}, {c.label}"
        if c.no_way is not None:
            why = no_way_words(c.no_way, names, c.plug_mm)
            why, _, what = why.partition(": ")
            out.append(_row(id_of("no way", (key,)), "must", about, key, why, what))
        elif not c.in_order and c.drop_percent and c.drop_percent > c.drop_limit_percent:
            found = f"{c.drop_percent:.1f} % volt drop, {c.drop_limit_percent:g} % is allowed"
            mend = "Feed it from nearer, or use two runs"
            out.append(_row(id_of("volt drop", (key,)), "must", about, key, found, mend))
    return out


def _bores(result: Result, names: Names) -> list[FoundRow]:
    out = []
    for bore in result.holes_and_pipes:
        if bore_todo(bore):
            key = f"joint:{bore.key}"
            found = full_sentence(bore)
            urgency = "must" if bore.too_full else "should"
            about = names.joint_whole(bore.key)
            todo = "; ".join(bore_todo(bore))
            out.append(_row(id_of("bore", (key,)), urgency, about, key, found, todo))
    return out


@PANEL.command("tried", OfFinding, TriedMend)
def tried_mend(desk: Desk, ask: OfFinding) -> TriedMend:
    """Try one of the mends of a finding; only one that takes it away without harm holds."""
    before = current(desk)
    mends = mends_for(before, desk, ask.id)[:MOST_TRIED]
    row = None
    if ask.number < len(mends):
        mend = mends[ask.number]
        if would_read(desk, mend.hull, mend.job):
            row = _tried(desk, before, mend, ask.id)
    return TriedMend(id=ask.id, mend=row, many=len(mends))


def _tried(desk: Desk, before: Result, mend: Mend, id_: str) -> MendRow:
    from viewer.words.compare import changes

    try:
        after = tried(desk, mend.hull, mend.job)
    except CoamingError as e:
        return MendRow(words=mend.words, holds=False, changes=(str(e),))
    return MendRow(
        words=mend.words,
        holds=_holds(before, after, desk, id_),
        changes=tuple(changes(before, after)),
    )


def _holds(before: Result, after: Result, desk: Desk, id_: str) -> bool:
    """True where the finding is gone, no new must has come and no piece goes in any worse."""
    was, now = (_ids(r, desk) for r in (before, after))
    if id_ in now:
        return False
    if any(urgency == "must" and i not in was for i, urgency in now.items()):
        return False
    good = {p.key for p in after.pieces if p.in_order}
    return all(p.key in good for p in before.pieces if p.in_order)


def _ids(result: Result, desk: Desk) -> dict[str, str]:
    del desk
    names = Names(result)
    rows = [*_pieces(result, names), *_circuits(result, names), *_bores(result, names)]
    out = {row.id: row.urgency for row in rows}
    return out | {id_of(f.rule, f.about): f.urgency for f in result.findings}


@PANEL.command("mend", OfFinding, DeskRow)
def mend(desk: Desk, ask: OfFinding) -> DeskRow:
    """Do a mend, after it was tried once more on the files as they are."""
    before = current(desk)
    found = next((m for m in mends_for(before, desk, ask.id) if m.words == ask.mend), None)
    if found is None:
        raise CoamingError("That finding has changed: look at it again")
    if not _tried(desk, before, found, ask.id).holds:
        raise CoamingError("Tried once more, it does not mend it: choose another")
    return desk.edit(Edit(found.words, found.hull, found.job, ask.seen))
