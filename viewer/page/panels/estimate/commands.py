"""The estimate beside the model: sections, hours, sums, what it rests on; states and changes."""

from datetime import date
from typing import Final, Literal

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change
from viewer.page.panels.ways.commands import current
from viewer.page.wire import Ask, DeskRow, Nothing, Panel, Row
from viewer.words.estimate import EstimateWords
from viewer.words.names import Names
from viewer.words.variation import VariationWords
from viewer.work.rows import Result
from viewer.work.states import BUILT, CHANGED, QUOTED, State, StateHead, keep_state, states_of

PANEL = Panel("estimate")
Cells = tuple[tuple[str, ...], ...]
NUMBERS: Final = ("age_years", "road_hours", "linings_minutes", "contingency_percent")
TEXTS: Final = ("customer", "made")


class Listed(Row):
    """A table."""

    title: str
    note: str
    head: tuple[str, ...]
    rows: Cells


class EstimateShown(Row):
    """What the estimate comes to."""

    sums: tuple[tuple[str, str], ...]
    spread: str
    unpriced: tuple[str, ...]
    no_way: tuple[str, ...]
    tables: tuple[Listed, ...]
    told: dict[str, str]
    """What the job tells of the estimate, by key."""
    holes: tuple[tuple[str, str, bool], ...]
    """Every cable hole: its key, what people call it, and whether it is still to be cut."""


class SetHoles(Ask):
    """Which cable holes are still to be cut."""

    keys: tuple[str, ...] = Field(max_length=200)
    seen: str = ""


class SetTold(Ask):
    """One thing an estimate has to know."""

    key: Literal[
        "strip_out", "kind", "afloat", "hot", "age_years", "road_hours", "linings_minutes",
        "contingency_percent", "customer", "made",
    ]  # fmt: skip
    value: str = Field(max_length=200)
    seen: str = ""


class KeepState(Ask):
    """Keep the job as it is now: as quoted, as changed, as built."""

    state: Literal["quoted", "changed", "as built"]
    why: str = Field(default="", max_length=500)
    photo: str = Field(default="", max_length=100)


class StatesRow(Row):
    """The states kept, and what lies between the last of them and now."""

    states: tuple[tuple[str, ...], ...]
    facts: tuple[tuple[str, str], ...]
    moved: tuple[str, ...]


@PANEL.shows_of(EstimateShown)
def shows(result: Result, desk: Desk) -> EstimateShown:
    """The estimate of a result."""
    words = EstimateWords(result, Names(result))
    job, _ = desk.tables()
    told = job.get("estimate", {})
    names, cut = Names(result), {t.about for t in result.estimate.tasks if t.task == "hole"}
    holes = [h.key for h in result.boat_holes if h.what == "cable"]
    return EstimateShown(
        sums=tuple(words.sums()),
        spread=words.spread(),
        unpriced=tuple(words.unpriced()),
        no_way=tuple(words.no_way()),
        tables=tuple(
            Listed(title=t.title, note=t.note, head=t.head, rows=t.rows)
            for t in (words.sections(), words.groups(), words.access())
        ),
        holes=tuple((k, names.joint_whole(k), f"joint:{k}" in cut) for k in holes),
        told={k: str(v) for k, v in told.items() if isinstance(v, str | int | float | bool)},
    )


@PANEL.command("set", SetTold, DeskRow)
def set_told(desk: Desk, ask: SetTold) -> DeskRow:
    """Tell the estimate something no model shows."""
    value: str | float | bool | None = ask.value
    if ask.key in NUMBERS:
        try:
            value = float(ask.value.replace(",", ".")) if ask.value.strip() else None
        except ValueError:
            raise CoamingError("Type a number, like 12") from None
    elif ask.key in ("afloat", "hot"):
        value = ask.value == "yes"
    elif ask.key in TEXTS:
        value = ask.value.strip() or None
    change = Change(path=("estimate", ask.key), value=value)
    words = f"{ask.key.replace('_', ' ')}: {ask.value or 'not told'}"
    return desk.edit(Edit(words, job=(change,), seen=ask.seen))


@PANEL.command("holes", SetHoles, DeskRow)
def set_holes(desk: Desk, ask: SetHoles) -> DeskRow:
    """Tell which cable holes are still to be cut: they are in the estimate then."""
    change = Change(path=("estimate", "holes_to_cut"), value=list(ask.keys) or None)
    return desk.edit(Edit(f"holes to cut: {len(ask.keys)}", job=(change,), seen=ask.seen))


@PANEL.command("states", Nothing, StatesRow)
def states(desk: Desk, ask: Nothing) -> StatesRow:
    """The states kept of this job, and what a change now would be."""
    del ask
    return _told(desk)


@PANEL.command("keep", KeepState, StatesRow)
def keep(desk: Desk, ask: KeepState) -> StatesRow:
    """Keep the job as it is now as its next state."""
    result, before = current(desk), states_of(desk.path)
    if ask.state == QUOTED and before:
        raise CoamingError("It was kept as quoted before: keep this as a change, with its reason")
    if ask.state in (CHANGED, BUILT) and not before:
        raise CoamingError("Keep it as quoted first: a change is told from there")
    if ask.state == CHANGED and not ask.why.strip():
        raise CoamingError("Say why it is changed, as the customer reads it")
    keep_state(desk.path, result, ask.state, date.today().isoformat(), ask.why, ask.photo)
    return _told(desk)


def _told(desk: Desk) -> StatesRow:
    kept = states_of(desk.path)
    rows = tuple(
        (s.head.state, s.head.on, s.head.why or "-", f"{s.result.estimate.hours.mean:.1f} h",
         f"{s.result.estimate.net:.2f} {s.result.estimate.currency}")
        for s in kept
    )  # fmt: skip
    if not kept or desk.live.result is None or desk.live.result_of != desk.revision:
        return StatesRow(states=rows, facts=(), moved=())
    head = StateHead(number=len(kept) + 1, state="now", on="", why="", photo="")
    words = VariationWords(kept[-1], kept[0], State(head, desk.live.result, desk.path))
    facts = tuple(f for f in words.facts() if f[0] not in ("Why", "Photo", "To"))
    return StatesRow(states=rows, facts=facts, moved=tuple(words.moved()))
