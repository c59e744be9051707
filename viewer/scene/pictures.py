"""Pictures of the boat and of the moves, drawn off-screen; legible in grey print."""

import io
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, Final

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Hazard, Opening, Thing
from layout.geometry.frames import Array
from layout.passage import BoxSet, Pose
from layout.verdict.fit import Answer, ThingFit
from routing.circuits.cables import Cable
from routing.runs.runs import Run
from routing.stock.supports import bundle_mm
from routing.ways.bends import smooth
from routing.wiring import Wiring
from viewer.scene.palette import (
    BODY,
    CABLES,
    EDGE,
    FITTED,
    HAZARD,
    MOVING,
    PLATE,
    SOLID,
    SPACE,
    TRUNK,
)

STRIP_SIZE: Final = (460, 380)
WIDE_SIZE: Final = (1700, 1100)
SPACE_SIZE: Final = (1000, 720)
PAPER: Final = 250  # paler than this is empty paper
MARGIN_PX: Final = 14
RIM_MM: Final = 70.0  # how much deck is drawn round an opening
ROOM_TO_SEE: Final = 1.12
THINNEST_MM: Final = 4.0  # thinner cable is drawn this thick, to be seen
NUMBERED_FROM_MM: Final = 180.0

Draw = Callable[[Any], None]


def _pyvista() -> Any:
    """pyvista, told to draw without a screen."""
    if not os.environ.get("DISPLAY"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
    import pyvista

    pyvista.OFF_SCREEN = True
    return pyvista


@contextmanager
def plotter(size: tuple[int, int]) -> Iterator[Any]:
    """An off-screen drawing on white paper."""
    p = _pyvista().Plotter(off_screen=True, window_size=list(size), lighting="light kit")
    p.set_background("white")
    p.enable_anti_aliasing("ssaa")
    try:
        yield p
    finally:
        p.close()


def box_mesh(centre: Array, half: Array, rotation: Array) -> Any:
    """A box as a closed mesh."""
    pv = _pyvista()
    mesh = pv.Box(bounds=(-half[0], half[0], -half[1], half[1], -half[2], half[2]))
    turn = np.eye(4)
    turn[:3, :3], turn[:3, 3] = rotation, centre
    return mesh.transform(turn, inplace=False)


def add_boxes(
    p: Any,
    boxes: BoxSet,
    colour: str,
    opacity: float = 1.0,
    width: float = 1.2,
    first: str | None = None,
) -> list[Any]:
    """Draw boxes with their edges; the actors. `first` colours the first box (a plate) apart."""
    out = []
    for k in range(len(boxes)):
        mesh = box_mesh(boxes.centre_mm[k], boxes.half_mm[k], boxes.rotation[k])
        c = first if first and k == 0 else colour
        out.append(
            p.add_mesh(mesh, color=c, opacity=opacity, show_edges=False, ambient=0.35, diffuse=0.7)
        )
        out.append(
            p.add_mesh(
                mesh.extract_feature_edges(30),
                color=EDGE,
                line_width=width,
                opacity=max(0.35, opacity),
            )
        )
    return out


def add_space(p: Any, boat: Boat, name: str, width: float = 1.0) -> None:
    """Draw a space as a wire box with a faint floor."""
    s = boat.spaces[name]
    half = (s.high - s.low) / 2
    mesh = box_mesh((s.low + s.high) / 2, half, np.eye(3))
    p.add_mesh(mesh.extract_feature_edges(30), color=SPACE, line_width=width)
    floor = box_mesh(
        (s.low + s.high) / 2 - [0, 0, half[2]], np.array([half[0], half[1], 0.5]), np.eye(3)
    )
    p.add_mesh(floor, color="#e9e6de", opacity=0.55)


def rim_boxes(o: Opening) -> BoxSet:
    """Four bars round an opening, as deep as its throat."""
    u, v = o.others
    mid = o.centre.copy()
    mid[o.axis] += o.sign * o.throat_mm / 2
    centres, halves = [], []
    for axis, other, k in ((u, v, 0), (v, u, 1)):
        for s in (-1, 1):
            c, h = mid.copy(), np.empty(3)
            c[axis] += s * (o.size[k] / 2 + RIM_MM / 2)
            h[axis], h[other], h[o.axis] = (
                RIM_MM / 2,
                o.size[1 - k] / 2 + (RIM_MM if k == 0 else 0),
                o.throat_mm / 2,
            )
            centres.append(c)
            halves.append(h)
    return BoxSet.checked(centres, halves)


def _solids(boat: Boat, spaces: tuple[str, ...]) -> BoxSet | None:
    mine = [s for s in boat.solids.values() if s.space in spaces]
    if not mine:
        return None
    return BoxSet.checked(
        [s.centre for s in mine], [s.half for s in mine], np.array([s.rotation for s in mine])
    )


def _png(p: Any, trim: bool = False) -> bytes:
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


def _look(p: Any, low: Array, high: Array, direction: tuple[float, float, float]) -> None:
    middle, reach = (low + high) / 2, float(np.linalg.norm(high - low))
    d = np.array(direction) / np.linalg.norm(direction)
    p.camera_position = [tuple(middle + d * reach * 2), tuple(middle), (0, 0, 1)]
    p.enable_parallel_projection()
    p.reset_camera(bounds=(low[0], high[0], low[1], high[1], low[2], high[2]))
    p.camera.zoom(ROOM_TO_SEE)


def _view_for(o: Opening | None, inner: str) -> tuple[float, float, float]:
    """Where to look from: over the opening, to one side."""
    if o is None or o.axis == 2:
        return (-0.8, -1.1, 0.85)
    sign = o.sign if o.inner == inner else -o.sign
    if o.axis == 0:
        return (1.0 * sign, -0.9, 0.7)
    return (-0.8, 1.0 * sign, 0.7)


def strip(boat: Boat, fit: ThingFit, fitted: list[Thing]) -> list[bytes]:
    """One picture for each move of a thing that goes in: where it is when the move is done."""
    if (
        fit.answer not in (Answer.GOES_IN, Answer.MEASURE_AGAIN)
        or fit.entry is None
        or not fit.moves
    ):
        return []
    thing, way = boat.things[fit.name], fit.entry.way
    poses = [m.end for m in fit.moves]
    out = []
    low, high = _frame(boat, fit)
    with plotter(STRIP_SIZE) as p:
        for s in way.spaces:
            add_space(p, boat, s)
        for o in way.openings:
            add_boxes(p, rim_boxes(o), SOLID, 0.55)
        solids = _solids(boat, way.spaces)
        if solids is not None:
            add_boxes(p, solids, SOLID, 0.3)
        for t in fitted:
            if t.space in way.spaces:
                add_boxes(p, t.at_rest(), FITTED, 0.45)
        before = fit.moves[0].start
        for pose in poses:
            ghost = add_boxes(p, _placed(thing, before), MOVING, 0.12, 0.6)
            here = add_boxes(
                p, _placed(thing, pose), BODY, 1.0, 1.4, PLATE if thing.kind == "board" else None
            )
            _look(p, low, high, _view_for(way.openings[0], way.spaces[0]))
            out.append(_png(p))
            for actor in [*ghost, *here]:
                p.remove_actor(actor, render=False)
            before = pose
    return out


def _placed(thing: Thing, pose: Pose) -> BoxSet:
    r = pose.rotation
    return BoxSet.checked(
        thing.body.centre_mm @ r.T + pose.at_mm,
        thing.body.half_mm,
        r @ thing.body.rotation,
        thing.body.names,
    )


def _frame(boat: Boat, fit: ThingFit) -> tuple[Array, Array]:
    """What a strip must show: the last space, and the first poses outside."""
    if fit.entry is None:
        return np.zeros(3), np.ones(3)
    s = boat.spaces[fit.entry.way.spaces[-1]]
    points = [s.low, s.high]
    reach = boat.things[fit.name].size_mm.max() / 2
    points += [m.end.at_mm + reach * np.array([a, a, a]) for m in fit.moves for a in (-0.7, 0.7)]
    return np.min(points, axis=0), np.max(points, axis=0)


def whole_boat(boat: Boat, cables: tuple[Cable, ...]) -> bytes:
    """The boat with its spaces, gear and cables, from above and to starboard."""
    with plotter(WIDE_SIZE) as p:
        for name in boat.spaces:
            add_space(p, boat, name)
        for o in boat.openings.values():
            add_boxes(p, rim_boxes(o), SOLID, 0.35, 0.6)
        solids = _solids(boat, tuple(boat.spaces))
        if solids is not None:
            add_boxes(p, solids, SOLID, 0.16, 0.5)
        for t in boat.things.values():
            add_boxes(
                p,
                t.at_rest(),
                BODY if t.kind != "board" else "#c8c3b6",
                0.9,
                0.8,
                PLATE if t.kind == "board" else None,
            )
        draw_cables(p, cables, 11.0)
        low, high = _extent(boat)
        _outline(p, boat)
        _space_names(p, boat)
        _look(p, low, high, (-0.62, -1.3, 1.05))
        return _png(p, trim=True)


def _outline(p: Any, boat: Boat) -> None:
    """The boat's plan at its lowest space, from length and beam alone: a sketch for bearings."""
    pv = _pyvista()
    t = np.linspace(0, 1, 60)
    half = (
        boat.beam_mm
        / 2
        * np.where(
            t < 0.55,
            0.86 + 0.14 * np.sin(np.pi * t / 1.1),
            np.sqrt(np.clip(1 - ((t - 0.55) / 0.45) ** 2, 0, 1)),
        )
    )
    x = (t - 0.5) * boat.length_mm
    z = np.full_like(x, min(s.low[2] for s in boat.spaces.values()))
    side = np.column_stack([x, half, z])
    other = np.column_stack([x, -half, z])
    p.add_mesh(
        pv.lines_from_points(np.vstack([side, other[::-1], side[:1]])), color=SPACE, line_width=2.5
    )


def _space_names(p: Any, boat: Boat) -> None:
    points = np.array(
        [
            [(s.low[0] + s.high[0]) / 2, (s.low[1] + s.high[1]) / 2, s.high[2] + 90]
            for s in boat.spaces.values()
        ]
    )
    p.add_point_labels(
        points,
        [s.label for s in boat.spaces.values()],
        font_size=20,
        text_color="black",
        shape_color="white",
        shape_opacity=0.8,
        always_visible=True,
        show_points=False,
        font_family="arial",
    )


def _extent(boat: Boat) -> tuple[Array, Array]:
    low = np.min([s.low for s in boat.spaces.values()], axis=0) - [150, 0, 0]
    high = np.max([s.high for s in boat.spaces.values()], axis=0) + [150, 0, 150]
    return low, high


def draw_cables(p: Any, cables: tuple[Cable, ...], radius: float) -> None:
    """Draw each cable's route as a tube."""
    pv = _pyvista()
    for k, c in enumerate(cables):
        if c.route is None:
            continue
        line = smooth(c.route, c.radius_mm)
        if len(line) < 2:
            continue
        mesh = pv.lines_from_points(line).tube(
            radius=radius * (1.0 if c.amps < 30 else 1.7), n_sides=10
        )
        p.add_mesh(mesh, color=CABLES[k % len(CABLES)], ambient=0.4)


def inside(boat: Boat, name: str, wiring: Wiring) -> bytes | None:
    """One space looked into, with the gear, hazards and cables in it; None when nothing is there to see."""
    things = [t for t in boat.things.values() if t.space == name]
    mine = [
        (run, numbers)
        for run, numbers in zip(wiring.cabling.runs, wiring.cabling.run_circuits, strict=True)
        if run.space == name and run.kind in ("face", "free")
    ]
    trays = [t for t in boat.trays.values() if name in t.spaces]
    mine += [
        (run, numbers)
        for run, numbers in zip(wiring.cabling.runs, wiring.cabling.run_circuits, strict=True)
        if run.kind == "tray" and run.where in [t.name for t in trays]
    ]
    if not things and not mine:
        return None
    s = boat.spaces[name]
    with plotter(SPACE_SIZE) as p:
        add_space(p, boat, name, 2.0)
        solids = _solids(boat, (name,))
        if solids is not None:
            add_boxes(p, solids, SOLID, 0.3, 0.8)
        for t in things:
            add_boxes(p, t.at_rest(), BODY, 0.95, 1.1, PLATE if t.kind == "board" else None)
        for o in boat.openings.values():
            if name in (o.inner, o.outer):
                add_boxes(p, rim_boxes(o), SOLID, 0.18, 0.7)
        for z in boat.hazards.values():
            if z.space == name:
                p.add_mesh(
                    box_mesh(
                        (z.low + z.high) / 2, (z.high - z.low) / 2, np.eye(3)
                    ).extract_feature_edges(30),
                    color=HAZARD,
                    line_width=2.5,
                )
        draw_runs(p, wiring, mine)
        _label(p, things, [z for z in boat.hazards.values() if z.space == name])
        opening = next((o for o in boat.openings.values() if o.inner == name), None)
        _look(p, s.low - 20, s.high + 20, _view_for(opening, name))
        return _png(p, trim=True)


def draw_runs(p: Any, wiring: Wiring, mine: list[tuple[Run, tuple[str, ...]]]) -> None:
    """Draw stretches of cable as thick as their bundle, trunks dark, each with the numbers of its circuits."""
    pv = _pyvista()
    order = [c.number for c in wiring.cabling.cables]
    by_number = {c.number: c for c in wiring.cabling.cables}
    at, words = [], []
    for run, numbers in mine:
        if run.length_mm < 1:
            continue
        size = bundle_mm(
            [by_number[n].od_mm for n in numbers for _ in range(by_number[n].conductors)]
        )
        colour = TRUNK if len(numbers) > 1 else CABLES[order.index(numbers[0]) % len(CABLES)]
        mesh = pv.lines_from_points(run.points).tube(radius=max(THINNEST_MM, size / 2), n_sides=12)
        p.add_mesh(mesh, color=colour, ambient=0.4)
        if run.length_mm >= NUMBERED_FROM_MM and run.kind != "free":
            along = np.concatenate(
                [[0.0], np.cumsum(np.linalg.norm(np.diff(run.points, axis=0), axis=1))]
            )
            at.append([float(np.interp(along[-1] / 2, along, run.points[:, k])) for k in range(3)])
            words.append(", ".join(numbers))
    if at:
        p.add_point_labels(
            np.array(at),
            words,
            font_size=13,
            text_color="white",
            shape_color="#3a3f44",
            shape_opacity=0.9,
            always_visible=True,
            show_points=False,
            font_family="arial",
        )


def _label(p: Any, things: list[Thing], hazards: list[Hazard]) -> None:
    if not things and not hazards:
        return
    points = np.array(
        [t.rest.at_mm + [0, 0, t.size_mm[2] / 2 + 8] for t in things]
        + [[(z.low[0] + z.high[0]) / 2, (z.low[1] + z.high[1]) / 2, z.high[2]] for z in hazards]
    )
    p.add_point_labels(
        points,
        [t.label for t in things] + [f"keep off: {z.label}" for z in hazards],
        font_size=15,
        text_color="black",
        shape_color="white",
        shape_opacity=0.75,
        always_visible=True,
        show_points=False,
        font_family="arial",
    )


def outside_only(boat: Boat) -> list[Thing]:
    """Things that stand on deck."""
    return [t for t in boat.things.values() if t.space == OUTSIDE]
