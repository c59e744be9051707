"""Rows of the result about the boat and its pieces."""

from viewer.work.row import Fine, Mm, Place, Quat, Row, Turn, Vec


class BoxRow(Row):
    """A box: its key, middle, half sizes and rotation matrix by rows."""

    key: str
    centre_mm: Vec
    half_mm: Vec
    rotation: tuple[tuple[Turn, Turn, Turn], tuple[Turn, Turn, Turn], tuple[Turn, Turn, Turn]]


class SpaceRow(Row):
    """A space from its low to its high corner."""

    key: str
    low_mm: Vec
    high_mm: Vec
    site: str


class OpeningRow(Row):
    """An opening and the four bars it is drawn as."""

    key: str
    inner: str
    outer: str
    axis: int
    sign: int
    size_mm: tuple[Mm, Mm]
    bars: tuple[BoxRow, ...]


class HazardRow(Row):
    """Something to keep off."""

    key: str
    space: str
    low_mm: Vec
    high_mm: Vec


class SolidRow(Row):
    """Something fixed."""

    key: str
    space: str
    box: BoxRow


class StandRow(Row):
    """A board or piece at rest: its boxes in its own frame and in the boat."""

    key: str
    kind: str
    space: str
    is_board: bool
    fixed_already: bool
    mass_kg: Fine
    size_mm: Vec
    at_mm: Place
    body: tuple[BoxRow, ...]
    plate_mm: Vec | None
    held_by: tuple[str, ...]
    """What its foot or plate touches, by key."""
    said_held_by: str
    """What a person says holds it; empty where nothing is said."""
    parts: tuple[str, ...]


class BoatRow(Row):
    """What is where."""

    length_mm: Mm
    beam_mm: Mm
    spaces: tuple[SpaceRow, ...]
    openings: tuple[OpeningRow, ...]
    solids: tuple[SolidRow, ...]
    hazards: tuple[HazardRow, ...]
    stands: tuple[StandRow, ...]
    trays: dict[str, tuple[str, str]]


class PoseRow(Row):
    """A place of the body's middle, and its turn x y z w from its stand."""

    at_mm: Place
    quat: Quat


class HeldRow(Row):
    """How a piece is held: the hull axis of its long side, which end is down, flat or on edge."""

    long_axis: int
    end_down: str
    down_deg: Mm
    flat: bool | None


class StopRow(Row):
    """What a move would touch next: `more` mm (degrees of a turn) farther, and which side of the
    piece is there, as a hull axis and a sign.
    """

    more: Mm
    body: str
    fixed: str
    axis: int
    sign: int


class RestRow(Row):
    """What a piece can be set down on when a move is done, and how far below it is."""

    below_mm: Mm
    fixed: str


class MoveRow(Row):
    """One move of a way in."""

    step: str
    shift_mm: Vec
    turn_deg: Vec
    least_clearance_mm: Mm
    near_body: str
    near_fixed: str
    nearest_mm: Vec | None
    """Where it comes nearest; null where nothing is near."""
    start: PoseRow
    end: PoseRow
    held: HeldRow
    stop: StopRow | None
    """What tells a hand that it has gone far enough; null where nothing is near."""
    rest: RestRow | None
    """Null where it can be set down on nothing."""


class DecidingRow(Row):
    """A measured size that decides, by its key in the files."""

    key: str
    value_mm: Mm
    plus_minus_mm: Mm
    how: str
    effect_mm: Mm
    share: Mm


class ClashRow(Row):
    """Two things that overlap at rest; with `room`, a room of `what` that `other` takes."""

    what: str
    other: str
    depth_mm: Mm
    room: str


class RemedyRow(Row):
    """A change with which a way was found and proven."""

    kind: str
    keys: tuple[str, ...]
    minutes: Mm | None
    axis: int | None
    sizes_mm: tuple[Mm, ...]
    less_mm: Mm | None
    at_limit: bool


class PieceRow(Row):
    """The answer for one board or piece, in the order of fitting."""

    key: str
    verdict: str
    evidence: str
    way: tuple[str, ...]
    also_open: tuple[str, ...]
    """Other openings that must stand open, for an end to be poked through."""
    anchor_mm: Place
    path: tuple[PoseRow, ...]
    moves: tuple[MoveRow, ...]
    least_clearance_mm: Mm | None
    nearly_touching: str
    worst_end: str | None
    best_end: str | None
    deciding_sizes: tuple[DecidingRow, ...]
    clashes: tuple[ClashRow, ...]
    rooms_taken: tuple[ClashRow, ...]
    out_again: str | None
    out_first: tuple[str, ...]
    out_moves: tuple[MoveRow, ...]
    """The moves that take it out again past all else, from its seat."""
    in_place: tuple[str, ...]
    """Removable things that stand there while it does not go in."""
    no_opening: bool
    free_by_mm: Vec | None
    """The shortest straight move that frees a place that is not free."""
    shortfall_mm: Mm | None
    steps: int
    cells: int
    kept: bool
    """True for a way or proof of the boat before that was proven again on this one."""
    in_order: bool
    mark: str
    """A mark of all this answer depends on: equal marks, equal answers."""
    remedies: tuple[RemedyRow, ...] | None = None
    """What would make it go; null where it was not looked for."""
