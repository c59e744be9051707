"""Pictures of the boat and of the moves, drawn off-screen; legible in grey print."""

import io
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Final

import numpy as np

from layout.geometry.frames import Array
from layout.geometry.shapes import Pose
from viewer.scene.key import (
    ALONE,
    BOARDS,
    CLIPS,
    GEAR,
    KEEP_OFF,
    OWN,
    SIDES,
    TOGETHER,
    Entry,
    with_key,
)
from viewer.scene.palette import (
    BOARD,
    BODY,
    CABLES,
    CLIP,
    EDGE,
    FLOOR,
    HAZARD,
    PLATE,
    SHARED,
    SOLID,
    SPACE,
)
from viewer.words.names import Names
from viewer.work.piece_rows import BoxRow, OpeningRow, StandRow
from viewer.work.rows import Result
from viewer.work.wiring_rows import RunRow

WIDE_SIZE: Final = (1700, 1100)
SPACE_SIZE: Final = (1000, 720)
PAPER: Final = 250  # paler than this is empty paper
MARGIN_PX: Final = 14
ROOM_TO_SEE: Final = 1.0
THINNEST_MM: Final = 4.0  # thinner cable is drawn this thick, to be seen
NUMBERED_FROM_MM: Final = 180.0
CABLE_MM: Final = 11.0  # radius of a cable in the whole boat's picture
HEAVY_AMP: Final = 30.0
CLIP_OVER_MM: Final = 3.0  # a clip is drawn so much larger than what it holds
CABLES_KEY: Final = Entry("line", CABLES[:3], "cables, each its colour (colours repeat)")
Box = tuple[Array, Array, Array]  # middle, half sizes, rotation
Look = tuple[float, float, float]


def pyvista_quiet() -> Any:
    """pyvista, told to draw without a screen."""
    if not os.environ.get("DISPLAY"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    import pyvista

    pyvista.OFF_SCREEN = True
    return pyvista


@contextmanager
def plotter(size: tuple[int, int]) -> Iterator[Any]:
    """An off-screen drawing on white paper."""
    p = pyvista_quiet().Plotter(off_screen=True, window_size=list(size), lighting="light kit")
    p.set_background("white")
    p.enable_anti_aliasing("ssaa")
    try:
        yield p
    finally:
        p.close()


def box_of(row: BoxRow) -> Box:
    """A box as it is drawn."""
    return np.array(row.centre_mm), np.array(row.half_mm), np.array(row.rotation)


def boxes_at(stand: StandRow, pose: Pose) -> list[Box]:
    """A piece's boxes at a pose."""
    r = pose.rotation
    body = [box_of(b) for b in stand.body]
    return [(r @ c + pose.at_mm, h, r @ m) for c, h, m in body]


def boxes_at_rest(stand: StandRow) -> list[Box]:
    """A piece's boxes in their place."""
    return boxes_at(stand, Pose.checked(stand.at_mm))


def box_mesh(box: Box) -> Any:
    """A box as a closed mesh."""
    centre, half, rotation = box
    pv = pyvista_quiet()
    mesh = pv.Box(bounds=(-half[0], half[0], -half[1], half[1], -half[2], half[2]))
    turn = np.eye(4)
    turn[:3, :3], turn[:3, 3] = rotation, centre
    return mesh.transform(turn, inplace=False)


def add_boxes(
    p: Any,
    boxes: Sequence[Box],
    colour: str,
    opacity: float = 1.0,
    width: float = 1.2,
    first: str | None = None,
) -> list[Any]:
    """Draw boxes with their edges; the actors. `first` colours the first box (a plate) apart."""
    out = []
    for k, box in enumerate(boxes):
        mesh = box_mesh(box)
        c = first if first and k == 0 else colour
        out.append(
            p.add_mesh(mesh, color=c, opacity=opacity, show_edges=False, ambient=0.35, diffuse=0.7)
        )
        edges = mesh.extract_feature_edges(30)
        out.append(p.add_mesh(edges, color=EDGE, line_width=width, opacity=max(0.35, opacity)))
    return out


def add_space(p: Any, result: Result, key: str, width: float = 1.0) -> None:
    """Draw a space as a wire box with a faint floor."""
    s = next(space for space in result.boat.spaces if space.key == key)
    low, high = np.array(s.low_mm), np.array(s.high_mm)
    half, middle = (high - low) / 2, (low + high) / 2
    mesh = box_mesh((middle, half, np.eye(3)))
    p.add_mesh(mesh.extract_feature_edges(30), color=SPACE, line_width=width)
    thin = np.array([half[0], half[1], 0.5])
    p.add_mesh(box_mesh((middle - [0, 0, half[2]], thin, np.eye(3))), color=FLOOR, opacity=0.55)


def solids_in(result: Result, spaces: Sequence[str]) -> list[Box]:
    """The boat's own parts in some spaces."""
    return [box_of(solid.box) for solid in result.boat.solids if solid.space in spaces]


def plate_colour(stand: StandRow) -> str | None:
    """The colour of a board's plate; None for what has none."""
    return PLATE if stand.is_board else None


def png_of(p: Any, trim: bool = False) -> bytes:
    """The picture as PNG; trimmed of empty paper when asked."""
    from PIL import Image

    pixels = p.screenshot(None, return_img=True)
    if trim:
        inked = np.argwhere(pixels.min(axis=2) < PAPER)
        if len(inked):
            (top, left), (bottom, right) = inked.min(axis=0), inked.max(axis=0)
            pixels = pixels[
                max(0, top - MARGIN_PX) : bottom + MARGIN_PX,
                max(0, left - MARGIN_PX) : right + MARGIN_PX,
            ]
    data = io.BytesIO()
    Image.fromarray(pixels).quantize(128).save(data, "PNG", optimize=True)
    return data.getvalue()


def look(p: Any, low: Array, high: Array, direction: Look) -> None:
    """Look at what lies from low to high, from a direction, without perspective."""
    middle, reach = (low + high) / 2, float(np.linalg.norm(high - low))
    d = np.array(direction) / np.linalg.norm(direction)
    p.camera_position = [tuple(middle + d * reach * 2), tuple(middle), (0, 0, 1)]
    p.enable_parallel_projection()
    p.reset_camera(bounds=(low[0], high[0], low[1], high[1], low[2], high[2]))
    p.camera.zoom(ROOM_TO_SEE)


def _view_for(opening: OpeningRow | None, inner: str) -> Look:
    """Where to look from: over the opening, to one side."""
    if opening is None or opening.axis == 2:
        return (-0.8, -1.1, 0.85)
    sign = opening.sign if opening.inner == inner else -opening.sign
    if opening.axis == 0:
        return (1.0 * sign, -0.9, 0.7)
    return (-0.8, 1.0 * sign, 0.7)


def whole_boat(result: Result) -> bytes:
    """The boat with its spaces, gear and cables, from above and to starboard."""
    keys = [s.key for s in result.boat.spaces]
    with plotter(WIDE_SIZE) as p:
        for key in keys:
            add_space(p, result, key)
        for opening in result.boat.openings:
            add_boxes(p, [box_of(b) for b in opening.bars], SOLID, 0.35, 0.6)
        add_boxes(p, solids_in(result, keys), SOLID, 0.16, 0.5)
        for stand in result.boat.stands:
            colour = BOARD if stand.is_board else BODY
            add_boxes(p, boxes_at_rest(stand), colour, 0.9, 0.8, plate_colour(stand))
        _cables(p, result)
        low = np.min([s.low_mm for s in result.boat.spaces], axis=0) - [150, 0, 0]
        high = np.max([space.high_mm for space in result.boat.spaces], axis=0) + [150, 0, 150]
        _outline(p, result)
        _space_names(p, result)
        look(p, low, high, (-0.62, -1.3, 1.05))
        return with_key(png_of(p, trim=True), [GEAR, BOARDS, OWN, SIDES, CABLES_KEY])


def _outline(p: Any, result: Result) -> None:
    """The boat's plan at its lowest space, from length and beam alone: a sketch for bearings."""
    pv = pyvista_quiet()
    t = np.linspace(0, 1, 60)
    aft = 0.86 + 0.14 * np.sin(np.pi * t / 1.1)
    bow = np.sqrt(np.clip(1 - ((t - 0.55) / 0.45) ** 2, 0, 1))
    half = result.boat.beam_mm / 2 * np.where(t < 0.55, aft, bow)
    x = (t - 0.5) * result.boat.length_mm
    z = np.full_like(x, min(space.low_mm[2] for space in result.boat.spaces))
    side, other = np.column_stack([x, half, z]), np.column_stack([x, -half, z])
    line = pv.lines_from_points(np.vstack([side, other[::-1], side[:1]]))
    p.add_mesh(line, color=SPACE, line_width=2.5)


def words_at(p: Any, points: Array, texts: list[str], size: int, **style: Any) -> Any:
    """Words beside points; the actor."""
    return p.add_point_labels(
        points,
        texts,
        font_size=size,
        always_visible=True,
        show_points=False,
        font_family="arial",
        **style,
    )


def _space_names(p: Any, result: Result) -> None:
    names = Names(result)
    points = [
        [(s.low_mm[0] + s.high_mm[0]) / 2, (s.low_mm[1] + s.high_mm[1]) / 2, s.high_mm[2] + 90]
        for s in result.boat.spaces
    ]
    texts = [names.space(s.key) for s in result.boat.spaces]
    paper = {"text_color": "black", "shape_color": "white", "shape_opacity": 0.8}
    words_at(p, np.array(points), texts, 20, **paper)


def _cables(p: Any, result: Result) -> None:
    """Draw each cable's route as a tube."""
    pv = pyvista_quiet()
    for k, c in enumerate(result.circuits):
        if len(c.line) < 2:
            continue
        radius = CABLE_MM * (1.0 if c.amps < HEAVY_AMP else 1.7)
        mesh = pv.lines_from_points(np.array(c.line)).tube(radius=radius, n_sides=10)
        p.add_mesh(mesh, color=CABLES[k % len(CABLES)], ambient=0.4)


def inside(result: Result, key: str) -> bytes | None:
    """One space looked into, with gear, hazards and cables; None when there is nothing to see."""
    stands = [s for s in result.boat.stands if s.space == key]
    trays = {k for k, spaces in result.boat.trays.items() if key in spaces}
    mine = [run for run in result.runs if run.where == key and run.kind in ("face", "free")]
    mine += [x for x in result.runs if x.kind == "tray" and x.where in trays]
    if not stands and not mine:
        return None
    s = next(x for x in result.boat.spaces if x.key == key)
    with plotter(SPACE_SIZE) as p:
        add_space(p, result, key, 2.0)
        add_boxes(p, solids_in(result, (key,)), SOLID, 0.3, 0.8)
        for stand in stands:
            add_boxes(p, boxes_at_rest(stand), BODY, 0.95, 1.1, plate_colour(stand))
        here = [o for o in result.boat.openings if key in (o.inner, o.outer)]
        for o in here:
            add_boxes(p, [box_of(b) for b in o.bars], SOLID, 0.18, 0.7)
        _hazards(p, result, key)
        _runs(p, result, mine)
        _clips(p, result, key)
        _labels(p, result, key, stands)
        opening = next((o for o in here if o.inner == key), None)
        low, high = np.array(s.low_mm) - 20, np.array(s.high_mm) + 20
        look(p, low, high, _view_for(opening, key))
        return with_key(png_of(p, trim=True), _key_of(result, key, stands))


def _key_of(result: Result, key: str, stands: list[StandRow]) -> list[Entry]:
    """The key of one space's picture: what is in it."""
    out = [GEAR] if stands else []
    out += [BOARDS] if any(s.is_board for s in stands) else []
    out += [OWN] if solids_in(result, (key,)) or result.boat.openings else []
    out += [KEEP_OFF] if any(h.space == key for h in result.boat.hazards) else []
    return [*out, ALONE, TOGETHER, CLIPS]


def _clips(p: Any, result: Result, key: str) -> None:
    """Draw every support where it is fixed, a little larger than what it holds."""
    trays = {k for k, spaces in result.boat.trays.items() if key in spaces}
    for s in result.supports:
        if s.where == key or s.where in trays:
            half = np.full(3, s.bundle_mm / 2 + CLIP_OVER_MM)
            p.add_mesh(box_mesh((np.array(s.at), half, np.eye(3))), color=CLIP, ambient=0.4)


def _hazards(p: Any, result: Result, key: str) -> None:
    for hazard in result.boat.hazards:
        if hazard.space == key:
            low, high = np.array(hazard.low_mm), np.array(hazard.high_mm)
            mesh = box_mesh(((low + high) / 2, (high - low) / 2, np.eye(3)))
            p.add_mesh(mesh.extract_feature_edges(30), color=HAZARD, line_width=2.5)


def _runs(p: Any, result: Result, mine: list[RunRow]) -> None:
    """Draw stretches of cable as thick as their bundle, shared runs dark, with their numbers."""
    pv = pyvista_quiet()
    order = [circuit.number for circuit in result.circuits]
    at, words = [], []
    for run in mine:
        if run.length_mm < 1:
            continue
        points = np.array(run.points)
        alone = CABLES[order.index(run.circuits[0]) % len(CABLES)]
        colour = SHARED if len(run.circuits) > 1 else alone
        mesh = pv.lines_from_points(points).tube(
            radius=max(THINNEST_MM, run.bundle_mm / 2), n_sides=12
        )
        p.add_mesh(mesh, color=colour, ambient=0.4)
        if run.length_mm >= NUMBERED_FROM_MM and run.kind != "free":
            steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
            along = np.concatenate([[0.0], np.cumsum(steps)])
            at.append([float(np.interp(along[-1] / 2, along, points[:, k])) for k in range(3)])
            words.append(", ".join(run.circuits))
    if at:
        dark = {"text_color": "white", "shape_color": SHARED, "shape_opacity": 0.9}
        words_at(p, np.array(at), words, 13, **dark)


def _labels(p: Any, result: Result, key: str, stands: list[StandRow]) -> None:
    names = Names(result)
    points = [[*s.at_mm[:2], s.at_mm[2] + s.size_mm[2] / 2 + 8] for s in stands]
    texts = [names.piece(s.key) for s in stands]
    for hazard in result.boat.hazards:
        if hazard.space == key:
            middle = (np.array(hazard.low_mm) + np.array(hazard.high_mm)) / 2
            points.append([*middle[:2], hazard.high_mm[2]])
            texts.append(f"keep off: {names.of('hazard:' + hazard.key)}")
    if texts:
        paper = {"text_color": "black", "shape_color": "white", "shape_opacity": 0.75}
        words_at(p, np.array(points), texts, 15, **paper)
