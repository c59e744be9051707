"""What the diagrams show: the boat from its batteries, each panel's loads, each board."""

from viewer.sheets.drawing.model import Drawing
from viewer.sheets.handover.diagram import Node, Wire, diagram
from viewer.words.names import Names, short
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

FEW = 3  # loads of a panel that need no diagram of their own
SIGN = {"plus": "", "minus": " -"}


class Schemes:
    """The diagrams of one result."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names
        self.kinds = {s.key: s.kind for s in result.boat.stands}
        for b in result.benches:
            self.kinds |= {f"{b.key}.{p.key}": p.kind for p in b.parts}
        self.circuits = [c for c in result.circuits if not (c.mains or c.signal)]
        self.plus = [c for c in self.circuits if not self._minus(c)]

    def _minus(self, c: CircuitRow) -> bool:
        wires = [w.pole for w in self.result.wires if w.number == c.number]
        return wires == ["minus"]

    @staticmethod
    def place(terminal: str) -> str:
        """What a terminal is on."""
        return terminal.rpartition(".")[0]

    def node(self, key: str) -> Node:
        """A thing of the diagram."""
        name = self.names.part(key) if "." in key else self.names.piece(key)
        return Node(key, self.kinds.get(key, "other"), short(name))

    def words(self, c: CircuitRow) -> tuple[str, str]:
        """What stands above a line and below it."""
        fuse = f"  {c.fuse_amp:g} A" if c.fuse_amp else ""
        return f"{c.number}{fuse}", c.size or ""

    def _leaves(self) -> dict[str, list[CircuitRow]]:
        """Circuits of each panel that feed nothing further, where they are many."""
        feeding = {self.place(c.feed) for c in self.plus}
        out: dict[str, list[CircuitRow]] = {}
        for c in self.plus:
            panel = self.place(c.feed)
            if self.kinds.get(panel) == "fuse panel" and self.place(c.load) not in feeding:
                out.setdefault(panel, []).append(c)
        return {k: v for k, v in out.items() if len(v) > FEW}

    def whole(self) -> Drawing:
        """The boat in one line from its batteries; what large panels feed is drawn by itself."""
        apart = {c.number for cs in self._leaves().values() for c in cs}
        return self._drawn("One-line diagram", [c for c in self.plus if c.number not in apart])

    def panels(self) -> list[tuple[str, Drawing]]:
        """(panel, what it feeds) for each large panel."""
        return [
            (self.node(k).name, self._drawn(self.node(k).name, cs))
            for k, cs in self._leaves().items()
        ]

    def _drawn(self, title: str, circuits: list[CircuitRow]) -> Drawing:
        wires = [Wire(self.place(c.feed), self.place(c.load), *self.words(c)) for c in circuits]
        wires = [w for w in wires if w.start != w.goal]
        keys = dict.fromkeys(k for w in wires for k in (w.start, w.goal))
        return diagram(title, [self.node(k) for k in keys], wires)

    def board(self, key: str) -> Drawing | None:
        """A board's wiring, plus and minus, with what comes to it."""
        own = f"{key}."
        wires, nodes = [], dict[str, Node]()
        for w in self.result.wires:
            ends = (self.place(w.start), self.place(w.goal))
            if not any(e.startswith(own) for e in ends) or ends[0] == ends[1]:
                continue
            for e in ends:
                nodes.setdefault(e, self.node(e))
            wires.append(Wire(*ends, w.mark, w.size, w.pole == "minus"))
        if not wires:
            return None
        return diagram(self.names.piece(key), list(nodes.values()), wires)
