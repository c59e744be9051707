"""Where gear is set down, moved and turned to, as figures for the files."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from layout.boat.faces import DIRECTIONS, FACES, direction_of
from layout.boat.parts import OUTSIDE, Boat
from layout.errors import CoamingError, SizeError
from layout.job import JobFiles
from layout.job.sizes import parse_measure
from layout.packing.things import foot_of
from viewer.page.edits.changes import Change
from viewer.page.folder import key_from
from viewer.page.panels.gear.asks import PartAt
from viewer.page.reading import Look

SPOT_MM: Final = 10.0  # between the places tried for a thing let go nowhere in particular
BESIDE_MM: Final = 15.0  # kept between it and what stands there
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


def free_spot(
    low: Sequence[float],
    high: Sequence[float],
    half: Sequence[float],
    taken: list[tuple[float, float, float, float]],
    near: Sequence[float],
) -> tuple[float, float]:
    """The middle of a free rectangle in a larger one, as near as can be to a point.

    `taken` are the others as (low x, low y, high x, high y); where none is free, the point itself.
    """
    wide, deep = half[0] + BESIDE_MM, half[1] + BESIDE_MM

    def hit(x: float, y: float) -> bool:
        return any(
            a < x + wide and c > x - wide and b < y + deep and d > y - deep for a, b, c, d in taken
        )

    best, least = (float(near[0]), float(near[1])), np.inf
    if not hit(*best):
        return best
    for x in np.arange(low[0] + half[0], high[0] - half[0] + 0.1, SPOT_MM):
        for y in np.arange(low[1] + half[1], high[1] - half[1] + 0.1, SPOT_MM):
            far = float(np.hypot(x - near[0], y - near[1]))
            if far < least and not hit(x, y):
                best, least = (float(x), float(y)), far
    return best


def free_place(
    boat: Boat, space: str, size_mm: Sequence[float], at_mm: Sequence[float | None]
) -> tuple[float | None, float | None, float | None]:
    """Where a thing let go nowhere in particular is set down: beside what stands there already."""
    if space == OUTSIDE or space not in boat.spaces or at_mm[0] is not None or at_mm[1] is not None:
        return at_mm[0], at_mm[1], at_mm[2]
    s = boat.spaces[space]
    taken = []
    for piece in boat.pieces.values():
        if piece.space == space:
            low, high = piece.extent()
            taken.append((float(low[0]), float(low[1]), float(high[0]), float(high[1])))
    half = (float(size_mm[0]) / 2, float(size_mm[1]) / 2)
    middle = ((s.low + s.high) / 2).tolist()
    spot = free_spot(s.low.tolist(), s.high.tolist(), half, taken, middle)
    return spot[0], spot[1], at_mm[2]


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


def written_at(boat: Boat, key: str, table: dict[str, Any]) -> list[Any]:
    """The place as the job tells it in figures; worked out where it tells it in words."""
    if "at" in table:
        return list(table["at"])
    piece = boat.pieces[key]
    low = boat.spaces[piece.space].low if piece.space in boat.spaces else np.zeros(3)
    return [_round(float(x)) for x in foot_of(piece) - low]


def put_changes(
    boat: Boat, group: str, key: str, table: dict[str, Any], at: list[Any]
) -> tuple[Change, ...]:
    """What is written where a piece is put by figures: a place told in words then goes, and how it
    is turned by it is told.
    """
    out = [Change(path=(group, key, "at"), value=at)]
    if "place" in table:
        out.append(Change(path=(group, key, "place"), value=None))
        turn = boat.pieces[key].turn
        words = (("along", 0), ("front" if group == "boards" else "top", 2))
        out += [
            Change(path=(group, key, word), value=direction_of(turn[:, k]))
            for word, k in words
            if word not in table
        ]
    return tuple(out)


def turned(word: str, axes: str, about: str) -> str:
    """A direction after a quarter turn about an axis of the hull."""
    k = axes.index(about)
    turn = np.zeros((3, 3))
    turn[k, k] = 1
    i, j = (k + 1) % 3, (k + 2) % 3
    turn[i, j], turn[j, i] = -1, 1
    v = turn @ np.array(DIRECTIONS[word])
    return direction_of(v)


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


def _free_on(board: dict[str, Any], ask: PartAt, files: JobFiles) -> tuple[float, float]:
    """A free spot on a plate for a new part, near its middle."""

    def half_of(name: str, turn: int) -> tuple[float, float]:
        sizes = [
            [float(x) for x in b.size if isinstance(x, int | float)]
            for b in files.types[name].boxes
        ]
        whole = [s for s in sizes if len(s) == 3] or [[50.0, 50.0, 50.0]]
        x, y = max(s[0] for s in whole) / 2, max(s[1] for s in whole) / 2
        return (y, x) if turn % 180 else (x, y)

    plate = [float(x) if isinstance(x, int | float) else 0.0 for x in board.get("plate", [0, 0])]
    model = files.job.boards.get(ask.board)
    if model is not None and not all(plate[:2]):
        plate = [_first_number(x) for x in board["plate"]]
    taken = []
    for part in board.get("parts", {}).values():
        if part.get("type") in files.types:
            h = half_of(part["type"], int(part.get("turn", 0)))
            if "at" not in part:
                continue
            x, y = (_first_number(v) for v in part["at"])
            taken.append((x - h[0], y - h[1], x + h[0], y + h[1]))
    half = half_of(ask.type, ask.turn or 0)
    return free_spot((0, 0), plate, half, taken, (plate[0] / 2, plate[1] / 2))


def _first_number(written: Any) -> float:
    """A length as it is written, where it is a plain one; 0 for arithmetic on sizes."""
    try:
        return (
            float(written) if isinstance(written, int | float) else parse_measure(written).value_mm
        )
    except SizeError:
        return 0.0


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
    at_mm = ask.at_mm or _free_on(board, ask, files)
    part: dict[str, Any] = {"type": ask.type, "at": [_round(x) for x in at_mm]}
    if ask.turn:
        part["turn"] = ask.turn
    if ask.label:
        part["label"] = ask.label
    change = Change(path=("boards", ask.board, "parts", key), value=part)
    return [change], f"{found.label.partition(',')[0]} put on {label}"
