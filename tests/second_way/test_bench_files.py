"""The bench's files read back by other libraries and measured: DXF, SVG, PDF as an image."""

import io
import re

import numpy as np
import pypdfium2
import pytest
from ezdxf import recover

from tests.worked import demo_worked
from viewer.sheets.bench.views import template
from viewer.sheets.drawing.dxf import as_dxf
from viewer.sheets.drawing.model import Drawing, Layer, Rounded
from viewer.sheets.drawing.svg import as_svg
from viewer.sheets.drawing.tiles import BAR, FOOT, LEFT, PAPERS, as_tiles, tiling
from viewer.words.bench import BenchWords
from viewer.words.names import Names
from viewer.work.rows import Result

DPI = 254  # ten dots a millimetre
DARK = 128


def _words(name: str = "harbour_launch") -> BenchWords:
    result: Result = demo_worked(name).result
    return BenchWords(result, result.benches[0], Names(result))


def _page(pdf: bytes, number: int) -> np.ndarray:
    page = pypdfium2.PdfDocument(pdf)[number]
    return np.asarray(page.render(scale=DPI / 72, grayscale=True).to_pil())


def test_a_dxf_is_read_back_with_no_fault_and_every_hole_within_a_hundredth() -> None:
    for name in ("harbour_launch", "sailing_yacht", "survey_catamaran", "trip_boat"):
        result = demo_worked(name).result
        for row in result.benches:
            dxf = as_dxf(template(BenchWords(result, row, Names(result))))
            doc, auditor = recover.read(io.BytesIO(dxf))
            assert not auditor.errors
            assert doc.header["$INSUNITS"] == 4  # millimetres
            assert {layer.dxf.name for layer in doc.layers} >= {x.value for x in Layer}
            circles = [
                (c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius, c.dxf.layer)
                for c in doc.modelspace().query("CIRCLE")
            ]
            assert row.holes
            for h in row.holes:
                layer = "stand-offs" if h.purpose == "stand-off" else "holes"
                mine = [
                    (x, y, d) for x, y, d, at in circles if at == layer
                    and max(abs(x - h.x_mm), abs(y - h.y_mm), abs(d - h.diameter_mm)) < 0.01
                ]  # fmt: skip
                assert mine, (name, row.key, h)
            outlines = doc.modelspace().query('LWPOLYLINE[layer=="outline"]')
            sizes = [np.ptp(np.array(x.get_points("xy")), axis=0) for x in outlines]
            assert any(np.allclose(s, (row.length_mm, row.height_mm), atol=0.01) for s in sizes)


def test_rounded_corners_are_true_arcs_in_the_dxf() -> None:
    d = Drawing("cut")
    d.shapes.append(Rounded(50, 40, 60, 30, 8, Layer.CUT_OUTS))
    doc, auditor = recover.read(io.BytesIO(as_dxf(d)))
    line = doc.modelspace().query("LWPOLYLINE")[0]
    arcs = [e for e in line.virtual_entities() if e.dxftype() == "ARC"]
    assert not auditor.errors
    assert [pytest.approx(8.0)] * 4 == [a.dxf.radius for a in arcs]
    centres = sorted((round(a.dxf.center.x, 6), round(a.dxf.center.y, 6)) for a in arcs)
    assert centres == [(28, 33), (28, 47), (72, 33), (72, 47)]


def test_the_same_drawing_gives_the_same_bytes_in_every_kind_of_file() -> None:
    drawn = template(_words())
    for write in (as_dxf, as_svg, lambda d: as_tiles([d])):
        assert write(drawn) == write(drawn)


def test_an_svg_is_as_large_as_the_board_and_holds_every_hole() -> None:
    words = _words()
    text = as_svg(template(words)).decode()
    spots = re.findall(r'<circle cx="([-.\d]+)" cy="([-.\d]+)" r="([-.\d]+)"', text)
    found = [(float(x), -float(y), 2 * float(r)) for x, y, r in spots]
    for h in words.row.holes:
        assert any(np.allclose(f, (h.x_mm, h.y_mm, h.diameter_mm), atol=0.001) for f in found), h
    width = re.search(r'width="([.\d]+)mm".*viewBox="[-.\d]+ [-.\d]+ ([.\d]+)', text)
    assert width is not None and width[1] == width[2]  # one unit a millimetre


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_both_bars_of_every_page_measure_100_mm(paper: str) -> None:
    pdf = as_tiles([template(_words())], paper)
    pages = len(pypdfium2.PdfDocument(pdf))
    assert pages >= 4
    for n in range(pages):
        page = _page(pdf, n)
        high = page.shape[0]
        level = page[high - round(12 * DPI / 25.4) - 25 : high - round(12 * DPI / 25.4) - 18]
        ticks = np.nonzero((level < DARK).any(axis=0))[0]
        ticks = ticks[ticks < (LEFT + BAR + 1) * DPI / 25.4]
        assert abs((ticks.max() - ticks.min()) / 10 - 100) < 0.2
        left = page[: high - round((FOOT - 1) * DPI / 25.4), 120:127]
        ticks = np.nonzero((left < DARK).any(axis=1))[0]
        ticks = ticks[ticks > high - (FOOT + BAR + 1) * DPI / 25.4]
        assert abs((ticks.max() - ticks.min()) / 10 - 100) < 0.2


def test_tiles_joined_by_their_crosses_give_the_whole_drawing() -> None:
    """Every page is put askew by up to 2 mm, as a printer does; where its crosses are found in the
    image alone places it. Then every ring is looked for in the joined picture.
    """
    drawn = Drawing("rings")
    spots = [(x, y) for x in range(20, 480, 55) for y in range(20, 420, 55)]
    for x, y in spots:
        drawn.circle(x, y, 12.0, Layer.HOLES)
    t = tiling(drawn)
    pdf = as_tiles([drawn])
    assert len(pypdfium2.PdfDocument(pdf)) == t.columns * t.rows > 4
    whole = np.full((round(t.rows * t.high * 10) + 99, round(t.columns * t.wide * 10) + 99), 255)
    rng = np.random.default_rng(1)
    pages = iter(range(t.columns * t.rows))
    for row in range(t.rows - 1, -1, -1):
        for column in range(t.columns):
            askew = rng.integers(-20, 21, 2)
            page = np.roll(_page(pdf, next(pages))[::-1], askew, axis=(0, 1))  # y up
            corner = np.array(t.corner(column, row))
            off = _found_offset(page, t.crosses(column, row), corner)
            low = np.round(([t.x0, t.y0] - off) * 10).astype(int)
            at = np.round((corner - off) * 10).astype(int)
            room = np.round((corner + [t.wide, t.high] - off) * 10).astype(int)
            part = page[at[1] : room[1], at[0] : room[0]]
            u, v = at - low
            there = whole[v : v + part.shape[0], u : u + part.shape[1]]
            np.minimum(there, part, out=there)
    for x, y in spots:
        for a in np.linspace(0, 2 * np.pi, 72, endpoint=False):
            u = round((x + 12 * np.cos(a) - t.x0) * 10)
            v = round((y + 12 * np.sin(a) - t.y0) * 10)
            near = whole[max(v - 2, 0) : v + 3, max(u - 2, 0) : u + 3]  # 0.2 mm about it
            assert near.min() < 200, (x, y, a)


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_edge_of_a_cut_line_is_on_a_page(paper: str) -> None:
    """A plain rectangle over several pages: each page its edge runs through is printed."""
    drawn = Drawing("edges")
    drawn.box(0, 0, 500, 440, Layer.OUTLINE)
    t = tiling(drawn, paper)
    pages = len(pypdfium2.PdfDocument(as_tiles([drawn], paper)))
    inner = max(t.columns - 2, 0) * max(t.rows - 2, 0)
    assert pages == t.columns * t.rows - inner


def _found_offset(
    page: np.ndarray, crosses: list[tuple[float, float]], corner: np.ndarray
) -> np.ndarray:
    """What is added to a page's millimetres to get the drawing's: from its crosses, each looked
    for within 3 mm of where an exact printer would have put it.
    """
    out = []
    for x, y in crosses:
        u, v = (round((k + m) * 10) for k, m in zip((x, y) - corner, (LEFT, FOOT), strict=True))
        window = page[v - 80 : v + 81, u - 80 : u + 81] < DARK
        rows, columns = window.sum(axis=1)[10:151], window.sum(axis=0)[10:151]
        found = np.array([_middle(columns) + u - 70, _middle(rows) + v - 70]) / 10
        out.append((x, y) - found)
    return np.median(np.array(out), axis=0)


def _middle(counts: np.ndarray) -> float:
    """The middle of the lines with the most dots: the two sides of the square about a cross."""
    return float(np.mean(np.nonzero(counts >= counts.max() - 3)[0]))
