"""Every board and piece of a job put where it is told: by numbers, or by what it is beside."""

from dataclasses import dataclass, replace

import numpy as np

from layout.boat.parts import Opening, Piece, Solid, Space
from layout.boat.pieces import Stand, board_piece, single_piece, stand_of
from layout.boat.reader import Reader
from layout.boat.relative import Around, referred, resolved
from layout.geometry.frames import Array
from layout.job.board_models import BoardModel
from layout.job.job_file import PieceModel


def build_pieces(
    reader: Reader,
    spaces: dict[str, Space],
    openings: dict[str, Opening],
    solids: dict[str, Solid],
    length_mm: float,
) -> dict[str, Piece]:
    """Every board and piece that can be placed, by its key, in the order of the file."""
    job = reader.files.job
    out: dict[str, Piece] = {}
    todo: list[tuple[str, str, BoardModel | PieceModel]] = []
    for key, board in job.boards.items():
        todo.append((f"boards.{key}", key, board))
    for key, piece in job.pieces.items():
        if key in job.boards:
            reader.say(f"pieces.{key}", "a name a board has already", "a name of its own")
        elif reader.known(piece.type, f"pieces.{key}.type", reader.files.types, "a type of gear"):
            todo.append((f"pieces.{key}", key, piece))
    order = [key for _, key, _ in todo]
    maker = _Maker(reader, spaces, openings, solids)
    while todo:  # what others are placed by is built before them
        waiting = {key for _, key, _ in todo}
        ready = [row for row in todo if not maker.waits_for(row[2], waiting)]
        for path, key, model in ready or todo[:1]:
            if not ready:
                names = ", ".join(sorted(waiting & set(_named(model))))
                wanted = "places that do not go round in a circle"
                reader.say(f"{path}.place", f"a place by {names}, placed by it", wanted)
            made = None if not ready else maker.made(path, key, model, out)
            if made is not None:
                out[key] = made
        done = {key for _, key, _ in (ready or todo[:1])}
        todo = [row for row in todo if row[1] not in done]
    for key, p in out.items():
        if p.size_mm.max() > length_mm:
            table = "boards" if p.is_board else "pieces"
            wanted = f"something smaller than the boat, {length_mm:g} mm"
            long = f"{p.size_mm.max():g} mm long"
            reader.say(f"{table}.{key}", long, wanted, "check the units", p.label)
    return {key: out[key] for key in order if key in out}


def _named(model: BoardModel | PieceModel) -> list[str]:
    """The pieces a place refers to, by the key before a part's."""
    if model.place is None:
        return []
    return [name.partition(".")[0] for name in referred(model.place)]


@dataclass(frozen=True, slots=True, eq=False)
class _Maker:
    """Makes pieces, each where it is told to stand."""

    reader: Reader
    spaces: dict[str, Space]
    openings: dict[str, Opening]
    solids: dict[str, Solid]

    def waits_for(self, model: BoardModel | PieceModel, waiting: set[str]) -> bool:
        """True while something its place refers to is still to be built."""
        labels = {p.label: k for k, p in self.reader.files.job.pieces.items()}
        labels |= {b.label: k for k, b in self.reader.files.job.boards.items()}
        return any(labels.get(name, name) in waiting for name in _named(model))

    def made(
        self, path: str, key: str, model: BoardModel | PieceModel, others: dict[str, Piece]
    ) -> Piece | None:
        """A piece where it stands; None, and noted, where that makes no sense."""
        stand = stand_of(self.reader, path, model, self.spaces, self.openings)
        if stand is None:
            return None
        if model.place is not None and model.at is None:
            scratch = Reader(self.reader.files, self.reader.sizes)
            like = self._piece(scratch, key, model, replace(stand, at=np.zeros(3)))
            low, high = _outline(like, model)
            around = Around(self.spaces[stand.space], others, self.solids, self.openings)
            at = resolved(self.reader, f"{path}.place", model.place, low, high, around)
            if at is None:
                return None
            stand = replace(stand, at=at)
        return self._piece(self.reader, key, model, stand)

    def _piece(
        self, reader: Reader, key: str, model: BoardModel | PieceModel, stand: Stand
    ) -> Piece:
        if isinstance(model, BoardModel):
            return board_piece(reader, key, model, stand)
        return single_piece(reader, key, model, stand, self.spaces)


def _outline(like: Piece, model: BoardModel | PieceModel) -> tuple[Array, Array]:
    """What a piece reaches from its place: of a board its plate, and nothing behind its back."""
    low, high = like.extent()
    if not isinstance(model, BoardModel):
        return low, high
    rest = like.at_rest()
    reach = np.abs(rest.rotation[0]) @ rest.half_mm[0]
    return rest.centre_mm[0] - reach, rest.centre_mm[0] + reach
