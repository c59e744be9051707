"""Unions of boxes and poses, as data: checked on entry, locked after."""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from layout.errors import ShapeError
from layout.geometry.boxes import Boxes, all_corners
from layout.geometry.frames import Array, matrix_from_quat

NOT_ROTATION: Final = 1e-9  # largest entry of R R^T - I that a caller's rounding explains


@dataclass(frozen=True, eq=False)
class BoxSet:
    """A union of boxes: centres (n, 3), half sizes (n, 3), rotations (n, 3, 3), a key each."""

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
                f"{len(c)} centres, {len(h)} half sizes, {len(r)} rotations: want as many of each"
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

    @cached_property
    def arrays(self) -> Boxes:
        """The boxes as the kernels take them; not to be written to."""
        c, h, r = self.centre_mm.copy(), self.half_mm.copy(), self.rotation.copy()
        return Boxes(c, h, r, all_corners(c, h, r))

    def corner_array(self) -> Array:
        """All corners, (n, 8, 3)."""
        return self.arrays.corners

    @property
    def reach_mm(self) -> float:
        """Farthest point from the set's own origin."""
        return float(np.sqrt((self.corner_array() ** 2).sum(-1)).max())

    def without(self, dropped: set[int]) -> "BoxSet":
        """The same set less some boxes, by index."""
        keep = [k for k in range(len(self)) if k not in dropped]
        return BoxSet(
            np.ascontiguousarray(self.centre_mm[keep]),
            np.ascontiguousarray(self.half_mm[keep]),
            np.ascontiguousarray(self.rotation[keep]),
            tuple(self.names[k] for k in keep),
        )

    def scaled(self, by: Array) -> "BoxSet":
        """The boxes scaled along the frame's axes about its origin (3,); they must stand square."""
        return BoxSet.checked(self.centre_mm * by, self.half_mm * by, self.rotation, self.names)


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """A place (3,) mm and a turn (4,) x y z w."""

    at_mm: Array
    quat: Array

    @classmethod
    def checked(cls, at_mm: object, quat: object = (0.0, 0.0, 0.0, 1.0)) -> "Pose":
        """Copy, check and normalise. Raises ShapeError."""
        p, q = np.array(at_mm, dtype=np.float64), np.array(quat, dtype=np.float64)
        fine = p.shape == (3,) and q.shape == (4,)
        if not fine or not (np.all(np.isfinite(p)) and np.all(np.isfinite(q))):
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
        return matrix_from_quat(self.quat)
