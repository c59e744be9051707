"""Arrange a board and find places: asked, looked at, and taken as one change."""

from typing import Final, Literal

from pydantic import Field, JsonValue

from layout.errors import CoamingError
from layout.job import read_job
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change, plain
from viewer.page.tries import beside
from viewer.page.wire import Ask, DeskRow, Panel, Row
from viewer.words.arranged import ArrangedWords
from viewer.words.placed import PlacedWords
from viewer.work.arranged_rows import ArrangedRow
from viewer.work.placed_rows import PlacingRow

PANEL = Panel("bench")
MOST_THINGS: Final = 12
MOST_SETS: Final = 200
Name = Field(max_length=120)


class ArrangeBoard(Ask):
    """The board, and what is to be least."""

    board: str = Name
    aim: Literal["", "plate", "cable", "both"] = ""


class ArrangedTold(Row):
    """What was found, and in words."""

    found: ArrangedRow
    heading: str
    lines: tuple[str, ...]


class PlaceThings(Ask):
    """Things by key or type, and the spaces to look in; none for all."""

    things: list[str] = Field(min_length=1, max_length=MOST_THINGS)
    spaces: list[str] = Field(default=[], max_length=60)


class PlaceWords(Row):
    """A place in words."""

    where: str
    reasons: str


class PlacedTold(Row):
    """What was found, and in words."""

    found: PlacingRow
    places: tuple[PlaceWords, ...]
    lines: tuple[str, ...]


class OneSet(Ask):
    """A value to be written at a path of the job."""

    path: list[str] = Field(min_length=2, max_length=6)
    value: JsonValue = None


class TakeSets(Ask):
    """What was found, to be written; in words what that does."""

    sets: list[OneSet] = Field(min_length=1, max_length=MOST_SETS)
    words: str = Field(max_length=200)
    seen: str = Field(default="", max_length=80)


@PANEL.command("arrange", ArrangeBoard, ArrangedTold)
def arrange(desk: Desk, ask: ArrangeBoard) -> ArrangedTold:
    """Arrange a board so that it goes in; nothing is written."""
    from viewer.work.arranged import arranged, called

    files = read_job(desk.path)
    with beside(desk) as asks:
        row = arranged(files, ask.board, asks, ask.aim or None)
    words = ArrangedWords(row, *called(files, row))
    return ArrangedTold(found=row, heading=words.heading(), lines=tuple(words.lines()))


@PANEL.command("place", PlaceThings, PlacedTold)
def place(desk: Desk, ask: PlaceThings) -> PlacedTold:
    """Find places; nothing is written."""
    from viewer.work.placing import placed

    files = read_job(desk.path)
    with beside(desk) as asks:
        row = placed(files, list(ask.things), list(ask.spaces), asks)
    words = PlacedWords(row)
    return PlacedTold(
        found=row,
        places=tuple(
            PlaceWords(where=words.where(p), reasons=words.reasons(p)) for p in row.places
        ),
        lines=tuple(words.ends()),
    )


@PANEL.command("take", TakeSets, DeskRow)
def take(desk: Desk, ask: TakeSets) -> DeskRow:
    """Write what was found into the job, as one step."""
    changes: list[Change] = []
    with desk.lock:
        for s in ask.sets:
            if s.path[0] not in ("boards", "pieces"):
                raise CoamingError("Only boards and pieces are put somewhere")
            changes.append(Change(path=tuple(s.path), value=plain(s.value)))
        return desk.edit(Edit(ask.words, (), tuple(changes), ask.seen))
