"""What the diagrams show: the boat from its batteries, each panel's loads, each board."""

from collections import Counter

from viewer.sheets.drawing.model import Drawing
from viewer.sheets.handover.diagram import Node, Wire, diagram
from viewer.words.names import Names, short
from viewer.words.network import kinds_of, plus_circuits
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

Graph = tuple[list[Node], list[Wire]]
FEW = 3  # loads of a panel that need no diagram of their own
SIGN = {"plus": "", "minus": " -"}


class Schemes:
    """The diagrams of one result."""

    def __init__(self, result: Result, names: Names) -> None:
        self.result, self.names = result, names
        self.kinds, self.plus = kinds_of(result), plus_circuits(result)

    @staticmethod
    def place(terminal: str) -> str:
        """What a terminal is on."""
        return terminal.rpartition(".")[0]

    def node(self, key: str) -> Node:
        """A thing of the diagram."""
        name = short(self.names.part(key)) if "." in key else self.names.piece(key)
        return Node(key, self.kinds.get(key, "other"), name)

    def words(self, c: CircuitRow) -> tuple[str, str]:
        """What stands above a line and below it."""
        fuse = f": {c.fuse_amp:g} A" if c.fuse_amp else ""
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
        return diagram("One-line diagram", *self._whole())

    def panels(self) -> list[tuple[str, Drawing]]:
        """(panel, what it feeds) for each large panel."""
        names = {k: self.names.place(k) for k in self._leaves()}
        return [(names[k], diagram(names[k], *self._of(cs))) for k, cs in self._leaves().items()]

    def board(self, key: str) -> Drawing | None:
        """A board's wiring, plus and minus, with what comes to it."""
        nodes, wires = self._board(key)
        return diagram(self.names.piece(key), nodes, wires) if wires else None

    def graphs(self) -> list[Graph]:
        """The things and lines of every diagram."""
        boards = [self._board(b.key) for b in self.result.benches]
        return [self._whole(), *(self._of(cs) for cs in self._leaves().values()), *boards]

    def _whole(self) -> Graph:
        apart = {c.number for cs in self._leaves().values() for c in cs}
        return self._of([c for c in self.plus if c.number not in apart])

    def _of(self, circuits: list[CircuitRow]) -> Graph:
        wires = [Wire(self.place(c.feed), self.place(c.load), *self.words(c)) for c in circuits]
        wires = [w for w in wires if w.start != w.goal]
        keys = dict.fromkeys(k for w in wires for k in (w.start, w.goal))
        return self._nodes(list(keys), ""), wires

    def _board(self, key: str) -> Graph:
        own = f"{key}."
        wires, keys = [], dict[str, None]()
        for w in self.result.wires:
            ends = (self.place(w.start), self.place(w.goal))
            if not any(e.startswith(own) for e in ends) or ends[0] == ends[1]:
                continue
            keys |= dict.fromkeys(ends)
            wires.append(Wire(*ends, w.mark, w.size, w.pole == "minus"))
        return self._nodes(list(keys), key), wires

    def _nodes(self, keys: list[str], board: str) -> list[Node]:
        """The things of a diagram; those of one name, on other boards too, are told apart by
        the boards they are on.
        """
        nodes = [self.node(k) for k in keys]
        count = Counter(n.name for n in nodes)
        out = []
        for n in nodes:
            own = n.key.partition(".")[0]
            if count[n.name] > 1 and "." in n.key and own != board:
                out.append(Node(n.key, n.kind, f"{n.name}, {short(self.names.piece(own))}"))
            else:
                out.append(n)
        return out
