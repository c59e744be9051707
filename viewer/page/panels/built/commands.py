"""Marks made beside the boat, in a file of their own beside the job.

`JOB.as_built.toml` holds one `[[mark]]` for each: what it is about, what was done or measured, a
serial, a photo, who and when. The plan is not changed by it.
"""

import tomllib
from datetime import date
from typing import Any, Final, Literal

import tomlkit
from pydantic import Field
from tomlkit.items import AoT

from layout.errors import CoamingError, one_line
from viewer.page.desk import Desk
from viewer.page.edits.history import read_text
from viewer.page.wire import Ask, Nothing, Panel, Row

PANEL = Panel("built")
MOST_MARKS: Final = 2000
HAND_WRITTEN: Final = (
    "The marks in this file are not written as [[mark]], as the page writes them: put that right "
    "in an editor first"
)
HEAD: Final = "# What was done on the boat otherwise than planned, and what was measured there.\n"


class Mark(Row):
    """One mark."""

    number: int
    about: str
    kind: str
    words: str
    value: str
    photo: str
    by: str
    on: str


class MarksRow(Row):
    """Every mark of a job."""

    marks: tuple[Mark, ...]
    file: str


class AddMark(Ask):
    """A mark to make."""

    about: str = Field(default="", max_length=200)
    """The key of what it is about, with its kind, such as `piece:house_battery`."""
    kind: Literal[
        "done otherwise", "measured", "volt drop", "hidden joint", "string left in", "serial",
        "photo", "done as planned",
    ]  # fmt: skip
    words: str = Field(default="", max_length=1000)
    value: str = Field(default="", max_length=80)
    photo: str = Field(default="", max_length=100)
    by: str = Field(default="", max_length=40)


class OfMark(Ask):
    """A mark to take out, and what it said: another window may have taken one out before it."""

    number: int = Field(ge=1)
    words: str = Field(default="", max_length=1000)
    value: str = Field(default="", max_length=80)


@PANEL.command("look", Nothing, MarksRow)
def look(desk: Desk, ask: Nothing) -> MarksRow:
    """The marks there are."""
    del ask
    text = read_text(desk.folder.file(desk.as_built_name)) or ""
    marks = []
    for n, m in enumerate(_marks(text), start=1):

        def said(key: str, m: dict[str, Any] = m) -> str:
            return one_line(str(m.get(key, "")))

        marks.append(
            Mark(
                number=n,
                about=said("about"),
                kind=said("kind"),
                words=said("words"),
                value=said("value"),
                photo=said("photo"),
                by=said("by"),
                on=said("on"),
            )
        )
    return MarksRow(marks=tuple(marks), file=desk.as_built_name)


def _marks(text: str) -> list[dict[str, Any]]:
    try:
        found = tomllib.loads(text).get("mark", [])
    except (ValueError, RecursionError):
        raise CoamingError("The file of what was built is not TOML: put it right first") from None
    return [m for m in found if isinstance(m, dict)] if isinstance(found, list) else []


@PANEL.command("add", AddMark, MarksRow)
def add(desk: Desk, ask: AddMark) -> MarksRow:
    """Make a mark."""
    if not (ask.words.strip() or ask.value.strip() or ask.photo or "as planned" in ask.kind):
        raise CoamingError("Say what was done, or what was measured")
    with desk.lock:
        text = read_text(desk.folder.file(desk.as_built_name)) or HEAD
        if len(_marks(text)) >= MOST_MARKS:
            raise CoamingError("There are too many marks in this file")
        doc = tomlkit.parse(text)
        marks = doc.setdefault("mark", tomlkit.aot())
        if not isinstance(marks, AoT):
            raise CoamingError(HAND_WRITTEN)
        row = tomlkit.table()
        for key, value in ask.model_dump().items():
            if value:
                row.add(key, value)
        row.add("on", date.today().isoformat())
        marks.append(row)
        about = ask.about.partition(":")[2].replace("_", " ") or "the boat"
        desk.write(f"As built: {ask.kind}, {about}", {desk.as_built_name: tomlkit.dumps(doc)})
    return look(desk, Nothing())


@PANEL.command("remove", OfMark, MarksRow)
def remove(desk: Desk, ask: OfMark) -> MarksRow:
    """Take a mark out."""
    with desk.lock:
        text = read_text(desk.folder.file(desk.as_built_name)) or HEAD
        doc: Any = tomlkit.parse(text)
        marks = _marks(text)
        if not isinstance(doc.get("mark"), AoT):
            raise CoamingError(HAND_WRITTEN)
        there = ask.number <= len(marks) and all(
            one_line(str(marks[ask.number - 1].get(key, ""))) == said
            for key, said in (("words", ask.words), ("value", ask.value))
        )
        if not there:
            raise CoamingError("That mark is not there any more: look at the list again")
        del doc["mark"][ask.number - 1]
        desk.write("As built: a mark taken out", {desk.as_built_name: tomlkit.dumps(doc)})
    return look(desk, Nothing())
