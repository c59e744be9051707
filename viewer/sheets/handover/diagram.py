"""A diagram laid out by a library: layers from the batteries to what they feed, few crossings.

The layered layout is that of Sugiyama, Tagawa and Toda (1981), by grandalf. Lines run square; each
line's words stand on the last stretch before what it feeds, which is its own, so that none meet.
"""

from collections import Counter
from dataclasses import dataclass
from typing import Any, Final

from grandalf.graphs import Edge, Graph, Vertex
from grandalf.layouts import SugiyamaLayout

from viewer.sheets.drawing.model import Drawing, Layer
from viewer.sheets.handover.symbols import HIGH, WIDE, symbol

ROW: Final = 17.0  # between things of one layer
COLUMN: Final = 44.0  # between layers: words stand between them
LABEL: Final = 2.5
NAME: Final = 2.3
BELOW_MM: Final = 7.0  # a name on two lines
AT_ONE_MM: Final = 6.8  # between lines that end on one thing
LANE: Final = 0.9
CLEAR: Final = 13.0  # from the middle of a thing past its name
NAME_LETTERS: Final = 15


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


class _Size:
    """What the layout asks of a thing: its size; where it comes to stand."""

    def __init__(self) -> None:
        self.w, self.h = HIGH, WIDE
        self.xy = (0.0, 0.0)


def diagram(title: str, nodes: list[Node], wires: list[Wire]) -> Drawing:
    """The diagram as a drawing in millimetres."""
    spots = _laid_out(nodes, wires)
    d = Drawing(title)
    lanes: dict[float, int] = {}
    ends: dict[str, int] = {}
    for w in sorted(wires, key=lambda w: (spots[w.goal], spots[w.start], w.words)):
        _wire(d, w, spots, lanes, ends)
    for n in nodes:
        x, y = spots[n.key]
        symbol(d, n.kind, x, y)
        for k, line in enumerate(_lines(n.name)):
            d.words(x, y - HIGH / 2 - (NAME + 0.7) * (k + 1), line, size=NAME)
        many = sum(w.goal == n.key for w in wires)
        if many > 1:  # lines beyond its middle: they meet on a bar before it
            off = [_off(k) for k in range(many)]
            d.line((x - WIDE / 2, y + min(off)), (x - WIDE / 2, y + max(off)), layer=Layer.PARTS)
    return d


def _lines(name: str) -> list[str]:
    """A name on one or two lines; what is longer still is cut."""
    words, first = name.split(" "), ""
    while words and len(f"{first} {words[0]}".strip()) <= NAME_LETTERS:
        first = f"{first} {words.pop(0)}".strip()
    if not first:
        first, words = words[0][:NAME_LETTERS], words[1:]
    rest = " ".join(words)
    if len(rest) > NAME_LETTERS:
        rest = rest[: NAME_LETTERS - 1] + "…"
    return [first, rest] if rest else [first]


def _off(n: int) -> float:
    """How far above the middle of a thing the n-th line ends on it: its name is below."""
    return n * AT_ONE_MM


def _laid_out(nodes: list[Node], wires: list[Wire]) -> dict[str, tuple[float, float]]:
    """Where each thing stands: a column for its layer, a row in it, by the library's order."""
    vertices = {n.key: Vertex(n.key) for n in nodes}
    edges = [Edge(vertices[w.start], vertices[w.goal]) for w in _once(wires)]
    graph = Graph(list(vertices.values()), edges)
    spots: dict[str, tuple[float, float]] = {}
    top, high = 0.0, _high(nodes, wires)
    for part in sorted(graph.C, key=lambda c: -len(c.sV)):
        for v in part.sV:
            v.view = _Size()
        layers = _layers(part)
        tallest = max(sum(high[key] for key in layer) for layer in layers)
        for k, layer in enumerate(layers):
            spare = (tallest - sum(high[key] for key in layer)) / len(layer)
            y = top
            for key in layer:
                y -= high[key] + spare
                spots[key] = (k * COLUMN, y + spare / 2 + BELOW_MM + HIGH / 2 + 1.0)
        top -= tallest + ROW / 2
    return spots


def _high(nodes: list[Node], wires: list[Wire]) -> dict[str, float]:
    """The room each thing needs up and down: its symbol and name, and all lines that end on it."""
    many = Counter(w.goal for w in wires)
    return {n.key: ROW + max(many[n.key] - 1, 0) * AT_ONE_MM for n in nodes}


def _once(wires: list[Wire]) -> list[Wire]:
    """One wire for each pair of things that differ."""
    out: dict[tuple[str, str], Wire] = {}
    for w in wires:
        if w.start != w.goal:
            out.setdefault((w.start, w.goal), w)
    return list(out.values())


def _layers(part: Any) -> list[list[str]]:
    """Keys by layer, in the order the library gives them there."""
    layout = SugiyamaLayout(part)
    roots = [v for v in part.sV if not v.e_in()]
    layout.init_all(roots=roots or None)
    layout.draw(3)
    out = []
    for layer in layout.layers:
        real = [v for v in layer if hasattr(v, "data") and isinstance(v.data, str)]
        real.sort(key=lambda v: v.view.xy[0])
        if real:
            out.append([v.data for v in real])
    return out


def _wire(
    d: Drawing, w: Wire, spots: dict[str, tuple[float, float]], lanes: dict[float, int],
    ends: dict[str, int],
) -> None:  # fmt: skip
    (x0, y0), (x1, y1) = spots[w.start], spots[w.goal]
    n = ends[w.goal] = ends.get(w.goal, -1) + 1
    y1 += _off(n)
    start, goal = x0 + WIDE / 2, x1 - WIDE / 2
    column = x1 - COLUMN
    lane = lanes[column] = lanes.get(column, 0) + 1
    bend = column + CLEAR + (lane % 7) * LANE
    if x1 <= x0:  # back towards the batteries: round below
        low = min(y0, y1) - ROW * 0.45 - (lane % 5) * LANE
        out = x0 + CLEAR + (lane % 7) * LANE
        points = [(start, y0), (out, y0), (out, low), (bend, low), (bend, y1), (goal, y1)]
    else:
        points = [(start, y0), (bend, y0), (bend, y1), (goal, y1)]
    d.line(*points, layer=Layer.PARTS, dash=w.dash)
    d.words(goal - 1.0, y1 + 0.5, w.words, size=LABEL, anchor="end", plain=True)
    if w.below:
        d.words(goal - 1.0, y1 - LABEL - 0.6, w.below, size=LABEL, anchor="end", plain=True)
