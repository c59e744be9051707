"""What a paper is made of, in the order it is read."""

import base64
from dataclasses import dataclass, field

from viewer.sheets.drawing.model import Drawing
from viewer.words.table import Table


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 begins a chapter and has a bookmark. `new_page` begins one in print."""

    text: str
    level: int = 1
    new_page: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph: `plain`, `small` or `strong`."""

    text: str
    style: str = "plain"


@dataclass(frozen=True, slots=True)
class Ticks:
    """A list: each with a box to tick, numbered, or plain."""

    items: tuple[str, ...]
    kind: str = "box"  # "box", "number", "plain"


@dataclass(frozen=True, slots=True)
class Facts:
    """Words with what they say."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table; with `fill`, its rows are high enough to be written in."""

    table: Table
    fill: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing, no higher than so many points in print."""

    drawing: Drawing
    most_high: float = 640.0


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture with its words."""

    png: bytes
    words: str
    note: str = ""

    @property
    def data_uri(self) -> str:
        """The picture as it stands inside HTML."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode("ascii")


@dataclass(frozen=True, slots=True)
class Photos:
    """Pictures side by side, so many in a row."""

    photos: tuple[Photo, ...]
    columns: int = 3


@dataclass(frozen=True, slots=True)
class Space:
    """Room left free, points."""

    points: float = 6.0


Block = Heading | Text | Ticks | Facts | Grid | Figure | Photos | Space


@dataclass(slots=True)
class Paper:
    """A whole paper."""

    title: str
    sub: str = ""
    blocks: list[Block] = field(default_factory=list)

    def add(self, *blocks: Block) -> None:
        """Put blocks at its end."""
        self.blocks += blocks
