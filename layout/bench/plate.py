"""A board as the bench sees it: flat, from its front, measured from its lower left corner.

x runs along the plate's length to the right, y up its height, z off its front face; what lies
behind the plate's front has z below nought. Every sheet and every arrangement works in this frame.
"""

from dataclasses import dataclass

import numpy as np

from layout.boat.faces import direction_of
from layout.boat.fixings import fixings_of, hole_of
from layout.boat.parts import PLATE_ROW, Boat, Piece, PlacedPart, RoomNeeded
from layout.boat.reader import Reader, sizes_of
from layout.geometry.frames import Array
from layout.job.reading import JobFiles
from layout.job.type_models import TypeModel

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class FlatBox:
    """A box in the plate's frame."""

    x0: float
    y0: float
    z0: float
    x1: float
    y1: float
    z1: float
    what: str = ""


@dataclass(frozen=True, slots=True)
class Drill:
    """A hole to drill: its middle, its diameter, what for, and of which part."""

    x: float
    y: float
    diameter_mm: float
    purpose: str  # "fixing", "stand-off", "cable", "strap"
    part: str
    screw: str = ""
    reach_mm: float | None = None


@dataclass(frozen=True, slots=True)
class CutOut:
    """A hole to saw: its middle, its size, the radius of its corners, and of which part."""

    x: float
    y: float
    length_mm: float
    height_mm: float
    radius_mm: float
    part: str


@dataclass(frozen=True, slots=True)
class FlatTerminal:
    """A terminal on the plate: its full name, place, and the way its cable leaves."""

    name: str
    at: tuple[float, float, float]
    out: tuple[float, float, float]
    on: str
    pole: str
    studs: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class FlatPart:
    """A part on the plate."""

    key: str
    label: str
    kind: str
    type: str
    foot: Spot
    turn_deg: int
    mass_kg: float
    boxes: tuple[FlatBox, ...]
    rooms: tuple[FlatBox, ...]
    terminals: tuple[FlatTerminal, ...]
    drills: tuple[Drill, ...]
    cut_out: CutOut | None

    @property
    def outline(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of all its boxes."""
        return (
            min(b.x0 for b in self.boxes),
            min(b.y0 for b in self.boxes),
            max(b.x1 for b in self.boxes),
            max(b.y1 for b in self.boxes),
        )

    @property
    def height_mm(self) -> float:
        """How far it stands off the plate's front."""
        return max(b.z1 for b in self.boxes)


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """A board, flat. `front`, `right` and `top` say where each looks in the boat."""

    key: str
    label: str
    space: str
    length_mm: float
    height_mm: float
    thickness_mm: float
    mass_kg: float
    balance: tuple[float, float, float]
    front: str
    right: str
    top: str
    parts: tuple[FlatPart, ...]
    turn: Array  # of this frame in the hull
    corner: Array  # where this frame's nought is in the hull

    def flat(self, point: Array) -> tuple[float, float, float]:
        """A place in the hull, on the plate."""
        x, y, z = self.turn.T @ (np.asarray(point, float) - self.corner)
        return float(x), float(y), float(z)

    def whole(self, point: tuple[float, float, float]) -> Array:
        """The place in the hull of one on the plate."""
        return self.corner + self.turn @ np.array(point)


def plates(files: JobFiles, boat: Boat) -> list[Plate]:
    """Every board of the job, flat, in the order of the file."""
    reader = Reader(files, sizes_of(files, []))
    boards = [boat.pieces[key] for key in files.job.boards if key in boat.pieces]
    return [_plate(reader, boat, board) for board in boards]


def _plate(reader: Reader, boat: Boat, board: Piece) -> Plate:
    turn = board.turn
    rest = board.at_rest()
    plate_half = np.abs(turn.T @ rest.rotation[PLATE_ROW]) @ rest.half_mm[PLATE_ROW]
    front_middle = rest.centre_mm[PLATE_ROW] + turn[:, 2] * plate_half[2]
    corner = front_middle - turn[:, 0] * plate_half[0] - turn[:, 1] * plate_half[1]
    empty = Plate(
        board.key,
        board.label,
        board.space,
        2 * float(plate_half[0]),
        2 * float(plate_half[1]),
        2 * float(plate_half[2]),
        board.mass_kg,
        (0.0, 0.0, 0.0),
        direction_of(turn[:, 2]),
        direction_of(turn[:, 0]),
        direction_of(turn[:, 1]),
        (),
        turn,
        corner,
    )
    parts = tuple(_part(reader, board, empty, key) for key in board.parts)
    whole = {f: getattr(empty, f) for f in Plate.__dataclass_fields__}
    return Plate(**{**whole, "balance": empty.flat(board.balance), "parts": parts})


def _box(plate: Plate, centre: Array, half: Array, rotation: Array, what: str) -> FlatBox:
    mid = np.array(plate.flat(centre))
    reach = np.abs(plate.turn.T @ rotation) @ half
    x0, y0, z0 = (float(x) for x in mid - reach)
    x1, y1, z1 = (float(x) for x in mid + reach)
    return FlatBox(x0, y0, z0, x1, y1, z1, what)


def _room(plate: Plate, room: RoomNeeded) -> FlatBox:
    return _box(plate, room.centre, room.half, room.rotation, room.why)


def _part(reader: Reader, board: Piece, plate: Plate, key: str) -> FlatPart:
    part = board.parts[key]
    model: TypeModel = reader.files.types[part.type]
    rest = board.at_rest()
    rows = zip(rest.names, rest.centre_mm, rest.half_mm, rest.rotation, strict=True)
    boxes = tuple(
        _box(plate, c, h, r, name.partition("/")[2]) for name, c, h, r in list(rows)[part.rows]
    )
    owner = f"{board.key}.{key}"
    terminals = []
    for name, t in board.terminals.items():
        if name.partition(".")[0] == key:
            out = plate.turn.T @ t.out
            on = t.stud or (f"blade {t.blade}" if t.blade else "lead" if t.lead_mm > 0 else "clamp")
            at, way = plate.flat(t.at), (float(out[0]), float(out[1]), float(out[2]))
            row = range(1, t.studs + 1) if t.studs > 1 else ()
            studs = tuple(plate.flat(t.of_row(k).at)[:2] for k in row)
            terminals.append(FlatTerminal(f"{board.key}.{name}", at, way, on, t.pole, studs))
    return FlatPart(
        key,
        part.label,
        part.kind,
        part.type,
        part.foot_mm,
        part.turn_deg,
        model.mass_kg,
        boxes,
        tuple(_room(plate, r) for r in board.rooms if r.owner == owner),
        tuple(terminals),
        _drills(reader, model, part),
        _cut_out(reader, model, part),
    )


def turned(spot: Spot, turn_deg: int) -> Spot:
    """A spot turned about nought by a quarter turn, seen from the front."""
    x, y = spot
    return {0: (x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}[turn_deg % 360]


def _drills(reader: Reader, model: TypeModel, part: PlacedPart) -> tuple[Drill, ...]:
    out = []
    for f in fixings_of(reader, model, part.type):
        x, y = turned(f.at, part.turn_deg)
        at = (part.foot_mm[0] + x, part.foot_mm[1] + y)
        out.append(Drill(*at, f.bore_mm, "fixing", part.key, f.screw, f.reach_mm))
    return tuple(out)


def _cut_out(reader: Reader, model: TypeModel, part: PlacedPart) -> CutOut | None:
    c = hole_of(reader, model, part.type)
    if c is None:
        return None
    x, y = turned(c.at, part.turn_deg)
    size = c.size_mm if part.turn_deg % 180 == 0 else (c.size_mm[1], c.size_mm[0])
    return CutOut(part.foot_mm[0] + x, part.foot_mm[1] + y, *size, c.radius_mm, part.key)
