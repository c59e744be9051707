"""Boards with their parts and single pieces, placed in the boat."""

from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from layout.boat.faces import DIRECTIONS, FACES, direction_of
from layout.boat.fixings import fixings_of, hole_of
from layout.boat.hull_parts import axis_turn
from layout.boat.parts import (
    BOARD,
    OUTSIDE,
    PLATE,
    Opening,
    Piece,
    PlacedPart,
    RoomNeeded,
    Space,
    Swing,
    Terminal,
)
from layout.boat.reader import Reader, title
from layout.boat.relative import face_of
from layout.boat.swinging import swing_rooms
from layout.errors import shown
from layout.geometry.frames import Array, is_square
from layout.geometry.shapes import BoxSet, Pose
from layout.job.board_models import BoardModel, BoardPart
from layout.job.job_file import PieceModel
from layout.job.type_models import TerminalModel, TypeModel

OUT_WORDS: Final = MappingProxyType(
    {
        "left": (-1, 0, 0),
        "right": (1, 0, 0),
        "down": (0, -1, 0),
        "up": (0, 1, 0),
        "top": (0, 0, 1),
        "back": (0, 0, -1),
    }
)
PLATE_KG_PER_MM3: Final = 650e-9  # marine ply, 650 kg/m3: common practice
UP: Final = (0.0, 0.0, 1.0)


@dataclass(slots=True, eq=False)
class _Body:
    """A piece being put together in its mounting frame: x along, y across, z away from its face."""

    centre: list[Array] = field(default_factory=list)
    half: list[Array] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    rooms: list[RoomNeeded] = field(default_factory=list)
    terminals: dict[str, Terminal] = field(default_factory=dict)
    parts: dict[str, PlacedPart] = field(default_factory=dict)
    mass_kg: float = 0.0
    moment: Array = field(default_factory=lambda: np.zeros(3))

    def weigh(self, mass_kg: float, at: Array) -> None:
        """Add a mass at a place."""
        self.mass_kg += mass_kg
        self.moment = self.moment + mass_kg * at

    def box(self, centre: Array, half: Array, key: str) -> None:
        """Add a box."""
        self.centre.append(centre)
        self.half.append(half)
        self.keys.append(key)

    def extent(self, rows: slice = slice(None)) -> tuple[Array, Array]:
        """Lowest and highest corner of some boxes."""
        c, h = np.array(self.centre[rows]), np.array(self.half[rows])
        return (c - h).min(axis=0), (c + h).max(axis=0)

    def add(
        self, reader: Reader, model: TypeModel, key: str, own: str, foot: Array, spin: Array
    ) -> None:
        """Add a type's boxes, rooms and terminals; `own` is its key in the boat."""
        turn = np.abs(spin)
        for i, b in enumerate(model.boxes):
            size = reader.vec(b.size, f"{key}.boxes[{i + 1}].size", 0.5)
            c = reader.vec(b.at, f"{key}.boxes[{i + 1}].at") + [0, 0, size[2] / 2]
            name = own if len(model.boxes) == 1 else f"{own}/{b.what}"
            self.box(foot + spin @ c, turn @ size / 2, name)
        for i, room in enumerate(model.rooms):
            size = reader.vec(room.size, f"{key}.rooms[{i + 1}].size", 0.5)
            c = reader.vec(room.at, f"{key}.rooms[{i + 1}].at") + [0, 0, size[2] / 2]
            self.rooms.append(
                RoomNeeded(room.why, own, foot + spin @ c, turn @ size / 2, np.eye(3))
            )
        name = key.removeprefix("types.")
        fixings_of(reader, model, name)  # used on the bench; a slip in them is told with the rest
        hole_of(reader, model, name)
        prefix = own.partition(".")[2]
        for name, terminal in model.terminals.items():
            at = foot + spin @ reader.vec(terminal.at, f"{key}.terminals.{name}.at")
            lead = (
                0.0
                if terminal.lead is None
                else reader.mm(terminal.lead, f"{key}.terminals.{name}.lead", 0)
            )
            out = spin @ np.array(OUT_WORDS[terminal.out], float)
            self.terminals[f"{prefix}.{name}" if prefix else name] = Terminal(
                at,
                out,
                terminal.stud,
                terminal.blade,
                lead,
                terminal.pole or pole_of(model.kind, name),
                terminal.largest_cable,
                terminal.studs,
                spin @ _row_step(reader, terminal, f"{key}.terminals.{name}"),
            )


def _row_step(reader: Reader, terminal: TerminalModel, key: str) -> Array:
    """From one stud of a row to the next, in the type's frame."""
    if (terminal.stud_step is None) != (terminal.studs == 1):
        found = "studs" if terminal.stud_step is None else "stud_step"
        reader.say(key, f"{found} alone", "studs and stud_step together, for a row of studs")
    if terminal.stud_step is None:
        return np.zeros(3)
    x, y = reader.vec(terminal.stud_step, f"{key}.stud_step")
    return np.array([x, y, 0.0])


def pole_of(kind: str, terminal: str) -> str:
    """The pole of a terminal whose type does not tell: by its name, as types are written."""
    if terminal == "mains":
        return "mains"
    if kind == "shunt" or terminal.startswith(("minus", "negative")):
        return "minus"
    return "pair" if terminal.startswith("lead") else "plus"


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """How a piece stands: the turn and place of its mounting frame, its space and its way in."""

    turn: Array
    at: Array
    space: str
    way: tuple[str, ...] | None


def stand_of(
    reader: Reader,
    key: str,
    model: BoardModel | PieceModel,
    spaces: dict[str, Space],
    openings: dict[str, Opening],
) -> Stand | None:
    """Where a piece stands; None, and noted, when that makes no sense."""
    on_board = isinstance(model, BoardModel)
    words = _turned_to(model)
    if (model.at is None) == (model.place is None):
        told = "neither at nor place" if model.at is None else "both at and place"
        hint = "at = [x, y, z] from the space's corner, or place = { on = ... }"
        reader.say(key, told, "one of them", hint, model.label)
        return None
    if model.at is None and model.space == OUTSIDE:
        hint = "places by words are told inside a space"
        reader.say(f"{key}.place", "a place outside", "at = [x, y, z]", hint, model.label)
        return None
    x, z = (np.array(DIRECTIONS[w], float) for w in words)
    at = reader.origin(model.space, f"{key}.space", spaces, outside=not on_board)
    if model.at is not None:
        at = at + reader.vec(model.at, f"{key}.at")
    way = None
    if model.way is not None:
        labels = {opening.key: opening.label for opening in openings.values()}
        found = [
            reader.resolved(w, f"{key}.way[{i + 1}]", labels, "an opening")
            for i, w in enumerate(model.way)
        ]
        way = tuple(w for w in found if w is not None) if None not in found else None
    if abs(x @ z) > 0.5:
        face = "front" if on_board else "top"
        wanted = f"a direction square to {face} = {shown(words[1])}"
        reader.say(f"{key}.along", shown(words[0]), wanted, "", model.label)
        return None
    if model.space not in spaces and (on_board or model.space != OUTSIDE):
        return None
    return Stand(np.column_stack([x, np.cross(z, x), z]), at, model.space, way)


def _turned_to(model: BoardModel | PieceModel) -> tuple[str, str]:
    """Where its length runs and its height points: off the side it is placed on where the file
    does not tell.
    """
    if isinstance(model, BoardModel):
        return model.along, model.front
    told = model.model_fields_set
    if model.place is None or {"along", "top"} & told:
        return model.along, model.top
    axis, sign = FACES[face_of(model.place)]
    top = np.zeros(3)
    top[axis] = -sign
    along = np.array([1.0, 0.0, 0.0]) if axis == 2 else np.cross([0.0, 0.0, 1.0], top)
    return direction_of(along), direction_of(top)


def board_piece(reader: Reader, key: str, model: BoardModel, stand: Stand) -> Piece:
    """A board with its parts, where it stands."""
    table = f"boards.{key}"
    plate = reader.vec(model.plate, f"{table}.plate", 1)
    body = _Body()
    middle = np.array([0, 0, plate[2] / 2])
    body.box(middle, plate / 2, f"{key}.{PLATE}")
    body.weigh(model.plate_kg if model.plate_kg is not None else _ply_kg(plate), middle)
    for name, part in model.parts.items():
        if reader.known(
            part.type, f"{table}.parts.{name}.type", reader.files.types, "a type of gear"
        ):
            _part(reader, key, name, part, plate, body)
    if model.hinge is not None:
        body.rooms += swing_rooms(key, model.hinge, plate, *body.extent())
    if model.leans_degrees:
        lean = axis_turn(0, np.deg2rad(model.leans_degrees))
        stand = replace(stand, turn=stand.turn @ lean)
    label = model.label or title(key)
    tilts = [
        reader.files.types[p.type].max_tilt_degrees
        for p in model.parts.values()
        if p.type in reader.files.types
    ]
    tilt = float(np.deg2rad(min(tilts, default=180.0)))  # that of the part that minds it most
    held = model.held_by or ("the boat's own face" if model.panel else "")
    whole = _assembled(key, label, BOARD, "", body, stand, tilt, model.panel, held)
    return replace(whole, panel=model.panel)


def _ply_kg(plate: Array) -> float:
    return float(np.prod(plate)) * PLATE_KG_PER_MM3


def _part(
    reader: Reader, board: str, name: str, model: BoardPart, plate: Array, body: _Body
) -> None:
    """Add a part to a board."""
    key = f"boards.{board}.parts.{name}"
    if name == PLATE:
        reader.say(key, shown(name), "another name", "that is what the plate itself is called")
    kind = reader.files.types[model.type]
    if model.at is None:
        hint = "coaming arrange finds one for every part of a board"
        reader.say(f"{key}.at", "a part with no place yet", "where its foot is", hint, model.label)
    # in the middle for now, so that what is joined to it is still looked at
    at = plate[:2] / 2 if model.at is None else reader.vec(model.at, f"{key}.at")
    foot = np.array([*(at - plate[:2] / 2), plate[2]])
    spin = axis_turn(2, np.deg2rad(model.turn))
    rows = slice(len(body.keys), len(body.keys) + len(kind.boxes))
    body.add(reader, kind, f"types.{model.type}", f"{board}.{name}", foot, spin)
    low, high = body.extent(rows)
    over = max((-plate[:2] / 2 - low[:2]).max(), (high[:2] - plate[:2] / 2).max())
    if over > 1e-6 and model.at is not None:
        reader.say(
            f"{key}.at",
            f"a part that overhangs the plate by {over:.0f} mm",
            "parts inside the plate's edges",
            "'at' is the middle of its foot from the lower left corner",
            model.label,
        )
    spot = (float(foot[0] + plate[0] / 2), float(foot[1] + plate[1] / 2))
    label = model.label or kind.label
    body.parts[name] = PlacedPart(name, label, kind.kind, model.type, rows, spot, model.turn)
    body.weigh(kind.mass_kg, (low + high) / 2)


def single_piece(
    reader: Reader, key: str, model: PieceModel, stand: Stand, spaces: dict[str, Space]
) -> Piece:
    """A single piece, where it stands."""
    kind = reader.files.types[model.type]
    body = _Body()
    body.add(reader, kind, f"types.{model.type}", key, np.zeros(3), np.eye(3))
    body.weigh(kind.mass_kg, np.mean(body.extent(), axis=0))
    tilt = float(np.deg2rad(kind.max_tilt_degrees))
    fixed = model.fixed_already or model.space == OUTSIDE
    label = model.label or kind.label
    whole = _assembled(key, label, kind.kind, model.type, body, stand, tilt, fixed, model.held_by)
    if model.swing is None:
        return whole
    corner = reader.origin(model.space, f"pieces.{key}.space", spaces)
    m = model.swing
    pivot = corner + reader.vec(m.pivot, f"pieces.{key}.swing.pivot")
    tilt_rad, turn_rad = float(np.deg2rad(m.tilt_degrees)), float(np.deg2rad(m.turn_degrees))
    return replace(whole, swing=Swing(pivot, tilt_rad, turn_rad))


def _assembled(
    key: str,
    label: str,
    kind: str,
    of_type: str,
    body: _Body,
    stand: Stand,
    tilt: float,
    fixed: bool,
    said_held_by: str,
) -> Piece:
    """Place a piece: its body frame is the hull frame moved to its middle, so rest is unturned."""
    low, high = body.extent()
    r, at = stand.turn, stand.at
    middle = at + r @ ((low + high) / 2)
    c = np.array([at + r @ x - middle for x in body.centre])
    square = is_square(r)
    h = np.array([np.abs(r) @ x if square else x for x in body.half])
    turns = None if square else np.tile(r, (len(c), 1, 1))
    rooms = tuple(
        RoomNeeded(
            q.why,
            q.owner,
            at + r @ q.centre,
            np.abs(r) @ q.half if square and is_square(q.rotation) else q.half,
            np.eye(3) if square and is_square(q.rotation) else r @ q.rotation,
        )
        for q in body.rooms
    )
    ends = {
        name: Terminal(
            at + r @ terminal.at,
            r @ terminal.out,
            terminal.stud,
            terminal.blade,
            terminal.lead_mm,
            terminal.pole,
            terminal.largest_mm2,
            terminal.studs,
            r @ terminal.step,
        )
        for name, terminal in body.terminals.items()
    }
    balance = at + r @ (body.moment / body.mass_kg if body.mass_kg > 0 else np.zeros(3))
    return Piece(
        key,
        label,
        kind,
        of_type,
        BoxSet.checked(c, h, turns, tuple(body.keys)),
        Pose.checked(middle),
        stand.space,
        stand.way,
        body.mass_kg,
        tilt,
        r[:, 2].copy(),
        rooms,
        ends,
        balance,
        fixed,
        np.abs(r) @ (high - low),
        body.parts,
        said_held_by,
        turn=r,
    )
