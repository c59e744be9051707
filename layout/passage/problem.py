"""The question put to the passage engine, and the answer it gives back.

A body (boxes fixed to one another) is to move from a start pose to a goal pose without coming
nearer than `clearance_mm` to any fixed box. Poses place the body's own frame in the hull frame.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

import numpy as np

from layout.errors import ShapeError
from layout.geometry.boxes import corners
from layout.geometry.frames import Array, matrix_from_quat

ALL_TILTS: Final = -1.0
NOT_ROTATION: Final = 1e-9  # largest entry of R R^T - I that a caller's rounding explains


@dataclass(frozen=True, slots=True, eq=False)
class BoxSet:
    """A union of boxes: centres (n, 3), half sizes (n, 3), rotations (n, 3, 3), a name each."""

    centre_mm: Array
    half_mm: Array
    rotation: Array
    names: tuple[str, ...]

    @classmethod
    def checked(
        cls,
        centre_mm: object,
        half_mm: object,
        rotation: object = None,
        names: tuple[str, ...] | None = None,
    ) -> "BoxSet":
        """Copy, check and lock the arrays. Raises ShapeError naming the field and the value."""
        c = np.ascontiguousarray(np.array(centre_mm, dtype=np.float64).reshape(-1, 3))
        h = np.ascontiguousarray(np.array(half_mm, dtype=np.float64).reshape(-1, 3))
        r = (
            np.tile(np.eye(3), (len(c), 1, 1))
            if rotation is None
            else np.array(rotation, dtype=np.float64).reshape(-1, 3, 3)
        )
        r = np.ascontiguousarray(r)
        if not (len(c) == len(h) == len(r)):
            raise ShapeError(
                f"{len(c)} centres, {len(h)} half sizes and {len(r)} rotations: want as many of each"
            )
        if not np.all(np.isfinite(c)):
            raise ShapeError("centre_mm must be finite")
        if not np.all(np.isfinite(h) & (h > 0)):
            raise ShapeError("half_mm must be positive and finite")
        if len(r):
            skew = float(np.abs(r @ r.swapaxes(-1, -2) - np.eye(3)).max())
            if not skew < NOT_ROTATION or bool(np.any(np.linalg.det(r) < 0)):
                raise ShapeError(f"rotation must be a proper turn; R R^T is off by {skew:.1e}")
        for x in (c, h, r):
            x.setflags(write=False)
        names = names if names is not None else tuple(f"box {k + 1}" for k in range(len(c)))
        return cls(c, h, r, names)

    def __len__(self) -> int:
        return len(self.centre_mm)

    def corner_array(self) -> Array:
        """All corners, (n, 8, 3)."""
        out = np.empty((len(self), 8, 3))
        for k in range(len(self)):
            out[k] = corners(self.centre_mm[k], self.half_mm[k], self.rotation[k])
        return out

    def without(self, dropped: set[int]) -> "BoxSet":
        """The same set less some boxes, by index."""
        keep = [k for k in range(len(self)) if k not in dropped]
        return BoxSet(
            np.ascontiguousarray(self.centre_mm[keep]),
            np.ascontiguousarray(self.half_mm[keep]),
            np.ascontiguousarray(self.rotation[keep]),
            tuple(self.names[k] for k in keep),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """A place (3,) mm and a turn (4,) x y z w."""

    at_mm: Array
    quat: Array

    @classmethod
    def checked(cls, at_mm: object, quat: object = (0.0, 0.0, 0.0, 1.0)) -> "Pose":
        """Copy, check and normalise. Raises ShapeError."""
        p, q = np.array(at_mm, dtype=np.float64), np.array(quat, dtype=np.float64)
        if (
            p.shape != (3,)
            or q.shape != (4,)
            or not (np.all(np.isfinite(p)) and np.all(np.isfinite(q)))
        ):
            raise ShapeError(
                f"a pose needs 3 finite mm and 4 finite quaternion parts, got {p} and {q}"
            )
        size = float(np.linalg.norm(q))
        if not 0.5 < size < 2:
            raise ShapeError(f"a quaternion has length 1, got {size:.3g}")
        return cls(p, q / size)

    @property
    def rotation(self) -> Array:
        """The turn as a (3, 3) matrix."""
        out: Array = matrix_from_quat(self.quat)
        return out


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """One way in to be found. `up` is the body's own up; `max_tilt_rad` how far it may lean."""

    body: BoxSet
    fixed: BoxSet
    start: Pose
    goal: Pose
    clearance_mm: float = 0.0
    up: Array = field(default_factory=lambda: np.array([0.0, 0.0, 1.0]))
    max_tilt_rad: float = np.pi

    @property
    def cos_tilt(self) -> float:
        """Cosine of the allowed tilt; -1 when any tilt is allowed."""
        return ALL_TILTS if self.max_tilt_rad >= np.pi - 1e-9 else float(np.cos(self.max_tilt_rad))

    @property
    def radius_mm(self) -> float:
        """Farthest body point from the body's origin."""
        return float(np.sqrt((self.body.corner_array() ** 2).sum(-1)).max())


class Verdict(StrEnum):
    """What is known about one way in."""

    GOES_IN = "goes in"
    CANNOT = "cannot"
    NOT_SETTLED = "not settled"


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """Where a clearance is least: which body box, which fixed box, at which pose."""

    body: str
    fixed: str
    pose: Pose


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """The answer: verdict, its evidence, and what was tried.

    `least_clearance_mm` is a proven lower bound along all of `path` for "goes in"; for the other
    verdicts it is None or, at a blocked resting place, minus the depth of the clash.
    """

    verdict: Verdict
    evidence: str
    path: tuple[Pose, ...] = ()
    least_clearance_mm: float | None = None
    touch: Touch | None = None
    proof: dict[str, object] | None = None
    seconds: float = 0.0
    tried: str = ""
    seed: int = 0
