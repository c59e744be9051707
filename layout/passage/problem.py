"""The question put to the passage engine, and the answer it gives back.

A body (boxes fixed to one another) is to move from a start pose to a goal pose without coming
nearer than `clearance_mm` to any fixed box. Poses place the body's own frame in the hull frame.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np

from layout.geometry.boxes import Boxes
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose

ALL_TILTS: Final = -1.0
BESIDE_MM: Final = 1.0  # how much farther in than its radius a ball is looked for at a door
GYRATION_SHARE: Final = 0.6  # of the corners' spread: how a turn is weighed against a shift


class Scene(NamedTuple):
    """A problem as the kernels take it."""

    body: Boxes
    fixed: Boxes
    gyration: float  # mm; a turn counts as this much shift a radian
    up: Array  # the body's own up, (3,)
    cos_tilt: float  # least cosine of its tilt; ALL_TILTS when any tilt is allowed


@dataclass(frozen=True, slots=True, eq=False)
class Door:
    """An opening that a way does not lead by: low to high corner in its plane across `axis`, and
    which way along it leads inward.
    """

    low: Array
    high: Array
    axis: int
    inward: int

    def inside(self, radius_mm: float) -> tuple[Array, Array]:
        """Where the middle of a ball is as it comes to the opening from inside, low and high."""
        low, high = self.low.copy(), self.high.copy()
        far = self.low[self.axis] + self.inward * (radius_mm + BESIDE_MM)
        low[self.axis], high[self.axis] = sorted((float(self.low[self.axis]), float(far)))
        return low, high

    def passes(self, radius_mm: float) -> bool:
        """True when a ball of that radius may pass it."""
        return bool(np.delete(self.high - self.low, self.axis).min() > 2 * radius_mm)


@dataclass(frozen=True, eq=False)
class Problem:
    """One way in to be found. `up` is the body's own up; `max_tilt_rad` how far it may lean."""

    body: BoxSet
    fixed: BoxSet
    start: Pose
    goal: Pose
    clearance_mm: float = 0.0
    up: Array = field(default_factory=lambda: np.array([0.0, 0.0, 1.0]))
    max_tilt_rad: float = np.pi
    # (axis, sign, plane) beyond which all is outside: the start then stands for any place there
    outside: tuple[int, int, float] | None = None
    # with every other opening open: what the body may not pass, where it is more than where its
    # way leads (`fixed` shuts them, so that a way is a way by its own openings)
    room: BoxSet | None = None
    doors: tuple[Door, ...] = ()  # where those openings are, just inside

    @property
    def matter(self) -> BoxSet:
        """What the body may not pass, with every other opening open."""
        return self.fixed if self.room is None else self.room

    @property
    def cos_tilt(self) -> float:
        """Cosine of the allowed tilt; -1 when any tilt is allowed."""
        free = self.max_tilt_rad >= np.pi - 1e-9
        return ALL_TILTS if free else float(np.cos(self.max_tilt_rad))

    def beyond_mm(self, pose: Pose) -> float:
        """How far the whole body is beyond the outer end of the first opening; below zero when it
        is not outside, and where no outside is given.
        """
        if self.outside is None:
            return -np.inf
        axis, sign, plane = self.outside
        corners = self.body.corner_array().reshape(-1, 3) @ pose.rotation[axis] + pose.at_mm[axis]
        return float((sign * (corners - plane)).min())

    @property
    def radius_mm(self) -> float:
        """Farthest body point from the body's origin."""
        return self.body.reach_mm

    @cached_property
    def scene(self) -> Scene:
        """The problem as the kernels take it."""
        c = self.body.corner_array().reshape(-1, 3)
        spread = float(np.sqrt(((c - c.mean(axis=0)) ** 2).sum(-1).mean()))
        up = np.array(self.up, dtype=np.float64)
        return Scene(
            self.body.arrays, self.fixed.arrays, GYRATION_SHARE * spread, up, self.cos_tilt
        )


class Verdict(StrEnum):
    """What is known about one way in."""

    GOES_IN = "goes in"
    CANNOT = "cannot"
    NOT_SETTLED = "not settled"


class Evidence(StrEnum):
    """What a verdict rests on."""

    WAY = "way"
    NOT_FREE = "place not free"
    TIPPED = "tipped at its place"
    OUT_OF_SPACE = "out of its space"
    START_NOT_FREE = "start not free"
    BALL = "thinner than the body"
    TURNS = "no turn fits"
    TILT = "turns never join"
    NONE = "none"


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """Where a clearance is least: which body box, which fixed box, at which pose."""

    body: str
    fixed: str
    pose: Pose
    rows: tuple[int, int] = (0, 0)  # of the two boxes in their sets


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """The answer: verdict, its evidence, and how much was tried.

    `least_clearance_mm` is a proven lower bound along all of `path` for "goes in"; for the other
    verdicts it is None or, at a blocked resting place, minus the depth of the clash. `steps` and
    `cells` are the work that was done; `clocked` tells that a clock a person set ended it.
    """

    verdict: Verdict
    evidence: Evidence
    path: tuple[Pose, ...] = ()
    least_clearance_mm: float | None = None
    touch: Touch | None = None
    proof: dict[str, object] | None = None
    steps: int = 0
    cells: int = 0
    seed: int = 0
    clocked: bool = False
    kept: bool = False  # a way or proof of a slightly different boat that holds here too
