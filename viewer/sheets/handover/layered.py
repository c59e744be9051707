"""Where the things of a diagram stand and how its lines run.

The layered layout is that of Sugiyama, Tagawa and Toda (1981), by grandalf: layers from the
batteries to what they feed, few crossings, a lane in every layer a line only passes. Lines run
square; each ends on its own height, where its words stand.
"""

from collections import Counter
from dataclasses import dataclass
from typing import Any, Final

from grandalf.graphs import Edge, Graph, Vertex
from grandalf.layouts import DummyVertex, SugiyamaLayout

from viewer.sheets.handover.lanes import Crossing, lanes
from viewer.sheets.handover.symbols import HIGH, WIDE

LABEL: Final = 2.5
OVER_MM: Final = 0.9  # from a line to its words
STRAIGHT_MM: Final = 6.0  # a thing alone in its layer is shifted so far to make a line straight
NAME: Final = 2.3
LETTER: Final = 0.82  # a letter's width, of a capital's height, at most
AT_ONE_MM: Final = 7.6  # between lines that end on one thing
OUT_MM: Final = 3.4  # between the plus and the minus that leave one thing
PASS_MM: Final = 3.2  # between lines that pass a layer
LANE_MM: Final = 1.4
CLEAR: Final = 13.0  # from the middle of a thing past its name
PAD: Final = 2.0
NAME_LETTERS: Final = 15
NAME_LINES: Final = 3


@dataclass(frozen=True, slots=True)
class Node:
    """A thing of the diagram."""

    key: str
    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Wire:
    """A line from one thing to another, with its words above and below; `dash` for a minus."""

    start: str
    goal: str
    words: str
    below: str = ""
    dash: bool = False


@dataclass(frozen=True, slots=True)
class Pass:
    """Where the lines from one thing to another go by a layer."""

    start: str
    goal: str
    rank: int


@dataclass(slots=True)
class Line:
    """How a wire runs, from its start; `anchor` of the words at its end, beside its goal."""

    wire: Wire
    points: list[tuple[float, float]]
    anchor: str


Item = str | Pass


def name_lines(name: str) -> list[str]:
    """A name on a few lines; what is longer still is cut."""
    lines: list[str] = []
    for word in name.split(" "):
        if lines and len(f"{lines[-1]} {word}") <= NAME_LETTERS:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word if len(word) <= NAME_LETTERS else word[: NAME_LETTERS - 1] + "…")
    if len(lines) > NAME_LINES:
        lines = [*lines[: NAME_LINES - 1], lines[NAME_LINES - 1][: NAME_LETTERS - 1] + "…"]
    return lines


class Layered:
    """A diagram's places and lines; its parts that hang together one below the other."""

    def __init__(self, nodes: list[Node], wires: list[Wire]) -> None:
        self.nodes = {n.key: n for n in nodes}
        self.wires = wires
        self.spots: dict[str, tuple[float, float]] = {}
        self.lines: list[Line] = []
        vertices = {n.key: _Vertex(k, n.key) for k, n in enumerate(nodes)}
        pairs = dict.fromkeys((w.start, w.goal) for w in wires)
        once = [p for k, p in enumerate(pairs) if p[::-1] not in list(pairs)[:k]]
        edges = [_Edge(k, vertices[a], vertices[b]) for k, (a, b) in enumerate(once)]
        graph = Graph(list(vertices.values()), edges)
        top = 0.0
        for part in sorted(graph.C, key=lambda c: -len(c.sV)):
            mine = {v.data for v in part.sV}
            laid = _Part(_layers(part), [w for w in wires if w.start in mine], self.nodes, top)
            self.spots |= laid.spots
            self.lines += laid.lines
            top -= laid.tall + PAD

    def mixed(self, key: str) -> bool:
        """True for a thing that plus and minus lines end on."""
        return len({w.dash for w in self.wires if key in (w.start, w.goal)}) > 1


class _Vertex(Vertex):  # type: ignore[misc]
    """A thing under its number: the library's sets keep one order, whatever else is in memory."""

    def __init__(self, number: int, key: str) -> None:
        self.number = number
        super().__init__(key)

    def __hash__(self) -> int:
        return self.number


class _Edge(Edge):  # type: ignore[misc]
    """A line under its number, as a thing is."""

    def __init__(self, number: int, start: _Vertex, goal: _Vertex) -> None:
        self.number = number
        super().__init__(start, goal)

    def __hash__(self) -> int:
        return self.number


def _layers(part: Any) -> list[list[Item]]:
    """Things and passing lines by layer, in the order the library gives them there."""
    for v in part.sV:
        v.view = _Size()
    layout = SugiyamaLayout(part)
    roots = [v for v in part.sV if not v.e_in()]
    layout.init_all(roots=roots or None)
    layout.draw(3)
    passes = {
        id(v): Pass(e.v[0].data, e.v[1].data, rank)
        for e, by_rank in layout.ctrls.items()
        for rank, v in by_rank.items()
        if isinstance(v, DummyVertex)
    }
    out: list[list[Item]] = []
    for layer in layout.layers:
        ordered = sorted(layer, key=lambda v: v.view.xy[0])
        out.append([passes.get(id(v)) or v.data for v in ordered])
    return out


class _Size:
    """What the library asks of a thing: its size; where it comes to stand."""

    def __init__(self) -> None:
        self.w, self.h = HIGH, WIDE
        self.xy = (0.0, 0.0)


class _Part:
    """One part of the diagram that hangs together."""

    def __init__(
        self, layers: list[list[Item]], wires: list[Wire], nodes: dict[str, Node], top: float
    ) -> None:
        self.layers, self.wires, self.nodes = layers, wires, nodes
        self.rank = {k: r for r, layer in enumerate(layers) for k in layer if isinstance(k, str)}
        self.arrive = Counter((w.goal, not self._forward(w), w.dash) for w in wires)
        self.leave = {(w.start, self._forward(w), w.dash) for w in wires}
        self.y, self.tall = self._heights(top)
        self._straighten()
        self.ends = self._arrivals()
        gaps, ways = self._crossings()
        wide = [lanes(gap) for gap in gaps]
        self.x = self._columns(wide)
        self.spots = {k: (self.x[r], self.y[k]) for k, r in self.rank.items()}
        self.lines = [self._line(w, ways[k]) for k, w in enumerate(wires)]

    def _forward(self, w: Wire) -> bool:
        """True for a line that runs from left to right."""
        return self.rank[w.start] < self.rank[w.goal]

    # -- heights -----------------------------------------------------------------------------------

    def _room(self, item: Item) -> tuple[float, float]:
        """What an item needs above and below its middle."""
        if isinstance(item, Pass):
            half = len(self._through(item)) * PASS_MM / 2 + PAD / 2
            return half, half
        half = max((self._slots(item, right) - 1) / 2 * self._apart(item, right)
                   for right in (False, True))  # fmt: skip
        half = max(half, 0.0)
        below = max(HIGH / 2, half + LABEL + OVER_MM)
        names = len(name_lines(self.nodes[item].name)) * (NAME + 0.7)
        return max(HIGH / 2, half + LABEL + OVER_MM) + PAD, below + names + PAD

    def _heights(self, top: float) -> tuple[dict[Item, float], float]:
        """The height of every item, and how tall the part is."""
        rooms = {i: self._room(i) for layer in self.layers for i in layer}
        tallest = max(sum(sum(rooms[i]) for i in layer) for layer in self.layers)
        out: dict[Item, float] = {}
        for layer in self.layers:
            spare = (tallest - sum(sum(rooms[i]) for i in layer)) / len(layer)
            y = top
            for item in layer:
                above, below = rooms[item]
                out[item] = y - spare / 2 - above
                y -= above + below + spare
        return out, tallest

    def _straighten(self) -> None:
        """Shift what stands alone in its layer to where its only line comes from."""
        for rank, layer in enumerate(self.layers[1:], start=1):
            item = layer[0]
            mine = [k for k, w in enumerate(self.wires) if w.goal == item]
            if len(layer) > 1 or len(mine) != 1 or self.rank[self.wires[mine[0]].start] != rank - 1:
                continue
            off = self._leaves(self.wires[mine[0]]) - self.y[item]
            if abs(off) < STRAIGHT_MM:
                self.y[item] += off

    def _through(self, item: Pass) -> list[int]:
        pair = {(item.start, item.goal), (item.goal, item.start)}
        return [k for k, w in enumerate(self.wires) if (w.start, w.goal) in pair]

    def _passes(self, w: Wire) -> list[tuple[int, float]]:
        """(layer, height) of each layer a line goes by, from the left."""
        k = self.wires.index(w)
        out = []
        for rank, layer in enumerate(self.layers):
            for item in layer:
                if isinstance(item, Pass) and {item.start, item.goal} == {w.start, w.goal}:
                    mine = self._through(item)
                    off = (mine.index(k) - (len(mine) - 1) / 2) * PASS_MM
                    out.append((rank, self.y[item] + off))
        return out

    def _slots(self, key: str, right: bool) -> int:
        """How many heights lines have on one side of a thing: what leaves has one a pole."""
        poles = (False, True)
        return sum((key, right, p) in self.leave for p in poles) + sum(
            self.arrive[key, right, p] for p in poles
        )

    def _apart(self, key: str, right: bool) -> float:
        """How far those heights are apart."""
        words = any(self.arrive[key, right, p] for p in (False, True))
        return AT_ONE_MM if words else OUT_MM

    def _slot(self, key: str, right: bool, n: int) -> float:
        """The n-th height from below."""
        return self.y[key] + (n - (self._slots(key, right) - 1) / 2) * self._apart(key, right)

    def _leaves(self, w: Wire) -> float:
        """The height a line leaves its start at: minus below plus, each under what arrives."""
        right = self._forward(w)
        below = 0
        if not w.dash:
            below = self.arrive[w.start, right, True] + ((w.start, right, True) in self.leave)
        return self._slot(w.start, right, below)

    def _arrivals(self) -> dict[int, float]:
        """The height each line ends at: minus below plus, else by where it comes from."""
        out = {}
        for key, right in dict.fromkeys((k, r) for k, r, _ in self.arrive):
            mine = [
                k for k, w in enumerate(self.wires)
                if w.goal == key and self._forward(w) != right
            ]  # fmt: skip
            mine.sort(key=lambda k: (not self.wires[k].dash, self._from(k), k))
            for n, k in enumerate(mine):
                dash = self.wires[k].dash
                under = (True,) if dash else (True, False)
                n += sum((key, right, p) in self.leave for p in under)
                out[k] = self._slot(key, right, n)
        return out

    def _from(self, k: int) -> float:
        """The height a line has before the last gap."""
        passes = self._passes(self.wires[k])
        if passes:
            return passes[-1 if self._forward(self.wires[k]) else 0][1]
        return self._leaves(self.wires[k])

    # -- gaps --------------------------------------------------------------------------------------

    def _crossings(self) -> tuple[list[list[Crossing]], list[list[Crossing]]]:
        """The lines through each gap, and those of each line."""
        gaps: list[list[Crossing]] = [[] for _ in self.layers[1:]]
        ways: list[list[Crossing]] = []
        for k, w in enumerate(self.wires):
            ends = [(self.rank[w.start], self._leaves(w)), (self.rank[w.goal], self.ends[k])]
            steps = sorted([*ends, *self._passes(w)])
            way = []
            for (rank, left), (_, right) in zip(steps, steps[1:], strict=False):
                c = Crossing((w.start, w.dash, rank), left, right)
                gaps[rank].append(c)
                way.append(c)
            ways.append(way)
        return gaps, ways

    def _text(self, rank: int, forward: bool) -> float:
        """How wide the words are that stand beside the things of a layer."""
        mine = [w for w in self.wires if self.rank[w.goal] == rank and self._forward(w) == forward]
        letters = max((max(len(w.words), len(w.below)) for w in mine), default=0)
        return letters * LABEL * LETTER + PAD if letters else 0.0

    def _columns(self, wide: list[int]) -> list[float]:
        """The middle of each layer: between two, room for words and for the lanes."""
        x = [WIDE / 2]
        for rank, n in enumerate(wide):
            right = max(CLEAR, WIDE / 2 + self._text(rank + 1, True))
            x.append(x[-1] + self._clear(rank) + (n + 1) * LANE_MM + right)
        return x

    def _clear(self, rank: int) -> float:
        """From the middle of a layer past its names and the words on its right."""
        return max(CLEAR, WIDE / 2 + self._text(rank, False))

    def _lane_x(self, rank: int, lane: int) -> float:
        """Where a lane of the gap behind a layer is; lane -1 is before the first."""
        return self.x[rank] + self._clear(rank) + (lane + 1) * LANE_MM

    def _line(self, w: Wire, way: list[Crossing]) -> Line:
        forward = self._forward(w)
        first = min(self.rank[w.start], self.rank[w.goal])
        points = [(self.x[first] + WIDE / 2, way[0].left)]
        for rank, c in enumerate(way, start=first):
            if c.jog:
                x = self._lane_x(rank, -1)  # before the first lane
                points += [(x, c.left), (x, c.left + c.jog)]
            if c.lane >= 0:
                x = self._lane_x(rank, c.lane)
                points += [(x, c.left + c.jog), (x, c.right)]
        points.append((self.x[first + len(way)] - WIDE / 2, way[-1].right))
        return Line(w, points if forward else points[::-1], "end" if forward else "start")
