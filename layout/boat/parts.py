"""What is where: the boat's spaces, openings and solids, and the gear, all in mm in the hull frame.

These are plain data; `layout.boat.build` makes them from the files for one set of size values.
Everything has a key that is its identity; labels are for people.

Keys of boxes: a board's plate is `BOARD.plate`, a part `BOARD.PART`, a piece its own key, and a box
of a body of several `KEY/WHAT`. Walls are `wall:SPACE.FACE`, the edges of an opening
`rim:OPENING.FACE` and `corner:OPENING`, solids `solid:NAME`.
"""

from dataclasses import dataclass, field, replace

import numpy as np

from layout.boat.faces import across
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose

OUTSIDE = "outside"
BOARD = "board"
PLATE = "plate"
PLATE_ROW = 0  # the plate is a board's first box
LUG_MM = 25.0  # a cable goes straight out of a stud so far, for its lug: memory


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """A box of free air from `low` to `high`."""

    key: str
    label: str
    low: Array
    high: Array
    wall_mm: float
    closed: dict[str, str]
    site: str
    petrol: bool
    clip_mm: float = 8.0
    square: bool = False  # cable is laid level and plumb in it


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """A rim from `inner` space through its face to `outer`; `centre` is on the face's plane."""

    key: str
    label: str
    inner: str
    outer: str
    axis: int
    sign: int
    centre: Array
    size: Array  # (2,) along the other two axes in x, y, z order
    radius_mm: float
    throat_mm: float
    inner_size: Array

    @property
    def others(self) -> tuple[int, int]:
        """The two axes in the plane of the opening."""
        return across(self.axis)


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """Something fixed, one box."""

    key: str
    label: str
    space: str
    kind: str
    centre: Array
    half: Array
    rotation: Array
    removable_minutes: float | None

    def extent(self) -> tuple[Array, Array]:
        """Lowest and highest corner of the square box round it, in the hull frame."""
        reach = np.abs(self.rotation) @ self.half
        return self.centre - reach, self.centre + reach


@dataclass(frozen=True, slots=True, eq=False)
class Hazard:
    """Something to keep off: a box, a kind and the distance its rule asks."""

    key: str
    label: str
    kind: str
    space: str
    low: Array
    high: Array
    keep_off_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Hole:
    """A hole for cable between two spaces."""

    key: str
    label: str
    spaces: tuple[str, str]
    at: Array
    bore_mm: float
    edge: str
    may_edge: bool
    holds_mm: tuple[float, ...]
    ways: int | None = None  # how many cables a gland seals


@dataclass(frozen=True, slots=True, eq=False)
class Pipe:
    """A pipe for cable from `at` in one space to `to` in the other."""

    key: str
    label: str
    spaces: tuple[str, str]
    at: Array
    to: Array
    bore_mm: float
    length_mm: float
    bends: int
    pull_string: bool
    holds_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Tray:
    """A support of its own for cable across a gap, from `at` in one space to `to` in another."""

    key: str
    label: str
    spaces: tuple[str, str]
    at: Array
    to: Array


@dataclass(frozen=True, slots=True, eq=False)
class Terminal:
    """Where a cable leaves a piece, in the hull frame; `lead_mm` is the lead it comes with.

    `pole` is "plus", "minus", "pair" (both, in one lead), "signal" or "mains".
    """

    at: Array
    out: Array
    stud: str | None
    blade: str | None
    lead_mm: float = 0.0
    pole: str = "plus"
    largest_mm2: float | None = None  # the largest cable that goes on it, by its maker
    studs: int = 1
    step: Array = field(default_factory=lambda: np.zeros(3))  # from one stud of a row to the next

    def of_row(self, number: int) -> "Terminal":
        """One stud of a row, counted from 1."""
        off = (number - (self.studs + 1) / 2) * self.step
        return replace(self, at=self.at + off, studs=1)


@dataclass(frozen=True, slots=True, eq=False)
class RoomNeeded:
    """Room a piece needs at rest; `owner` is the key of the part it belongs to."""

    why: str
    owner: str
    centre: Array
    half: Array
    rotation: Array


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part of a board: its key on the board, label, kind, type, and its boxes in the body.

    `foot_mm` is the middle of its foot from the plate's lower left corner, seen from the front.
    """

    key: str
    label: str
    kind: str
    type: str
    rows: slice
    foot_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Swing:
    """How far a piece tilts forward and turns to each side about a pivot in the hull frame."""

    pivot: Array
    tilt_rad: float
    turn_rad: float


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A board or a single piece: `body` in its own frame, `rest` its place in the boat."""

    key: str
    label: str
    kind: str  # "board" or the type's kind
    type: str  # of a single piece; empty for a board
    body: BoxSet
    rest: Pose
    space: str
    way: tuple[str, ...] | None
    mass_kg: float
    max_tilt_rad: float
    up: Array  # its own upward direction, in the hull frame at rest: the tilt is this from upright
    rooms: tuple[RoomNeeded, ...]
    terminals: dict[str, Terminal]
    balance: Array  # centre of gravity in the hull frame
    fixed_already: bool
    size_mm: Array
    parts: dict[str, PlacedPart] = field(default_factory=dict)
    said_held_by: str = ""
    swing: Swing | None = None
    panel: bool = False  # a board that is a face of the boat, its parts let in
    turn: Array = field(default_factory=lambda: np.eye(3))  # of its mounting frame in the hull

    @property
    def tilt_at_rest_rad(self) -> float:
        """How far its own upward direction leans from upright at rest."""
        return float(np.arccos(np.clip(self.up[2], -1.0, 1.0)))

    @property
    def is_board(self) -> bool:
        """True for a board."""
        return self.kind == BOARD

    @property
    def kinds(self) -> frozenset[str]:
        """Its own kind and those of its parts."""
        return frozenset({self.kind, *(part.kind for part in self.parts.values())})

    @property
    def plate_mm(self) -> Array:
        """Length, height and thickness of a board's plate, the longest first."""
        return np.sort(2 * self.body.half_mm[PLATE_ROW])[::-1]

    def extent(self, part: str | None = None) -> tuple[Array, Array]:
        """Lowest and highest corner of the whole, or of one part, at rest in the hull frame."""
        rest = self.at_rest()
        rows = self.parts[part].rows if part is not None else slice(None)
        half = (np.abs(rest.rotation[rows]) @ rest.half_mm[rows][:, :, None])[:, :, 0]
        low, high = rest.centre_mm[rows] - half, rest.centre_mm[rows] + half
        return low.min(axis=0), high.max(axis=0)

    def at_rest(self) -> BoxSet:
        """The body's boxes at rest, in the hull frame."""
        return self.placed(self.rest)

    def placed(self, pose: Pose) -> BoxSet:
        """The body's boxes at a pose, in the hull frame."""
        r = pose.rotation
        return BoxSet(
            np.ascontiguousarray(self.body.centre_mm @ r.T + pose.at_mm),
            self.body.half_mm,
            np.ascontiguousarray(r @ self.body.rotation),
            self.body.names,
        )


@dataclass(frozen=True, slots=True)
class Reading:
    """A length of the wiring as a person gave it, and how far it may be off, mm."""

    mm: float
    plus_minus_mm: float = 0.0

    @property
    def least(self) -> float:
        """The least it may be."""
        return self.mm - self.plus_minus_mm

    @property
    def most(self) -> float:
        """The most it may be."""
        return self.mm + self.plus_minus_mm


@dataclass(frozen=True, slots=True)
class CircuitLengths:
    """The lengths a job gives for one circuit; None where it gives none."""

    plug: Reading | None = None
    outside_diameter: Reading | None = None
    bend_radius: Reading | None = None
    fuse_at: Reading | None = None
    tail_feed: Reading | None = None
    tail_load: Reading | None = None
    leads: tuple[Reading, ...] = ()
    fuse_at_load: Reading | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Boat:
    """Everything placed, for one set of size values."""

    name: str
    length_mm: float
    beam_mm: float
    spaces: dict[str, Space]
    openings: dict[str, Opening]
    solids: dict[str, Solid]
    hazards: dict[str, Hazard]
    holes: dict[str, Hole]
    pipes: dict[str, Pipe]
    trays: dict[str, Tray]
    tees: dict[tuple[str, str], tuple[str, Array]]  # (backbone, tee): space and place
    pieces: dict[str, Piece]
    order: tuple[str, ...]
    clearance_mm: float
    lengths: dict[str, CircuitLengths]  # by circuit
    stock_mm: tuple[float, ...]  # lengths of the job's stock, in its order

    def stands_in(self, spaces: tuple[str, ...]) -> list[tuple[str, Array, Array]]:
        """What is in some spaces as square boxes: key with its kind, low and high corner."""
        out = [(f"solid:{s.key}", *s.extent()) for s in self.solids.values() if s.space in spaces]
        out += [
            (f"hazard:{h.key}", h.low, h.high) for h in self.hazards.values() if h.space in spaces
        ]
        return out + [
            (f"piece:{p.key}", *p.extent()) for p in self.pieces.values() if p.space in spaces
        ]

    def there(self) -> list[Piece]:
        """The pieces that are in the boat already."""
        return [piece for piece in self.pieces.values() if piece.fixed_already]
