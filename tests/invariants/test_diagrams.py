"""What holds for every diagram: lines can be followed, words can be read, things stand apart."""

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfbase.pdfmetrics import stringWidth
from shapely import LineString, box

from tests.worked import DEMOS, demo_worked
from viewer.sheets.drawing.model import Words
from viewer.sheets.drawing.svg import CAPITAL
from viewer.sheets.handover.diagram import diagram
from viewer.sheets.handover.lanes import Crossing, lanes
from viewer.sheets.handover.layered import LABEL, LETTER, PAD, Layered, Line, Node, Wire
from viewer.sheets.handover.schemes import Schemes
from viewer.sheets.handover.symbols import HIGH, WIDE
from viewer.sheets.pdf import FONT, load_fonts
from viewer.words.names import Names

KINDS = ("battery", "fuse", "bus bar", "pump", "converter", "light", "fuse panel", "other")
Graph = tuple[list[Node], list[Wire]]


@st.composite
def graphs(draw: st.DrawFn) -> Graph:
    """Things and lines, some of them back towards the batteries, some pairs with several lines."""
    n = draw(st.integers(2, 9))
    nodes = [Node(f"n{k}", draw(st.sampled_from(KINDS)), f"thing {k} of some name")
             for k in range(n)]  # fmt: skip
    pairs = draw(st.lists(st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)),
                          min_size=1, max_size=14))  # fmt: skip
    wires = [
        Wire(f"n{a}", f"n{b}", f"{k}: 25 A", "2.5 mm²", draw(st.booleans()))
        for k, (a, b) in enumerate(pairs)
        if a != b
    ]
    used = {x for w in wires for x in (w.start, w.goal)}
    return [x for x in nodes if x.key in used], wires


def _net(line: Line) -> tuple[str, bool]:
    return line.wire.start, line.wire.dash


def _followed(lines: list[Line]) -> None:
    """No two lines of different nets lie on each other."""
    drawn = [LineString(line.points) for line in lines]
    for k, one in enumerate(drawn):
        for other in range(k):
            if _net(lines[k]) != _net(lines[other]):
                both = one.intersection(drawn[other])
                assert both.length < 0.5, (lines[k].wire, lines[other].wire, both)


def _clear(laid: Layered, lines: list[Line]) -> None:
    """No line runs through a symbol, and square all the way."""
    bodies = {
        key: box(x - WIDE / 2 + 0.1, y - HIGH / 2 + 0.1, x + WIDE / 2 - 0.1, y + HIGH / 2 - 0.1)
        for key, (x, y) in laid.spots.items()
    }
    for line in lines:
        drawn = LineString(line.points)
        assert all(not drawn.intersects(body) for body in bodies.values()), line.wire
        assert all(abs(a - c) < 1e-6 or abs(b - d) < 1e-6
                   for (a, b), (c, d) in pairwise(line.points))  # fmt: skip
    spots = sorted(bodies)
    for k, one in enumerate(spots):
        assert all(not bodies[one].intersects(bodies[o]) for o in spots[:k])


def _read(nodes: list[Node], wires: list[Wire], lines: list[Line]) -> None:
    """No words meet, and no line of another net strikes one through."""
    words = [s for s in diagram("d", nodes, wires).shapes
             if isinstance(s, Words) and s.text not in "=~MG"]  # fmt: skip
    boxes = []
    for s in words:
        wide = len(s.text) * s.size * 0.75
        left = s.x - {"start": 0.0, "middle": wide / 2, "end": wide}[s.anchor]
        boxes.append(box(left + 0.3, s.y + 0.1, left + wide - 0.3, s.y + s.size - 0.1))
    for k, one in enumerate(boxes):
        for other in range(k):
            assert not one.intersects(boxes[other]), (words[k].text, words[other].text)
        for line in lines:
            assert not LineString(line.points).intersects(one), (words[k].text, line.wire)


@settings(max_examples=150, deadline=None)
@given(graphs())
def test_lines_can_be_followed_and_words_read(graph: Graph) -> None:
    nodes, wires = graph
    if not wires:
        return
    laid = Layered(nodes, wires)
    assert {line.wire for line in laid.lines} == set(wires)
    _followed(laid.lines)
    _clear(laid, laid.lines)
    _read(nodes, wires, laid.lines)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=10, unique=True))
def test_lanes_keep_lines_apart(heights: list[tuple[int, int]]) -> None:
    """Drawn as they are told: nothing lies on another but where lines leave or arrive together."""
    crossings = [Crossing((a,), 8.0 * a, 8.0 * b + 0.4 * k)
                 for k, (a, b) in enumerate(heights)]  # fmt: skip
    wide = lanes(crossings)
    drawn = []
    for c in crossings:
        start = 2.0
        points = [(0.0, c.left)]
        if c.jog:
            points += [(start / 2, c.left), (start / 2, c.left + c.jog)]
        if c.lane >= 0:
            x = start + 1.4 * (c.lane + 1)
            points += [(x, c.left + c.jog), (x, c.right)]
        points.append((start + 1.4 * (wide + 2), c.right))
        drawn.append(LineString(points))
    for k, one in enumerate(drawn):
        for other in range(k):
            if crossings[k].left != crossings[other].left:
                assert one.intersection(drawn[other]).length < 0.5


def test_the_demos_diagrams_can_be_followed_and_read() -> None:
    for name in DEMOS:
        result = demo_worked(name).result
        schemes = Schemes(result, Names(result))
        for nodes, wires in schemes.graphs():
            laid = Layered(nodes, wires)
            _followed(laid.lines)
            _clear(laid, laid.lines)
            _read(nodes, wires, laid.lines)


def test_a_letter_is_no_wider_than_told() -> None:
    """The words of the demos' lines, measured in the font they are printed in by the PDF library:
    none is wider than the room reckoned for it.
    """
    load_fonts()
    told = 0
    for name in DEMOS:
        result = demo_worked(name).result
        for _, wires in Schemes(result, Names(result)).graphs():
            for text in (t for w in wires for t in (w.words, w.below) if t):
                wide = stringWidth(text, FONT, LABEL / CAPITAL)
                assert wide <= len(text) * LABEL * LETTER + PAD, text
                told += 1
    assert told > 100


def test_a_diagram_is_drawn_the_same_again() -> None:
    """The layout library goes by sets of objects: their order is that of the things told."""
    result = demo_worked("sailing_yacht").result
    for nodes, wires in Schemes(result, Names(result)).graphs():
        drawn = [diagram("d", nodes, wires).shapes for _ in range(3)]
        assert drawn[0] == drawn[1] == drawn[2]
