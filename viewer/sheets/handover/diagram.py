"""A diagram drawn: symbols where the layout has them, lines, and their words."""

from math import sqrt
from typing import Final

from viewer.sheets.drawing.model import Drawing, Layer
from viewer.sheets.handover.layered import (
    LABEL,
    NAME,
    OVER_MM,
    Layered,
    Line,
    Node,
    Wire,
    name_lines,
)
from viewer.sheets.handover.symbols import HIGH, OPEN, RADIUS, ROUND, WIDE, symbol

__all__ = ["Node", "Wire", "diagram"]
EDGE: Final = HIGH / 2 - 0.5  # the last of a symbol's side a line may end on


def diagram(title: str, nodes: list[Node], wires: list[Wire]) -> Drawing:
    """The diagram as a drawing in millimetres."""
    laid = Layered(nodes, wires)
    d = Drawing(title)
    for line in laid.lines:
        d.line(*line.points, layer=Layer.PARTS, dash=line.wire.dash)
        x, y = line.points[-1]
        away = 1.0 if line.anchor == "start" else -1.0
        for text, up in ((line.wire.words, OVER_MM), (line.wire.below, -LABEL - OVER_MM)):
            if text:
                d.words(x + away, y + up, text, LABEL, anchor=line.anchor, plain=True)
    for n in nodes:
        _thing(d, n, laid)
    return d


def _thing(d: Drawing, n: Node, laid: Layered) -> None:
    """A thing's symbol, what ties its lines to it, its name under all of them."""
    x, y = laid.spots[n.key]
    symbol(d, n.kind, x, y)
    boxed = n.kind in OPEN and laid.mixed(n.key)
    if boxed:
        d.box(x - WIDE / 2, y - HIGH / 2, x + WIDE / 2, y + HIGH / 2, Layer.PARTS)
    low = -HIGH / 2
    for side in (-1.0, 1.0):
        for dash in (True, False):
            ends = [*_ends(laid.lines, n.key, x, dash, side)]
            offs = [v - y for v in ends]
            if offs:
                _tie(d, n.kind, boxed, (x, y), side, offs, dash)
        arrive = [q - y for p, q in (line.points[-1] for line in laid.lines
                                     if line.wire.goal == n.key) if (p - x) * side > 0]  # fmt: skip
        low = min([low, *(off - LABEL - OVER_MM for off in arrive)])
    for k, text in enumerate(name_lines(n.name)):
        d.words(x, y + low - (NAME + 0.7) * (k + 1), text, size=NAME)


def _ends(lines: list[Line], key: str, x: float, dash: bool, side: float) -> list[float]:
    """The heights of the lines of one pole that end on a side of a thing."""
    out = []
    for line in (line for line in lines if line.wire.dash == dash):
        for at, on in ((line.points[0], line.wire.start), (line.points[-1], line.wire.goal)):
            if on == key and (at[0] - x) * side > 0:
                out.append(at[1])
    return out


def _tie(
    d: Drawing, kind: str, boxed: bool, at: tuple[float, float], side: float,
    offs: list[float], dash: bool,
) -> None:  # fmt: skip
    """Join the lines of one pole to each other and to the symbol."""
    x, y = at
    edge = x + side * WIDE / 2
    span = [*offs]
    if kind in OPEN and not boxed:
        span.append(0.0)
    elif min(offs) > EDGE or max(offs) < -EDGE:
        span.append(EDGE if min(offs) > EDGE else -EDGE)
    if max(span) > min(span):
        d.line((edge, y + min(span)), (edge, y + max(span)), layer=Layer.PARTS, dash=dash)
    if kind in ROUND:
        off = min(span, key=abs)
        reach = sqrt(max(RADIUS**2 - off**2, 0.0))
        d.line((edge, y + off), (x + side * reach, y + off), layer=Layer.PARTS, dash=dash)
