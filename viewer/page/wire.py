"""What goes over the wire: typed asks and answers, and the commands that take one to the other.

A panel is a folder with its commands and what it shows of a result; `web` shows, these decide.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, JsonValue

from viewer.work.piece_rows import BoatRow
from viewer.work.row import Fine, Mm, Row
from viewer.work.rows import Result

__all__ = ["Fine", "JsonValue", "Mm", "Row"]


class Ask(BaseModel):
    """Base of everything the page asks; unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class Nothing(Ask):
    """An ask that needs no more words."""


class Done(Row):
    """Something was done; in words."""

    words: str


class ProblemRow(Row):
    """Something wrong in a file."""

    file: str
    key: str
    line: int
    words: str


class SizeRow(Row):
    """One length of the files: as written, as worked out, and who took it."""

    key: str
    """Its place, like `openings.hatch.throat` or `sizes.hatch_length`."""
    file: str
    """`hull` or `job`."""
    text: str
    mm: Mm
    inches: str
    plus_minus_mm: Mm
    how: str
    worked_out: bool
    """True for arithmetic on other sizes."""
    by: str
    on: str
    verified: bool


class DimensionRow(Row):
    """A distance a person can measure and type: from one face to another."""

    key: str
    """What asks for it: `space:locker:x`, `opening:hatch:throat`."""
    words: str
    whose: str
    """The key of what it is a size of, with its kind."""
    axis: int | None
    from_mm: tuple[Mm, Mm, Mm]
    to_mm: tuple[Mm, Mm, Mm]
    mm: Mm
    inches: str
    plus_minus_mm: Mm
    how: str
    by: str
    on: str
    verified: bool
    rank: int
    """The lower, the more it matters."""
    size_key: str
    """The measured size that alone makes it up; empty where there is none."""


class OpeningShape(Row):
    """The clear outline of an opening on its face, to be drawn."""

    key: str
    centre_mm: tuple[Mm, Mm, Mm]
    axis: int
    sign: int
    size_mm: tuple[Mm, Mm]
    inner_size_mm: tuple[Mm, Mm]
    radius_mm: Mm
    throat_mm: Mm


class JointShape(Row):
    """A hole, pipe or tray, to be drawn and picked."""

    key: str
    kind: str
    spaces: tuple[str, str]
    points_mm: tuple[tuple[Mm, Mm, Mm], ...]
    bore_mm: Mm


class TerminalShape(Row):
    """A terminal, to be picked."""

    key: str
    at_mm: tuple[Mm, Mm, Mm]
    pole: str


class RoomShape(Row):
    """Room a piece needs once it stands."""

    why: str
    owner: str
    low_mm: tuple[Mm, Mm, Mm]
    high_mm: tuple[Mm, Mm, Mm]


class DeskRow(Row):
    """A job as its files are now; the answer is told apart, with the revision it is of."""

    job_file: str
    hull_file: str
    job: str
    hull: str
    revision: str
    undo: str
    redo: str
    problems: tuple[ProblemRow, ...]
    elsewhere: str
    """What another program changed, in words; empty where nothing was."""
    boat: BoatRow | None
    openings: tuple[OpeningShape, ...]
    joints: tuple[JointShape, ...]
    terminals: tuple[TerminalShape, ...]
    rooms: tuple[RoomShape, ...]
    labels: dict[str, str]
    sizes: tuple[SizeRow, ...]
    dimensions: tuple[DimensionRow, ...]
    hull_tables: dict[str, JsonValue]
    """The hull file as it is written."""
    job_tables: dict[str, JsonValue]
    """The job file as it is written."""
    ways_of_measuring: dict[str, Mm]
    note: str = ""
    """What an edit did, in words."""


Run = Callable[..., Row]
Shows = Callable[[Result, Any], Row]  # and the desk, which stands above this floor
OneRun = TypeVar("OneRun", bound=Run)
OneShows = TypeVar("OneShows", bound=Shows)


@dataclass(frozen=True, slots=True)
class Command:
    """A command of a panel: what is asked, what is told, and who does it."""

    name: str
    ask: type[Ask]
    told: type[Row]
    run: Run
    at_desk: bool


@dataclass(slots=True)
class Panel:
    """A panel: its commands by name, and what it shows of a result."""

    key: str
    commands: dict[str, Command] = field(default_factory=dict)
    shows: Shows | None = None
    shown: type[Row] | None = None

    def command(self, name: str, ask: type[Ask], told: type[Row]) -> Callable[[OneRun], OneRun]:
        """Register a command about the job on a desk: `run(desk, ask)`."""
        return self._register(name, ask, told, at_desk=True)

    def of_house(self, name: str, ask: type[Ask], told: type[Row]) -> Callable[[OneRun], OneRun]:
        """Register a command about the whole folder: `run(folder, ask)`."""
        return self._register(name, ask, told, at_desk=False)

    def shows_of(self, shown: type[Row]) -> Callable[[OneShows], OneShows]:
        """Register what the panel shows of a result: `shows(result, desk)`."""

        def add(shows: OneShows) -> OneShows:
            self.shows, self.shown = shows, shown
            return shows

        return add

    def _register(
        self, name: str, ask: type[Ask], told: type[Row], at_desk: bool
    ) -> Callable[[OneRun], OneRun]:
        def add(run: OneRun) -> OneRun:
            self.commands[name] = Command(name, ask, told, run, at_desk)
            return run

        return add


def run_command(command: Command, where: object, asked: Any) -> Row:
    """Do a command at a desk, or in a folder. Raises CoamingError, ValidationError."""
    told = command.run(where, command.ask.model_validate(asked))
    if not isinstance(told, command.told):
        raise TypeError(f"{command.name} told {type(told).__name__}, not {command.told.__name__}")
    return told
