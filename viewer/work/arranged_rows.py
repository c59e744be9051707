"""What arranging a board found, as rows: boards that go, plates that go, or why none does."""

from viewer.work.bench_rows import Flat, Spot
from viewer.work.piece_rows import BoxRow, PoseRow
from viewer.work.row import Fine, Mm, Row, Value


class ArrangedPartRow(Row):
    """A part where it was put."""

    key: str
    foot: Spot
    turn_deg: int
    low: Flat
    high: Flat
    """Its outline on the plate."""


class ArrangedBoardRow(Row):
    """A board that is proven to go in."""

    plate_mm: Flat
    at_mm: Flat
    """The middle of its back, from its space's corner."""
    parts: tuple[ArrangedPartRow, ...]
    link_mm: Mm
    """Its links laid square, all together."""
    cost: Fine
    bound: Fine
    proven_best: bool
    aim: str
    way: tuple[str, ...]
    least_clearance_mm: Mm | None
    solid_mm: Spot | None
    """The plain solid whose proven way it has."""
    afterwards: tuple[str, ...]
    """Parts fitted once it is in."""
    body: tuple[BoxRow, ...]
    path: tuple[PoseRow, ...]


class PlateThatGoesRow(Row):
    """A plate that goes in whatever stands on it, no thicker over all than told."""

    length_mm: Mm
    height_mm: Mm


class ArrangedRow(Row):
    """The answer for a board."""

    board: str
    label: str
    space: str
    front: str
    right: str
    top: str
    boards: tuple[ArrangedBoardRow, ...]
    plates: tuple[PlateThatGoesRow, ...]
    thick_mm: Mm
    impossible: tuple[str, str] | None
    """The part that cannot pass alone, and the evidence."""
    no_room: tuple[str, ...]
    """Parts that no plate it may be holds."""
    joined: tuple[str, ...]
    """Circuits that join two boards in the boat."""
    asked: int
    worst_end: str | None = None
    """Of the board's own verdict in the boat, every size at the worst end of its ±."""
    decides: str = ""
    """The size that decides there."""
    roomier: bool = False
    """True where more clearance than the job's was asked for, so that it goes at the worst end."""
    sets: tuple[
        tuple[tuple[str, ...], Value | tuple[float, ...] | tuple[str | float, ...] | None], ...
    ]
    """What is to be written in the job: path and value, null for what is to go."""
