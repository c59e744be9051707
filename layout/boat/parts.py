"""What is where: the boat's spaces, openings and solids, and the gear, all in mm in the hull frame.

These are plain data; `layout.build` makes them from the files for one set of size values.
"""

from dataclasses import dataclass, field

import numpy as np

from layout.geometry.frames import Array
from layout.passage.problem import BoxSet, Pose

OUTSIDE = "outside"
FACES = {
    "aft": (0, -1),
    "forward": (0, 1),
    "starboard": (1, -1),
    "port": (1, 1),
    "bottom": (2, -1),
    "top": (2, 1),
}
DIRECTIONS = {
    "forward": (1, 0, 0),
    "aft": (-1, 0, 0),
    "port": (0, 1, 0),
    "starboard": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """A box of free air from `low` to `high`."""

    name: str
    label: str
    low: Array
    high: Array
    wall_mm: float
    closed: dict[str, str]
    site: str
    petrol: bool
    clip_mm: float = 8.0


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """A rim from `inner` space through its `face` to `outer`; `centre` is on the inner face's plane."""

    name: str
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
        u, v = (k for k in range(3) if k != self.axis)
        return u, v


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """Something fixed, one box."""

    name: str
    label: str
    space: str
    kind: str
    centre: Array
    half: Array
    rotation: Array
    removable_minutes: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Hazard:
    """Something to keep off: a box, a kind and the distance its rule asks."""

    name: str
    label: str
    kind: str
    space: str
    low: Array
    high: Array
    keep_off_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Hole:
    """A hole for cable between two spaces."""

    name: str
    label: str
    spaces: tuple[str, str]
    at: Array
    bore_mm: float
    edge: str
    may_edge: bool
    holds_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Pipe:
    """A pipe for cable from `at` in one space to `to` in the other."""

    name: str
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
    """A support of its own for a loom across a gap, from `at` in one space to `to` in another or the same."""

    name: str
    label: str
    spaces: tuple[str, str]
    at: Array
    to: Array


@dataclass(frozen=True, slots=True, eq=False)
class Terminal:
    """Where a cable leaves a thing, in the hull frame."""

    at: Array
    out: Array
    stud: str | None
    blade: str | None


@dataclass(frozen=True, slots=True, eq=False)
class RoomNeeded:
    """Room a thing needs at rest; `owner` is the part it belongs to."""

    why: str
    owner: str
    centre: Array
    half: Array
    rotation: Array


@dataclass(frozen=True, slots=True, eq=False)
class Thing:
    """A board or a single item: `body` in its own frame, `rest` its place in the boat."""

    name: str
    label: str
    kind: str  # "board" or the item's kind
    body: BoxSet
    rest: Pose
    space: str
    way: tuple[str, ...] | None
    mass_kg: float
    max_tilt_rad: float
    up: Array  # the body direction that points up at rest
    rooms: tuple[RoomNeeded, ...]
    terminals: dict[str, Terminal]
    balance: Array  # centre of gravity in the hull frame
    fixed_already: bool
    parts: dict[str, str] = field(default_factory=dict)  # part name -> kind
    size_mm: Array = field(default_factory=lambda: np.zeros(3))
    part_rows: dict[str, slice] = field(default_factory=dict)  # part name -> its boxes in the body

    def extent(self, part: str | None = None) -> tuple[Array, Array]:
        """The lowest and highest corner of the whole, or of one part, at rest in the hull frame."""
        rest = self.at_rest()
        rows = self.part_rows[part] if part is not None else slice(None)
        half = (np.abs(rest.rotation[rows]) @ rest.half_mm[rows][:, :, None])[:, :, 0]
        return (rest.centre_mm[rows] - half).min(axis=0), (rest.centre_mm[rows] + half).max(axis=0)

    def at_rest(self) -> BoxSet:
        """The body's boxes at rest, in the hull frame."""
        r = self.rest.rotation
        return BoxSet(
            np.ascontiguousarray(self.body.centre_mm @ r.T + self.rest.at_mm),
            self.body.half_mm,
            np.ascontiguousarray(r @ self.body.rotation),
            self.body.names,
        )


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
    things: dict[str, Thing]
    order: tuple[str, ...]
    clearance_mm: float
    trays: dict[str, Tray] = field(default_factory=dict)
    tees: dict[tuple[str, str], tuple[str, Array]] = field(
        default_factory=dict
    )  # (backbone, tee): space and place

    def joint_label(self, name: str) -> str:
        """The short label of a hole, pipe or tray: what stands before its first comma."""
        for group in (self.holes.values(), self.pipes.values(), self.trays.values()):
            for way in group:
                if way.name == name:
                    return way.label.split(",")[0]
        return name
