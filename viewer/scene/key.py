"""The key under a picture: what each colour and shape in it stands for, legible in grey print."""

import io
from dataclasses import dataclass
from typing import Any, Final

from viewer.scene.palette import (
    BODY,
    CABLES,
    CLIP,
    EDGE,
    HAZARD,
    PLATE,
    SHARED,
    SOLID,
    SPACE,
)

LINE_PX: Final = 30
GAP_PX: Final = 26
SWATCH_PX: Final = 34
WORDS_PX: Final = 17
EDGE_PX: Final = 14


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of the key: `kind` is "box", "line", "frame" or "clip"."""

    kind: str
    colours: tuple[str, ...]
    words: str


GEAR: Final = Entry("box", (BODY,), "gear")
BOARDS: Final = Entry("box", (PLATE,), "plate of a board")
OWN: Final = Entry("box", (SOLID,), "the boat's own parts, rims of openings")
KEEP_OFF: Final = Entry("frame", (HAZARD,), "keep off")
SIDES: Final = Entry("frame", (SPACE,), "sides of a space")
ALONE: Final = Entry("line", CABLES[:3], "a cable alone, its number beside it (colours repeat)")
TOGETHER: Final = Entry("line", (SHARED,), "a shared run, the numbers of its cables beside it")
CLIPS: Final = Entry("clip", (CLIP,), "clip or tie")


def with_key(png: bytes, entries: list[Entry]) -> bytes:
    """A picture with its key below it."""
    from PIL import Image, ImageDraw, ImageFont

    picture = Image.open(io.BytesIO(png)).convert("RGB")
    font = ImageFont.load_default(WORDS_PX)
    draw = ImageDraw.Draw(picture)
    rows: list[list[Entry]] = [[]]
    x = EDGE_PX
    for e in entries:
        wide = _width(e, draw, font)
        if x + wide > picture.width and rows[-1]:
            rows.append([])
            x = EDGE_PX
        rows[-1].append(e)
        x += wide
    out = Image.new("RGB", (picture.width, picture.height + LINE_PX * len(rows) + EDGE_PX), "white")
    out.paste(picture, (0, 0))
    draw = ImageDraw.Draw(out)
    for k, row in enumerate(rows):
        x, y = EDGE_PX, picture.height + LINE_PX * k + EDGE_PX // 2
        for e in row:
            _swatch(draw, e, x, y)
            at = (x + SWATCH_PX * len(e.colours) + 6, y + 2)
            draw.text(at, e.words, fill="black", font=font)
            x += _width(e, draw, font)
    data = io.BytesIO()
    out.quantize(128).save(data, "PNG", optimize=True)
    return data.getvalue()


def _width(e: Entry, draw: Any, font: Any) -> int:
    words = draw.textlength(e.words, font=font)
    return int(words) + SWATCH_PX * len(e.colours) + GAP_PX


def _swatch(draw: Any, e: Entry, x: int, y: int) -> None:
    """What the thing looks like in the picture."""
    d = draw
    for k, colour in enumerate(e.colours):
        left, right = x + SWATCH_PX * k, x + SWATCH_PX * (k + 1) - 4
        if e.kind == "line":
            d.line((left, y + 12, right, y + 12), fill=colour, width=7)
        elif e.kind == "frame":
            d.rectangle((left, y + 3, right, y + 21), outline=colour, width=3)
        elif e.kind == "clip":
            d.rectangle((left + 9, y + 5, left + 21, y + 19), fill=colour)
        else:
            d.rectangle((left, y + 3, right, y + 21), fill=colour, outline=EDGE)
