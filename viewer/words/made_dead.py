"""How the boat is made dead: what each isolator takes, and what stays live with all of them off."""

from collections.abc import Iterable

from viewer.words.names import Names, joined
from viewer.words.network import kinds_of, plus_circuits
from viewer.words.table import Table
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

ENDS = frozenset({"battery", "fuse panel"})  # what lies behind is told by these alone


class MadeDead:
    """What hangs behind each isolator of one result."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names
        self.kinds, self.circuits = kinds_of(result), plus_circuits(result)
        self.spaces = {s.key: s.space for s in result.boat.stands}
        self.isolators = [k for k, kind in self.kinds.items() if kind == "isolator"]

    def _on(self, place: str) -> list[CircuitRow]:
        return [c for c in self.circuits if c.feed.rpartition(".")[0] == place]

    def behind(self, place: str, through: Iterable[str] = ENDS) -> list[CircuitRow]:
        """The circuits an isolator takes, from it onwards; not past a battery."""
        out: dict[str, CircuitRow] = {}
        stop, todo = frozenset(through), [place]
        while todo:
            for c in self._on(todo.pop()):
                if c.number in out:
                    continue
                out[c.number] = c
                load = c.load.rpartition(".")[0]
                if self.kinds.get(load) not in stop:
                    todo.append(load)
        return [c for c in out.values() if not c.link]

    def live(self) -> list[CircuitRow]:
        """What none of them takes."""
        dead = {c.number for k in self.isolators for c in self.behind(k, {"battery"})}
        return [c for c in self.circuits if c.number not in dead and not c.link]

    def where(self, place: str) -> str:
        """A part's place: its number on the board, the board, the space."""
        piece, _, part = place.partition(".")
        space = self.names.space(self.spaces.get(piece, ""))
        if not part:
            return space
        board = next((b for b in self.result.benches if b.key == piece), None)
        number = next((p.number for p in board.parts if p.key == part), 0) if board else 0
        return f"{self.names.piece(piece)}, its part {number}; {space}"

    def table(self) -> Table:
        """Every isolator: where it is, what it makes dead."""
        rows = tuple(
            (self.names.part(k), self.where(k),
             joined([f"{c.number} {c.label}" for c in self.behind(k)]) or "-")
            for k in self.isolators
        )  # fmt: skip
        head = ("Turn off", "Where it is", "What is dead then")
        note = "In an emergency turn off all of them."
        return Table("isolators", "", note, head, rows, (26, 34, 40))

    def stays_live(self) -> str:
        """What stays live with every isolator off."""
        if not self.isolators:
            return "No isolator is told: everything is live until the batteries' cables are off."
        told = joined([f"{c.number} {c.label}" for c in self.live()])
        return (
            f"Live with all of them off: {told or 'no circuit'}. Take the battery's own cables "
            "off before work on those; what charges a battery keeps its cables live."
        )
