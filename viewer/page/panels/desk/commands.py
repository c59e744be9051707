"""Commands about the job as a whole."""

from typing import Literal

from pydantic import Field

from layout.errors import CoamingError, JobError
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change
from viewer.page.wire import Ask, DeskRow, Done, JsonValue, Nothing, Panel, Row
from viewer.words.names import Names
from viewer.words.pieces import FINE, PieceWords
from viewer.words.steps import CAUTIONS, IN_ORDER, next_steps
from viewer.work.rows import Result

PANEL = Panel("desk")
FIELDS_OF_ENDS = ("feed", "load", "returns_to")


class SetField(Ask):
    """One field of a file."""

    file: Literal["hull", "job"]
    path: tuple[str | int, ...] = Field(min_length=2, max_length=10)
    value: JsonValue = None
    """Null takes it out."""
    words: str = Field(max_length=160)
    seen: str = ""


class Remove(Ask):
    """A table to take out, with what needs it where a person says so."""

    file: Literal["hull", "job"]
    path: tuple[str | int, ...] = Field(min_length=2, max_length=4)
    with_users: bool = False
    seen: str = ""


class StepsRow(Row):
    """What to do next."""

    steps: tuple[str, ...]
    in_order: bool
    cautions: tuple[str, ...]
    stands: str
    good: tuple[str, ...]
    """The keys of pieces that go in."""


@PANEL.command("look", Nothing, DeskRow)
def look(desk: Desk, ask: Nothing) -> DeskRow:
    """The job as its files are."""
    del ask
    return desk.state()


@PANEL.command("undo", Nothing, DeskRow)
def undo(desk: Desk, ask: Nothing) -> DeskRow:
    """One step back."""
    del ask
    return desk.undo()


@PANEL.command("redo", Nothing, DeskRow)
def redo(desk: Desk, ask: Nothing) -> DeskRow:
    """One step forth."""
    del ask
    return desk.redo()


@PANEL.command("stop", Nothing, Done)
def stop(desk: Desk, ask: Nothing) -> Done:
    """Stop what is worked on."""
    del ask
    desk.live.stop()
    return Done(words="Stopping")


@PANEL.command("again", Nothing, Done)
def again(desk: Desk, ask: Nothing) -> Done:
    """Work on after a stop."""
    del ask
    desk.live.again(desk.revision)
    return Done(words="Working again")


@PANEL.command("set", SetField, DeskRow)
def set_field(desk: Desk, ask: SetField) -> DeskRow:
    """Set one field, or take it out."""
    change = (Change(path=ask.path, value=ask.value),)
    hull, job = (change, ()) if ask.file == "hull" else ((), change)
    return desk.edit(Edit(ask.words, hull, job, ask.seen))


@PANEL.command("remove", Remove, DeskRow)
def remove(desk: Desk, ask: Remove) -> DeskRow:
    """Take a table out."""
    job, hull = desk.tables()
    here = hull if ask.file == "hull" else job
    for step in ask.path:
        try:
            here = here[step]  # type: ignore[index]
        except (KeyError, IndexError, TypeError):
            raise CoamingError("It is not there any more") from None
    label = here.get("label") if isinstance(here, dict) else ""
    change = (Change(path=ask.path, value=None),)
    out_hull, out_job = (change, ()) if ask.file == "hull" else ((), change)
    words = f"{label or ask.path[-1]} taken out"
    edit = Edit(words, out_hull, out_job, ask.seen, ask.with_users)
    try:
        return desk.edit(edit)
    except JobError:
        needs = desk.needs(edit)
        if not needs:
            raise
        raise CoamingError(f"{', '.join(needs)} need it: they would go with it") from None


@PANEL.shows_of(StepsRow)
def shows(result: Result, desk: Desk) -> StepsRow:
    """What to do next, as sentences."""
    del desk
    from viewer.page.panels.start.shelf import stands

    names = Names(result)
    good = [p.key for p in result.pieces if PieceWords(result, p, names).row.verdict in FINE]
    return StepsRow(
        steps=tuple(next_steps(result, names, "they are under To mend")) or (IN_ORDER,),
        in_order=result.in_order,
        cautions=CAUTIONS,
        stands=stands(result)[0],
        good=tuple(good),
    )
