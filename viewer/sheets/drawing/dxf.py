"""A drawing as DXF: millimetres, a layer for each kind of line, rounded corners as true arcs."""

import io
import math

from ezdxf import units
from ezdxf._options import options as dxf_options
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from layout.errors import one_line
from viewer.sheets.drawing.model import Circle, Drawing, Layer, Line, Rounded, Words

CORNER_BULGE = math.tan(math.pi / 8)  # of a quarter circle
ALIGN = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}


def as_dxf(drawing: Drawing) -> bytes:
    """The whole drawing; the same drawing gives the same bytes."""
    dxf_options.write_fixed_meta_data_for_testing = True
    doc = new("R2010", setup=["linetypes"], units=units.MM)
    for k, layer in enumerate(Layer):
        doc.layers.add(layer.value, color=7 if layer is Layer.OUTLINE else 1 + k % 6)
    space = doc.modelspace()
    for s in drawing.shapes:
        if isinstance(s, Line):
            look = {"layer": s.layer.value, "linetype": "DASHED" if s.dash else "CONTINUOUS"}
            space.add_lwpolyline(s.points, close=s.closed, dxfattribs=look)
        elif isinstance(s, Circle):
            space.add_circle((s.x, s.y), s.radius, dxfattribs={"layer": s.layer.value})
        elif isinstance(s, Rounded):
            points = corner_points(s)
            space.add_lwpolyline(
                points, format="xyb", close=True, dxfattribs={"layer": s.layer.value}
            )
        elif isinstance(s, Words):
            text = space.add_text(
                one_line(s.text),
                height=s.size,
                rotation=s.turn_deg,
                dxfattribs={"layer": Layer.WORDS.value},
            )
            text.set_placement((s.x, s.y), align=ALIGN[s.anchor])
    out = io.StringIO()
    doc.write(out)
    return out.getvalue().encode("utf-8")


def corner_points(s: Rounded) -> list[tuple[float, float, float]]:
    """The line round a rounded rectangle: x, y and the bulge of what follows."""
    x0, y0 = s.x - s.length / 2, s.y - s.height / 2
    x1, y1 = s.x + s.length / 2, s.y + s.height / 2
    r = s.radius
    if r <= 0:
        return [(x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)]
    b = CORNER_BULGE
    return [
        (x0 + r, y0, 0.0), (x1 - r, y0, b), (x1, y0 + r, 0.0), (x1, y1 - r, b),
        (x1 - r, y1, 0.0), (x0 + r, y1, b), (x0, y1 - r, 0.0), (x0, y0 + r, b),
    ]  # fmt: skip
