"""A drawing: lines, circles, cut-outs and words in millimetres, each on a layer.

x to the right, y up. Every file that carries a drawing is made from this one, so that what is
measured in the DXF is what is printed on the template.
"""

from dataclasses import dataclass, field
from enum import StrEnum

Spot = tuple[float, float]


class Layer(StrEnum):
    """What a line is; layers of the DXF are named so."""

    OUTLINE = "outline"
    HOLES = "holes"
    CUT_OUTS = "cut-outs"
    STAND_OFFS = "stand-offs"
    PARTS = "parts"
    ROOMS = "rooms"
    LINKS = "links"
    FOLDS = "folds"
    DIMENSIONS = "dimensions"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points; closed joins its ends. `dash` is drawn broken."""

    points: tuple[Spot, ...]
    layer: Layer
    closed: bool = False
    dash: bool = False
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    radius: float
    layer: Layer
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Rounded:
    """A rectangle about its middle, its corners rounded."""

    x: float
    y: float
    length: float
    height: float
    radius: float
    layer: Layer
    dash: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """Words: `size` is the height of a capital; `anchor` which end of them stands at the spot."""

    x: float
    y: float
    text: str
    size: float = 3.0
    anchor: str = "middle"  # "start", "middle", "end"
    turn_deg: float = 0.0
    bold: bool = False
    plain: bool = False  # on white paper, so that lines under it do not strike it through


Shape = Line | Circle | Rounded | Words


@dataclass(slots=True)
class Drawing:
    """Shapes in the order they are drawn, and what the whole is called.

    `letters` makes every letter so much larger: for a drawing that is shown smaller than it is.
    """

    title: str
    shapes: list[Shape] = field(default_factory=list)
    letters: float = 1.0

    def line(self, *points: Spot, layer: Layer, dash: bool = False, wide: bool = False) -> None:
        """An open line."""
        self.shapes.append(Line(points, layer, False, dash, wide))

    def loop(self, *points: Spot, layer: Layer, dash: bool = False, wide: bool = False) -> None:
        """A closed line."""
        self.shapes.append(Line(points, layer, True, dash, wide))

    def box(
        self, x0: float, y0: float, x1: float, y1: float, layer: Layer,
        dash: bool = False, wide: bool = False,
    ) -> None:  # fmt: skip
        """A rectangle by two corners."""
        self.loop((x0, y0), (x1, y0), (x1, y1), (x0, y1), layer=layer, dash=dash, wide=wide)

    def circle(self, x: float, y: float, radius: float, layer: Layer, filled: bool = False) -> None:
        """A circle."""
        self.shapes.append(Circle(x, y, radius, layer, filled))

    def cross(self, x: float, y: float, reach: float, layer: Layer) -> None:
        """A centre mark."""
        self.line((x - reach, y), (x + reach, y), layer=layer)
        self.line((x, y - reach), (x, y + reach), layer=layer)

    def words(self, x: float, y: float, text: str, size: float = 3.0, **more: object) -> None:
        """Words at a spot."""
        self.shapes.append(Words(x, y, text, size * self.letters, **more))  # type: ignore[arg-type]

    def extent(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of everything that is drawn."""
        xs, ys = [], []
        for s in self.shapes:
            a, b, c, d = reach(s)
            xs += [a, c]
            ys += [b, d]
        return (min(xs), min(ys), max(xs), max(ys)) if xs else (0.0, 0.0, 1.0, 1.0)


LETTER_WIDE = 1.05  # of a letter beside its height, at most: for room kept


def reach(s: Shape) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of one shape."""
    if isinstance(s, Line):
        xs, ys = [p[0] for p in s.points], [p[1] for p in s.points]
        return min(xs), min(ys), max(xs), max(ys)
    if isinstance(s, Circle):
        return s.x - s.radius, s.y - s.radius, s.x + s.radius, s.y + s.radius
    if isinstance(s, Rounded):
        return (
            s.x - s.length / 2, s.y - s.height / 2, s.x + s.length / 2, s.y + s.height / 2
        )  # fmt: skip
    wide = len(s.text) * s.size * LETTER_WIDE
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[s.anchor]
    if abs(s.turn_deg) == 90:
        return s.x - s.size, s.y - before, s.x, s.y + wide - before
    return s.x - before, s.y, s.x + wide - before, s.y + s.size


ARROW = 2.0


def dimension(
    d: Drawing, a: float, b: float, off: float, from_: Spot, flat: bool, text: str
) -> None:
    """A dimension line from a to b at `off`, with its ends' lines from `from_` (of a and of b)."""
    ends = ((a, from_[0]), (b, from_[1]))
    for x, y in ends:
        p, q = ((x, y), (x, off)) if flat else ((y, x), (off, x))
        d.line(p, q, layer=Layer.DIMENSIONS)
        tick = ARROW / 2
        at = (x, off) if flat else (off, x)
        d.line((at[0] - tick, at[1] - tick), (at[0] + tick, at[1] + tick), layer=Layer.DIMENSIONS)
    p, q = ((a, off), (b, off)) if flat else ((off, a), (off, b))
    d.line(p, q, layer=Layer.DIMENSIONS)
    middle = (a + b) / 2
    x, y = (middle, off + 0.8) if flat else (off - 0.8, middle)
    d.words(x, y, text, size=2.6, turn_deg=0.0 if flat else 90.0, plain=True)
