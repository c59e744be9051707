"""Put gear in, move it, turn it, and lay out boards on their plates."""

from typing import Any

import numpy as np

from layout.errors import CoamingError
from layout.job.reading import standard_types
from layout.job.type_models import TypeModel
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change
from viewer.page.folder import key_from
from viewer.page.panels.gear.asks import (
    AddPiece,
    Catalogue,
    Into,
    Move,
    NewBoard,
    OwnType,
    PartAt,
    Turn,
    TypeBox,
    TypeCard,
)
from viewer.page.panels.gear.placing import (
    board_on,
    free_place,
    moved_at,
    placed_part,
    put_changes,
    set_down,
    turned,
    written_at,
)
from viewer.page.wire import DeskRow, Nothing, Panel

PANEL = Panel("gear")


@PANEL.command("types", Nothing, Catalogue)
def types(desk: Desk, ask: Nothing) -> Catalogue:
    """The catalogue, the job's own types first."""
    del ask
    files = desk.look().files
    own = dict(files.job.types) if files is not None else {}
    rows = [_card(key, t, True) for key, t in own.items()]
    rows += [_card(key, t, False) for key, t in standard_types().items() if key not in own]
    return Catalogue(types=tuple(rows))


def _card(key: str, t: TypeModel, own: bool) -> TypeCard:
    boxes, low, high = [], np.full(3, np.inf), np.full(3, -np.inf)
    for box in t.boxes:
        size = np.array([_plain_mm(x) for x in box.size])
        at = np.array([_plain_mm(x) for x in box.at])
        low = np.minimum(low, at - size * (0.5, 0.5, 0.0))
        high = np.maximum(high, at + size * (0.5, 0.5, 1.0))
        boxes.append(TypeBox(size_mm=tuple(size), at_mm=tuple(at)))
    return TypeCard(
        key=key,
        label=t.label,
        kind=t.kind,
        mass_kg=t.mass_kg,
        size_mm=tuple(high - low),
        boxes=tuple(boxes),
        terminals=tuple(t.terminals),
        max_tilt_degrees=t.max_tilt_degrees,
        source=t.source,
        own=own,
    )


def _plain_mm(text: Any) -> float:
    """A type's length for its picture; what hangs on sizes of the job is drawn as 50 mm."""
    from layout.errors import SizeError
    from layout.job.sizes import parse_measure

    if isinstance(text, int | float):
        return float(text)
    try:
        return parse_measure(text).value_mm
    except SizeError:
        return 50.0


@PANEL.command("add", AddPiece, DeskRow)
def add(desk: Desk, ask: AddPiece) -> DeskRow:
    """Put a piece in."""
    with desk.lock:
        job, boat, files = _now(desk)
        found = files.types.get(ask.type)
        if found is None:
            raise CoamingError("That type of gear is not in the catalogue any more")
        label = ask.label or _free_label(found.label.partition(",")[0].lower(), boat)
        key = key_from(label, {*job.get("pieces", {}), *job.get("boards", {})})
        size = _card(ask.type, found, False).size_mm
        at = set_down(boat, ask.space, size, free_place(boat, ask.space, size, ask.at_mm))
        piece = {"type": ask.type, "label": label, "space": ask.space, "at": at}
        change = Change(path=("pieces", key), value=piece)
        return desk.edit(Edit(f"{label} put in", (), (change,), ask.seen))


def _free_label(words: str, boat: Any) -> str:
    """A name no other thing of the boat goes by, so that people can tell them apart."""
    taken = {piece.label for piece in boat.pieces.values()}
    label, n = words, 2
    while label in taken:
        label, n = f"{words} {n}", n + 1
    return label


@PANEL.command("own_type", OwnType, DeskRow)
def own_type(desk: Desk, ask: OwnType) -> DeskRow:
    """A type of gear of one's own."""
    with desk.lock:
        job, _, files = _now(desk)
        key = key_from(ask.label, {*job.get("types", {}), *files.types})
        size = [_length(x) for x in (ask.length, ask.breadth, ask.height)]
        table: dict[str, Any] = {
            "label": ask.label,
            "kind": ask.kind,
            "mass_kg": ask.mass_kg,
            "boxes": [{"size": size}],
        }
        tilt = min(ask.max_tilt_degrees, 40.0) if ask.upright else ask.max_tilt_degrees
        if tilt < 180:
            table["max_tilt_degrees"] = tilt
        if ask.volts is not None:
            table["volts"] = ask.volts
        if ask.source:
            table["source"] = ask.source
        half = _plain_mm(size[0]) / 4
        top = _plain_mm(size[2])
        if ask.kind == "battery":
            table["terminals"] = {
                "plus": {"at": [-half, 0, top], "out": "top", "stud": "M8"},
                "minus": {"at": [half, 0, top], "out": "top", "stud": "M8"},
            }
        else:
            back = _plain_mm(size[1]) / 2
            table["terminals"] = {"lead": {"at": [0, -back, top / 2], "out": "back"}}
            table["terminals"]["lead"]["out"] = "down"
        change = Change(path=("types", key), value=table)
        return desk.edit(Edit(f"{ask.label} is in the catalogue", (), (change,), ask.seen))


def _length(text: str) -> Any:
    from layout.job.sizes import PLUS_MINUS_MM
    from viewer.page.dimensions import measure_of, written_measure

    m = measure_of(written_measure(text, "", "", PLUS_MINUS_MM), PLUS_MINUS_MM)
    if m.value_mm <= 0:
        raise CoamingError("Every size is more than nothing")
    return m.value_mm if m.plus_minus_mm == 0 else text


@PANEL.command("move", Move, DeskRow)
def move(desk: Desk, ask: Move) -> DeskRow:
    """Move a piece or board by so much."""
    with desk.lock:
        job, boat, files = _now(desk)
        group, table, label = _thing(job, ask.key, boat)
        del files
        was = written_at(boat, ask.key, table)
        at = moved_at(desk.look(), group, ask.key, was, ask.by_mm)
        from viewer.words.pieces import move_words

        words = f"{label} moved {move_words(ask.by_mm)}"
        changes = put_changes(boat, group, ask.key, table, at)
        return desk.edit(Edit(words, (), changes, ask.seen))


@PANEL.command("turn", Turn, DeskRow)
def turn(desk: Desk, ask: Turn) -> DeskRow:
    """Turn a piece or board a quarter."""
    with desk.lock:
        job, boat, _ = _now(desk)
        group, table, label = _thing(job, ask.key, boat)
        fields = ("front", "along") if group == "boards" else ("along", "top")
        usual = {"along": "forward", "top": "up", "front": "up"}
        changes = tuple(
            Change(
                path=(group, ask.key, f),
                value=turned(str(table.get(f, usual[f])), "xyz", ask.about),
            )
            for f in fields
        )
        return desk.edit(Edit(f"{label} turned", (), changes, ask.seen))


@PANEL.command("into", Into, DeskRow)
def into(desk: Desk, ask: Into) -> DeskRow:
    """Put a piece or board into another space, on its floor."""
    with desk.lock:
        job, boat, _ = _now(desk)
        group, table, label = _thing(job, ask.key, boat)
        size = boat.pieces[ask.key].size_mm
        at = set_down(boat, ask.space, size, (None, None, None))
        changes = (
            Change(path=(group, ask.key, "space"), value=ask.space),
            *put_changes(boat, group, ask.key, table, list(at)),
        )
        return desk.edit(Edit(f"{label} put into another space", (), changes, ask.seen))


@PANEL.command("new_board", NewBoard, DeskRow)
def new_board(desk: Desk, ask: NewBoard) -> DeskRow:
    """A plate against one side of a space."""
    with desk.lock:
        job, boat, _ = _now(desk)
        key = key_from(ask.label, {*job.get("pieces", {}), *job.get("boards", {})})
        plate = [_length(x) for x in (ask.length, ask.height, ask.thickness)]
        table = {
            "label": ask.label,
            "plate": plate,
            **board_on(boat, ask.space, ask.face, [_plain_mm(x) for x in plate], ask.stand_off_mm),
        }
        change = Change(path=("boards", key), value=table)
        return desk.edit(Edit(f"{ask.label}: plate made", (), (change,), ask.seen))


@PANEL.command("part", PartAt, DeskRow)
def part(desk: Desk, ask: PartAt) -> DeskRow:
    """Put a part on a board, or move or turn one."""
    with desk.lock:
        job, boat, files = _now(desk)
        board = job.get("boards", {}).get(ask.board)
        if not isinstance(board, dict):
            raise CoamingError("That board is not there any more")
        changes, words = placed_part(board, ask, files, boat)
        return desk.edit(Edit(words, (), tuple(changes), ask.seen))


def _now(desk: Desk) -> tuple[dict[str, Any], Any, Any]:
    look = desk.look()
    if look.files is None or look.boat is None:
        raise CoamingError("The files need putting right first: see what stands at the top")
    return desk.tables()[0], look.boat, look.files


def _thing(job: dict[str, Any], key: str, boat: Any) -> tuple[str, dict[str, Any], str]:
    for group in ("boards", "pieces"):
        table = job.get(group, {}).get(key)
        if isinstance(table, dict) and key in boat.pieces:
            return group, table, boat.pieces[key].label
    raise CoamingError("That thing is not there any more")
