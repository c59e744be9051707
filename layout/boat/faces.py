"""The six sides of a space and the six directions: their keys, axes and signs, in one place."""

from types import MappingProxyType
from typing import Final

from layout.geometry.frames import Array

FACES: Final = MappingProxyType(
    {
        "aft": (0, -1),
        "forward": (0, 1),
        "starboard": (1, -1),
        "port": (1, 1),
        "bottom": (2, -1),
        "top": (2, 1),
    }
)
FACE_OF: Final = MappingProxyType({place: face for face, place in FACES.items()})
DIRECTIONS: Final = MappingProxyType(
    {
        "forward": (1, 0, 0),
        "aft": (-1, 0, 0),
        "port": (0, 1, 0),
        "starboard": (0, -1, 0),
        "up": (0, 0, 1),
        "down": (0, 0, -1),
    }
)


DIRECTION_OF: Final = MappingProxyType({vector: word for word, vector in DIRECTIONS.items()})


def direction_of(v: Array) -> str:
    """The word for the direction a vector most looks in."""
    most = max(range(3), key=lambda k: abs(float(v[k])))
    sign = 1 if float(v[most]) > 0 else -1
    x, y, z = (sign if k == most else 0 for k in range(3))
    return DIRECTION_OF[x, y, z]


def across(axis: int) -> tuple[int, int]:
    """The two axes across one, in the order x, y, z."""
    u, v = (k for k in range(3) if k != axis)
    return u, v
