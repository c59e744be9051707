"""Places told by what a thing is on, beside and level with, worked out once into coordinates.

Along the side it is on one number follows from the side itself; each of the other two ways along
it must be told by exactly one word. What is referred to is built first; a circle of references is
told.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.faces import FACES
from layout.boat.parts import Opening, Piece, Solid, Space
from layout.boat.reader import Reader
from layout.errors import shown
from layout.geometry.frames import Array
from layout.job.place_models import PlaceModel

AXIS_WORDS: Final = ("fore and aft", "athwartships", "up and down")
AXES: Final = {"length": 0, "breadth": 1, "height": 2}
BESIDE: Final = {
    "above": (2, 1),
    "below": (2, -1),
    "forward_of": (0, 1),
    "aft_of": (0, -1),
    "port_of": (1, 1),
    "starboard_of": (1, -1),
}
LEVEL: Final = {"level_with": 2, "abreast_of": 0, "in_line_with": 1}
# looking at a side from inside, which way along the boat is right
RIGHT_OF_FACE: Final = {
    "forward": (1, -1),
    "aft": (1, 1),
    "port": (0, 1),
    "starboard": (0, -1),
}
WHAT_TO_ADD: Final = (
    "from_forward, from_aft, forward_of, aft_of, abreast_of or centred",
    "from_port, from_starboard, port_of, starboard_of, in_line_with or centred",
    "from_top, from_bottom, above, below, level_with or centred",
)


@dataclass(frozen=True, slots=True)
class Around:
    """What a place may refer to: boxes by key, and labels."""

    space: Space
    pieces: Mapping[str, Piece]
    solids: Mapping[str, Solid]
    openings: Mapping[str, Opening]

    def box(self, name: str) -> tuple[Array, Array] | None:
        """Low and high corner of what a key, `BOARD.PART` or label means."""
        board, _, part = name.partition(".")
        if part and board in self.pieces and part in self.pieces[board].parts:
            return self.pieces[board].extent(part)
        for group in (self.pieces, self.solids, self.openings):
            mine = [x for k, x in group.items() if name in (k, x.label)]
            if len(mine) == 1:
                return _extent(mine[0])
        return None

    def names(self) -> list[str]:
        """Every key that may be referred to."""
        return [*self.pieces, *self.solids, *self.openings]


def _extent(x: Piece | Solid | Opening) -> tuple[Array, Array]:
    if not isinstance(x, Opening):
        return x.extent()
    low, high = x.centre.copy(), x.centre.copy()
    low[list(x.others)] -= x.size / 2
    high[list(x.others)] += x.size / 2
    return low, high


def referred(place: PlaceModel) -> list[str]:
    """The names a place refers to, sides of the space left out."""
    words = ("left_of", "right_of", *BESIDE, *LEVEL)
    named = [getattr(place, w) for w in words]
    return [n for n in [place.on, *named] if n is not None and n not in FACES]


def face_of(place: PlaceModel) -> str:
    """The side it stands on; what stands on another thing stands on a floor."""
    return place.on if place.on in FACES else "bottom"


def resolved(
    reader: Reader, key: str, place: PlaceModel, low: Array, high: Array, around: Around
) -> Array | None:
    """The place in the hull of what reaches from `low` to `high` about it; None, and noted, where
    the words do not tell it.
    """
    face = face_of(place)
    axis, sign = FACES[face]
    found: dict[int, list[tuple[str, float]]] = {0: [], 1: [], 2: []}
    off = reader.mm(place.stand_off, f"{key}.stand_off", 0)
    plane = _plane(reader, key, place, axis, sign, around)
    if plane is None:
        return None
    own = high[axis] if sign > 0 else low[axis]
    found[axis].append((f"on {shown(place.on)}", plane - sign * off - float(own)))
    ok = _beside(reader, key, place, low, high, around, found)
    ok &= _level(reader, key, place, low, high, around, found)
    _from_sides(reader, key, place, low, high, around, found)
    _centred(place, low, high, around, found)
    out = np.zeros(3)
    for k in range(3):
        told = found[k]
        if len(told) > 1 and not (k == axis and len({round(v, 3) for _, v in told}) == 1):
            words = " and ".join(w for w, _ in told)
            reader.say(key, f"{AXIS_WORDS[k]}: {words}", "one word for each way", "leave one out")
            ok = False
        elif not told:
            hint = f"add {WHAT_TO_ADD[k]}"
            reader.say(key, f"nothing that tells where it is {AXIS_WORDS[k]}", "one word", hint)
            ok = False
        else:
            out[k] = told[0][1]
    return out if ok else None


def _plane(
    reader: Reader, key: str, place: PlaceModel, axis: int, sign: int, around: Around
) -> float | None:
    """Where what it is on begins, along the way across it."""
    s = around.space
    if place.on in FACES:
        return float(s.high[axis] if sign > 0 else s.low[axis])
    box = _named(reader, f"{key}.on", place.on, around)
    return None if box is None else float(box[1][2])


def _named(reader: Reader, key: str, name: str, around: Around) -> tuple[Array, Array] | None:
    box = around.box(name)
    if box is None:
        reader.known(name, key, around.names(), "a piece, a part of a board, a solid or an opening")
    return box


Found = dict[int, list[tuple[str, float]]]


def _beside(
    reader: Reader, key: str, place: PlaceModel, low: Array, high: Array, around: Around,
    found: Found,
) -> bool:  # fmt: skip
    """Left of, above and the like, with the gap between outlines."""
    gap, ok = reader.mm(place.by, f"{key}.by"), True
    words = dict(BESIDE)
    sideways = RIGHT_OF_FACE.get(place.on)
    if sideways is not None:
        words |= {"right_of": sideways, "left_of": (sideways[0], -sideways[1])}
    for word in ("left_of", "right_of", *BESIDE):
        name = getattr(place, word)
        if name is None:
            continue
        if word not in words:
            wanted = "forward_of, aft_of, port_of or starboard_of"
            reader.say(f"{key}.{word}", shown(name), wanted, "left and right are told of a wall")
            ok = False
            continue
        box = _named(reader, f"{key}.{word}", name, around)
        if box is None:
            ok = False
            continue
        axis, sign = words[word]
        edge = box[1][axis] + gap - low[axis] if sign > 0 else box[0][axis] - gap - high[axis]
        found[axis].append((f"{word} {shown(name)}", float(edge)))
    return ok


def _level(
    reader: Reader, key: str, place: PlaceModel, low: Array, high: Array, around: Around,
    found: Found,
) -> bool:  # fmt: skip
    ok = True
    for word, axis in LEVEL.items():
        name = getattr(place, word)
        if name is None:
            continue
        box = _named(reader, f"{key}.{word}", name, around)
        if box is None:
            ok = False
            continue
        middle = (box[0][axis] + box[1][axis]) / 2 - (low[axis] + high[axis]) / 2
        found[axis].append((f"{word} {shown(name)}", float(middle)))
    return ok


def _from_sides(
    reader: Reader, key: str, place: PlaceModel, low: Array, high: Array, around: Around,
    found: Found,
) -> None:  # fmt: skip
    s = around.space
    for face, (axis, sign) in FACES.items():
        text = getattr(place, f"from_{face}")
        if text is not None:
            off = reader.mm(text, f"{key}.from_{face}")
        elif face in place.against and face != place.on:
            off = 0.0
        else:
            continue
        at = s.high[axis] - off - high[axis] if sign > 0 else s.low[axis] + off - low[axis]
        word = f"from_{face}" if text is not None else f"against {shown(face)}"
        found[axis].append((word, float(at)))


def _centred(place: PlaceModel, low: Array, high: Array, around: Around, found: Found) -> None:
    s, told = around.space, place.centred
    if told is True:
        axes = [k for k in range(3) if not found[k]]
    else:
        axes = [AXES[a] for a in told] if isinstance(told, list) else []
    for k in axes:
        middle = (s.low[k] + s.high[k]) / 2 - (low[k] + high[k]) / 2
        found[k].append(("centred", float(middle)))
