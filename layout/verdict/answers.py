"""What is told of one piece: the answer and everything it rests on, as data."""

from dataclasses import dataclass
from enum import StrEnum

from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from layout.passage import Passage, Verdict
from layout.passage.moves import Move
from layout.verdict.rest import Clash
from layout.verdict.tolerance import Deciding


class Answer(StrEnum):
    """What a planner is told of one piece."""

    GOES_IN = "goes in"
    MEASURE_AGAIN = "measure again"
    CANNOT = "cannot"
    PLACE_NOT_FREE = "place not free"
    NOT_SETTLED = "not settled"
    THERE = "there already"


@dataclass(frozen=True, slots=True, eq=False)
class PieceFit:
    """Everything known of one piece's way in and stand.

    `way` names the openings it goes in by; `passage` is None where there is no way to ask about.
    """

    key: str
    answer: Answer
    way: tuple[str, ...] = ()
    also_open: tuple[str, ...] = ()  # other openings that must stand open
    passage: Passage | None = None
    seat: Pose | None = None
    moves: tuple[Move, ...] = ()
    least_clearance_mm: float | None = None
    nearly_touching: str = ""
    deciding: tuple[Deciding, ...] = ()
    worst: Verdict | None = None
    best: Verdict | None = None
    clashes: tuple[Clash, ...] = ()
    rooms_taken: tuple[Clash, ...] = ()
    out_again: Verdict | None = None
    out_first: tuple[str, ...] = ()
    out_moves: tuple[Move, ...] = ()  # from its seat to outside, past all else
    in_place: tuple[str, ...] = ()  # removable things that stand there while it does not go
    no_opening: bool = False
    shortfall_mm: float | None = None  # off its longest side, and it goes
    free_by_mm: Array | None = None  # the shortest straight move that frees a place
    kept: bool = False  # a way or proof of the boat before holds here too

    @property
    def in_order(self) -> bool:
        """True when nothing about this piece needs a person's attention."""
        settled = self.answer in (Answer.GOES_IN, Answer.THERE)
        return settled and not self.clashes and not self.rooms_taken
