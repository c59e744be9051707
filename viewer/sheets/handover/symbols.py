"""Open standard symbols of a circuit diagram (after IEC 60617), drawn with lines.

A symbol stands in a box of WIDE by HIGH about its middle; current runs from left to right.
"""

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from viewer.sheets.drawing.model import Drawing, Layer

WIDE: Final = 14.0
HIGH: Final = 9.0
RADIUS: Final = 4.2
L: Final = Layer.PARTS


def _box(d: Drawing, x: float, y: float, w: float = WIDE, h: float = HIGH) -> None:
    d.box(x - w / 2, y - h / 2, x + w / 2, y + h / 2, L)


def _battery(d: Drawing, x: float, y: float) -> None:
    """Cells: a long thin plate is plus, a short one minus."""
    for k in (-2.5, 1.0):
        d.line((x + k, y - 4), (x + k, y + 4), layer=L)
        d.line((x + k + 1.5, y - 2), (x + k + 1.5, y + 2), layer=L, wide=True)
    d.line((x - WIDE / 2, y), (x - 2.5, y), layer=L)
    d.line((x + 2.5, y), (x + WIDE / 2, y), layer=L)


def _fuse(d: Drawing, x: float, y: float) -> None:
    d.box(x - 4.5, y - 1.8, x + 4.5, y + 1.8, L)
    d.line((x - WIDE / 2, y), (x + WIDE / 2, y), layer=L)


def _switch(d: Drawing, x: float, y: float) -> None:
    d.line((x - WIDE / 2, y), (x - 3, y), layer=L)
    d.line((x - 3, y), (x + 3, y + 3), layer=L, wide=True)
    d.line((x + 3, y), (x + WIDE / 2, y), layer=L)
    d.circle(x - 3, y, 0.6, L, filled=True)
    d.circle(x + 3, y, 0.6, L, filled=True)


def _isolator(d: Drawing, x: float, y: float) -> None:
    _switch(d, x, y)
    d.line((x + 3, y - 1.8), (x + 3, y + 1.8), layer=L)


def _bar(d: Drawing, x: float, y: float) -> None:
    d.line((x, y - HIGH / 2), (x, y + HIGH / 2), layer=L, wide=True)
    d.line((x - WIDE / 2, y), (x + WIDE / 2, y), layer=L)


def _panel(d: Drawing, x: float, y: float) -> None:
    _box(d, x, y)
    for k in (-2.4, 0.0, 2.4):
        d.box(x - 3, y + k - 0.8, x + 3, y + k + 0.8, L)


def _shunt(d: Drawing, x: float, y: float) -> None:
    d.box(x - 5, y - 1.5, x + 5, y + 1.5, L)
    d.line((x - WIDE / 2, y), (x - 5, y), layer=L)
    d.line((x + 5, y), (x + WIDE / 2, y), layer=L)
    for k in (-2.5, 2.5):
        d.line((x + k, y - 1.5), (x + k, y - 4), layer=L)


def _lettered(text: str) -> Callable[[Drawing, float, float], None]:
    def draw(d: Drawing, x: float, y: float) -> None:
        d.circle(x, y, RADIUS, L)
        d.words(x, y - 1.4, text, size=3.0)

    return draw


def _lamp(d: Drawing, x: float, y: float) -> None:
    d.circle(x, y, RADIUS, L)
    for k in (1, -1):
        d.line((x - 2.95, y - 2.95 * k), (x + 2.95, y + 2.95 * k), layer=L)


def _converter(left: str, right: str) -> Callable[[Drawing, float, float], None]:
    def draw(d: Drawing, x: float, y: float) -> None:
        _box(d, x, y)
        d.line((x - WIDE / 2, y - HIGH / 2), (x + WIDE / 2, y + HIGH / 2), layer=L)
        d.words(x - 3.6, y + 0.6, left, size=2.6)
        d.words(x + 3.6, y - 2.9, right, size=2.6)

    return draw


def _sun(d: Drawing, x: float, y: float) -> None:
    _box(d, x, y)
    d.line((x - 5.5, y - 3), (x, y + 3), (x + 5.5, y - 3), layer=L)


def _thing(d: Drawing, x: float, y: float) -> None:
    _box(d, x, y)


def _aerial(d: Drawing, x: float, y: float) -> None:
    _box(d, x, y)
    d.line((x - 3, y + 3), (x, y), (x + 3, y + 3), layer=L)
    d.line((x, y + 3), (x, y - 3), layer=L)


SYMBOLS: Final = MappingProxyType(
    {
        "battery": _battery,
        "fuse": _fuse,
        "fuse panel": _panel,
        "isolator": _isolator,
        "switch": _switch,
        "bus bar": _bar,
        "shunt": _shunt,
        "motor": _lettered("M"),
        "pump": _lettered("M"),
        "blower": _lettered("M"),
        "starter": _lettered("M"),
        "alternator": _lettered("G"),
        "light": _lamp,
        "navigation light": _lamp,
        "converter": _converter("=", "="),
        "charger": _converter("=", "="),
        "mains charger": _converter("~", "="),
        "solar panel": _sun,
        "radio": _aerial,
        "shore inlet": _lettered("~"),
    }
)


OPEN: Final = frozenset({"battery", "fuse", "isolator", "switch", "bus bar", "shunt"})
"""Those with no outline: a line runs through them."""
ROUND: Final = frozenset(
    {"motor", "pump", "blower", "starter", "alternator", "light", "navigation light", "shore inlet"}
)


def symbol(d: Drawing, kind: str, x: float, y: float) -> None:
    """Draw the symbol of a kind of gear; a plain box for what has none."""
    SYMBOLS.get(kind, _thing)(d, x, y)
