"""Sizes typed in, and parts of the boat added."""

from datetime import date
from typing import Any, Literal

from pydantic import Field

from layout.boat.parts import Boat
from layout.errors import CoamingError, SizeError
from viewer.page.desk import Desk, Edit
from viewer.page.dimensions import Reckoner, dimensions_of, measure_of, written_measure
from viewer.page.edits.changes import Change
from viewer.page.panels.measure.adding import added
from viewer.page.wire import Ask, DeskRow, Panel

PANEL = Panel("measure")
Fills = dict[str, str | list[str] | bool]


class SetDimension(Ask):
    """A distance as a person measured it."""

    key: str = Field(max_length=200)
    value: str = Field(max_length=60)
    plus_minus: str = Field(default="", max_length=30)
    how: str = Field(default="", max_length=40)
    by: str = Field(default="", max_length=40)
    verified: bool = True
    seen: str = ""


class Verify(Ask):
    """Distances a person has looked at again and found as they are written."""

    keys: tuple[str, ...] = Field(max_length=500)
    verified: bool = True
    by: str = Field(default="", max_length=40)
    seen: str = ""


class AddPart(Ask):
    """A part of the boat: its kind, what people call it, and its figures as typed."""

    kind: Literal["space", "opening", "solid", "hazard", "hole", "pipe", "tray"]
    label: str = Field(min_length=1, max_length=80)
    fields: dict[str, str] = Field(max_length=40)
    how: str = Field(default="", max_length=40)
    by: str = Field(default="", max_length=40)
    seen: str = ""


@PANEL.command("set", SetDimension, DeskRow)
def set_dimension(desk: Desk, ask: SetDimension) -> DeskRow:
    """Write a distance as it was measured; what else it changes is told."""
    with desk.lock:
        job, _, reckoner, boat = _reckoner(desk)
        ways = reckoner.sizes.plus_minus
        text = written_measure(ask.value, ask.plus_minus, ask.how, ways)
        measure_of(text, ways)
        found = next((d for d in dimensions_of(boat) if d.key == ask.key), None)
        if found is None:
            raise CoamingError("That part of the boat is not there any more")
        own = reckoner.alone(found, reckoner.found(found))
        if own and own in job.get("sizes", {}):  # the job tells this size of the boat
            size = Change(path=("sizes", own), value=text)
            return desk.edit(Edit(f"{found.words}: {text}", (), (size,), ask.seen))
        try:
            changes, key = reckoner.written(found, text)
        except SizeError as e:
            raise CoamingError(f"{e}. {e.hint}") from None
        changes.append(_record(key, ask.by, ask.verified))
        others = _also(boat, reckoner, found.key, key)
        also = f" (this is also {', '.join(others)})" if others else ""
        return desk.edit(Edit(f"{found.words}: {text}{also}", tuple(changes), seen=ask.seen))


@PANEL.command("verify", Verify, DeskRow)
def verify(desk: Desk, ask: Verify) -> DeskRow:
    """Mark sizes as measured on this boat, or as not."""
    with desk.lock:
        _, _, reckoner, boat = _reckoner(desk)
        keys: dict[str, None] = {}
        for d in dimensions_of(boat):
            if d.key in ask.keys:
                keys |= dict.fromkeys(reckoner.found(d).slopes)
        if not keys:
            raise CoamingError("There is no measured size to verify: type the figure first")
        changes = tuple(_record(key, ask.by, ask.verified) for key in keys)
        word = "verified" if ask.verified else "not verified"
        many = f"{len(keys)} sizes" if len(keys) > 1 else next(iter(keys)).replace("_", " ")
        return desk.edit(Edit(f"{many}: {word}", changes, seen=ask.seen))


@PANEL.command("add", AddPart, DeskRow)
def add(desk: Desk, ask: AddPart) -> DeskRow:
    """Add a part to the boat."""
    with desk.lock:
        _, hull, reckoner, boat = _reckoner(desk)
        changes, sizes = added(ask.kind, ask.label, ask.fields, ask.how, hull, reckoner, boat)
        changes += [_record(key, ask.by, True) for key in sizes]
        return desk.edit(Edit(f"{ask.label}: added", tuple(changes), seen=ask.seen))


def _record(key: str, by: str, verified: bool) -> Change:
    record: dict[str, Any] = {"by": by} if by else {}
    record |= {"on": date.today().isoformat(), "verified": verified}
    return Change(path=("measured", key), value=record)


def _reckoner(desk: Desk) -> tuple[dict[str, Any], dict[str, Any], Reckoner, Boat]:
    look = desk.look()
    if look.builder is None or look.boat is None:
        raise CoamingError("The files need putting right first: see what stands at the top")
    job, hull = desk.tables()
    return job, hull, Reckoner(hull, look.builder.sizes), look.boat


def _also(boat: Boat, reckoner: Reckoner, mine: str, key: str) -> list[str]:
    """The other distances a size makes up."""
    out = []
    for d in dimensions_of(boat):
        if d.key != mine and reckoner.alone(d, reckoner.found(d)) == key:
            out.append(d.words)
    return out[:4]
