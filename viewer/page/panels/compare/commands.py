"""Compare this job with another of the folder."""

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk
from viewer.page.panels.ways.commands import current
from viewer.page.tries import beside
from viewer.page.wire import Ask, Panel, Row
from viewer.words.circuits import cut_words, fuse_words, size_words, through_words
from viewer.words.compare import changes
from viewer.words.names import Names
from viewer.words.pieces import PieceWords
from viewer.words.rules import rule_words
from viewer.work.rows import Result
from viewer.work.session import Session

PANEL = Panel("compare")


class WithJob(Ask):
    """The other job."""

    other: str = Field(max_length=100)


class Differs(Row):
    """One thing that differs: what it is here and there."""

    about: str
    what: str
    here: str
    there: str


class CompareRow(Row):
    """Only what differs."""

    here: str
    there: str
    groups: tuple[tuple[str, tuple[Differs, ...]], ...]
    sentences: tuple[str, ...]


@PANEL.command("with", WithJob, CompareRow)
def compare(desk: Desk, ask: WithJob) -> CompareRow:
    """The differences between the answer of this job and that of another."""
    here = current(desk)
    path = desk.folder.job(ask.other)
    if path == desk.path:
        raise CoamingError("Choose another job than this one")

    with beside(desk) as asks:
        there = Session(path).answer(asks)
    a, b = _facts(here), _facts(there)
    groups = []
    for title in a:
        rows = []
        for key in {**a[title], **b[title]}:
            for what in {**a[title].get(key, {}), **b[title].get(key, {})}:
                x = a[title].get(key, {}).get(what, "not there")
                y = b[title].get(key, {}).get(what, "not there")
                if x != y:
                    rows.append(Differs(about=key, what=what, here=x, there=y))
        if rows:
            groups.append((title, tuple(rows)))
    return CompareRow(
        here=f"{here.job} ({here.hull})",
        there=f"{there.job} ({there.hull})",
        groups=tuple(groups),
        sentences=tuple(changes(here, there)),
    )


Facts = dict[str, dict[str, dict[str, str]]]


def _facts(r: Result) -> Facts:
    """What is compared, by group, thing and word."""
    names = Names(r)
    pieces = {}
    for row in r.pieces:
        p = PieceWords(r, row, names)
        pieces[p.label] = {
            "goes in?": row.verdict,
            "smallest gap": p.gap,
            "in place": p.at_rest,
            "way in": p.way,
            "what decides": p.decides,
        }
    circuits = {
        f"{c.number} {c.label}": {
            "amps": f"{c.amps:g} A",
            "cable out": cut_words(c)[0],
            "cable back": cut_words(c)[1],
            "size": size_words(c),
            "fuse": fuse_words(c.fuse_amp),
            "through": through_words(c, names) or "-",
        }
        for c in r.circuits
    }
    found: dict[str, dict[str, str]] = {}
    for f in r.findings:
        if f.urgency != "note":
            w = rule_words(f, names)
            found[f"{w.about}: {w.rule}"] = {f.urgency: w.found}
    e = r.estimate
    cost = {"estimate": {"net": f"{e.net:.2f} {e.currency}", "hours": f"{e.hours.mean:.1f}"}}
    return {"Does it go in?": pieces, "Cables": circuits, "Found": found, "Cost": cost}
