"""Where gear is set down, moved and turned to, as figures for the files."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from layout.boat.faces import DIRECTIONS, FACES
from layout.boat.parts import OUTSIDE, Boat
from layout.errors import CoamingError, SizeError
from layout.job import JobFiles
from viewer.page.edits.changes import Change
from viewer.page.folder import key_from
from viewer.page.panels.gear.asks import PartAt
from viewer.page.reading import Look

WORDS_OF: Final = {vector: word for word, vector in DIRECTIONS.items()}
OPPOSITE: Final = {
    "top": "down",
    "bottom": "up",
    "port": "starboard",
    "starboard": "port",
    "forward": "aft",
    "aft": "forward",
}
ALONG: Final = {  # a board's length runs left to right as seen from its front
    "aft": "starboard",
    "forward": "port",
    "starboard": "forward",
    "port": "aft",
    "up": "starboard",
    "down": "starboard",
}


def _round(x: float) -> float | int:
    """To the tenth of a millimetre, whole ones as whole numbers."""
    y = round(float(x), 1)
    return int(y) if y == int(y) else y


def set_down(
    boat: Boat,
    space: str,
    size_mm: Sequence[float],
    at_mm: Sequence[float | None],
) -> list[float | int]:
    """The middle of a thing's foot from its space's corner: let go there, it stands on the floor.

    It is kept inside the space's sides where it can be. Raises CoamingError.
    """
    if space == OUTSIDE:
        return [_round(x if x is not None else 0.0) for x in at_mm]
    if space not in boat.spaces:
        raise CoamingError("Choose the space it goes into")
    s = boat.spaces[space]
    out: list[float | int] = []
    for k in range(2):
        half = float(size_mm[k]) / 2
        low, high = float(s.low[k]) + half, float(s.high[k]) - half
        given = at_mm[k]
        x = (float(s.low[k]) + float(s.high[k])) / 2 if given is None else float(given)
        x = min(max(x, low), high) if low <= high else (low + high) / 2
        out.append(_round(x - float(s.low[k])))
    z = at_mm[2]
    out.append(_round(0.0 if z is None else float(z) - float(s.low[2])))
    return out


def moved_at(
    look: Look, group: str, key: str, at: list[Any], by_mm: Sequence[float]
) -> list[float | int | str]:
    """The place after a straight move: figures that do not change stay as they were written."""
    if look.builder is None:
        raise CoamingError("The files need putting right first")
    out: list[float | int | str] = []
    for n, (text, by) in enumerate(zip(at, by_mm, strict=True)):
        if abs(by) < 1e-9:
            out.append(text)
            continue
        try:
            mm = look.builder.sizes.mm(text, f"{group}.{key}.at[{n + 1}]")
        except SizeError as e:
            raise CoamingError(str(e)) from None
        out.append(_round(mm + by))
    return out


def turned(word: str, axes: str, about: str) -> str:
    """A direction after a quarter turn about an axis of the hull."""
    k = axes.index(about)
    turn = np.zeros((3, 3))
    turn[k, k] = 1
    i, j = (k + 1) % 3, (k + 2) % 3
    turn[i, j], turn[j, i] = -1, 1
    v = turn @ np.array(DIRECTIONS[word])
    return WORDS_OF[(round(v[0]), round(v[1]), round(v[2]))]


def board_on(
    boat: Boat, space: str, face: str, plate_mm: Sequence[float], stand_off_mm: float
) -> dict[str, Any]:
    """A plate with its back `stand_off_mm` off a side of a space, in the middle of it."""
    if space not in boat.spaces:
        raise CoamingError("Choose the space it goes into")
    s = boat.spaces[space]
    axis, sign = FACES[face]
    at = (s.high - s.low) / 2
    at[axis] = float(s.high[axis] - s.low[axis]) - stand_off_mm if sign > 0 else stand_off_mm
    del plate_mm
    front = OPPOSITE[face]
    out: dict[str, Any] = {
        "space": space,
        "at": [_round(x) for x in at],
        "front": front,
        "along": ALONG[front],
    }
    if stand_off_mm > 0:
        out["held_by"] = f"four spacers of {stand_off_mm:g} mm"
    return out


def placed_part(
    board: dict[str, Any], ask: PartAt, files: JobFiles, boat: Boat
) -> tuple[list[Change], str]:
    """(the changes that put, move or turn a part, what they do in words). Raises CoamingError."""
    label = boat.pieces[ask.board].label if ask.board in boat.pieces else ask.board
    parts = board.get("parts", {})
    if ask.part:
        if ask.part not in parts:
            raise CoamingError("That part is not on the board any more")
        path = ("boards", ask.board, "parts", ask.part)
        changes = []
        if ask.at_mm is not None:
            at = [_round(x) for x in ask.at_mm]
            changes += [Change(path=(*path, "at", n), value=x) for n, x in enumerate(at)]
        if ask.turn is not None:
            changes.append(Change(path=(*path, "turn"), value=ask.turn))
        if ask.label:
            changes.append(Change(path=(*path, "label"), value=ask.label))
        what = parts[ask.part].get("label") or ask.part.replace("_", " ")
        return changes, f"{what} on {label} moved"
    found = files.types.get(ask.type)
    if found is None:
        raise CoamingError("That type of gear is not in the catalogue any more")
    key = key_from(ask.label or found.label.partition(",")[0], set(parts))
    at_mm = ask.at_mm or (0.0, 0.0)
    part: dict[str, Any] = {"type": ask.type, "at": [_round(x) for x in at_mm]}
    if ask.turn:
        part["turn"] = ask.turn
    if ask.label:
        part["label"] = ask.label
    change = Change(path=("boards", ask.board, "parts", key), value=part)
    return [change], f"{found.label.partition(',')[0]} put on {label}"
