"""A drawing as SVG, one unit a millimetre, its layers as groups."""

from html import escape

from viewer.sheets.drawing.model import Circle, Drawing, Layer, Line, Rounded, Shape, Words

MARGIN = 8.0
FONT = "DejaVu Sans, Arial, sans-serif"
CAPITAL = 0.73  # a capital's height beside the type's size
WIDTHS = {Layer.OUTLINE: 0.5, Layer.HOLES: 0.25, Layer.CUT_OUTS: 0.4, Layer.LINKS: 0.9}


def as_svg(drawing: Drawing) -> bytes:
    """The whole drawing at its true size."""
    x0, y0, x1, y1 = drawing.extent()
    w, h = x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w:.3f}mm" height="{h:.3f}mm" '
        f'viewBox="{x0 - MARGIN:.3f} {-(y1 + MARGIN):.3f} {w:.3f} {h:.3f}">',
        f"<title>{escape(drawing.title)}</title>",
        f'<rect x="{x0 - MARGIN:.3f}" y="{-(y1 + MARGIN):.3f}" width="{w:.3f}" '
        f'height="{h:.3f}" fill="white"/>',
    ]
    for layer in Layer:
        mine = [_shape(s) for s in drawing.shapes if _layer(s) is layer]
        if mine:
            width = WIDTHS.get(layer, 0.2)
            out.append(f'<g id="{layer.value}" fill="none" stroke="black" stroke-width="{width}">')
            out += [*mine, "</g>"]
    out.append("</svg>\n")
    return "\n".join(out).encode("utf-8")


def _layer(s: Shape) -> Layer:
    return Layer.WORDS if isinstance(s, Words) else s.layer


def _shape(s: Shape) -> str:
    if isinstance(s, Line):
        points = " ".join(f"{x:.4f},{-y:.4f}" for x, y in s.points)
        dash = ' stroke-dasharray="2 1.2"' if s.dash else ""
        return f'<{"polygon" if s.closed else "polyline"} points="{points}"{dash}/>'
    if isinstance(s, Circle):
        fill = ' fill="black"' if s.filled else ""
        return f'<circle cx="{s.x:.4f}" cy="{-s.y:.4f}" r="{s.radius:.4f}"{fill}/>'
    if isinstance(s, Rounded):
        x, y = s.x - s.length / 2, -(s.y + s.height / 2)
        dash = ' stroke-dasharray="2 1.2"' if s.dash else ""
        return (
            f'<rect x="{x:.4f}" y="{y:.4f}" width="{s.length:.4f}" height="{s.height:.4f}" '
            f'rx="{s.radius:.4f}"{dash}/>'
        )
    turn = f' transform="rotate({-s.turn_deg:g} {s.x:.3f} {-s.y:.3f})"' if s.turn_deg else ""
    under = ' paint-order="stroke" stroke="white" stroke-width="1"' if s.plain else ' stroke="none"'
    weight = ' font-weight="bold"' if s.bold else ""
    return (
        f'<text x="{s.x:.3f}" y="{-s.y:.3f}" font-family="{FONT}" '
        f'font-size="{s.size / CAPITAL:.3f}" text-anchor="{s.anchor}" fill="black"'
        f"{under}{weight}{turn}>{escape(s.text)}</text>"
    )
