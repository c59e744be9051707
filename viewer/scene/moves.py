"""Pictures of the moves: each from the side that shows it best, with an arrow, its figure, and a
ring where it comes nearest; and the same moves as a moving picture.
"""

import io
from typing import Any, Final

import numpy as np

from layout.boat.parts import OUTSIDE
from layout.geometry.frames import Array, quat_about, quat_product, turn_between
from layout.geometry.shapes import Pose
from viewer.scene.palette import BODY, EDGE, FITTED, MOVING, RING, SOLID
from viewer.scene.pictures import (
    Look,
    add_boxes,
    add_space,
    box_of,
    boxes_at,
    boxes_at_rest,
    look,
    plate_colour,
    plotter,
    png_of,
    pyvista_quiet,
    solids_in,
    words_at,
)
from viewer.work.piece_rows import MoveRow, OpeningRow, PieceRow, StandRow
from viewer.work.rows import Result

STRIP_SIZE: Final = (460, 380)
MOVING_SIZE: Final = (420, 340)
SHIFT_MM: Final = 6.0  # smaller shifts and turns get no arrow
TURN_DEG: Final = 3.0
RINGED_MM: Final = 60.0  # more room than this is not worth a ring
LABEL_SHARE: Final = 1.4  # of an arc's radius, where its figure stands
ARC_SHARE: Final = 0.9  # of the body's reach
ARC_POINTS: Final = 24
BEFORE_SHARE: Final = 1.5  # of what is shown, towards the eye
CLOSE_SHARE: Final = 0.75  # of the body across its corners, shown round it
FRAMES: Final = 10  # of a moving picture, for each move
FRAME_MS: Final = 90
REST_FRAMES: Final = 8
# from starboard and above, as the rest of the book, and the other quarters; then more from above
LOOKS: Final[tuple[Look, ...]] = (
    (-0.8, -1.1, 0.85),
    (0.8, -1.1, 0.85),
    (-0.8, 1.1, 0.85),
    (0.8, 1.1, 0.85),
    (-0.5, -0.6, 1.5),
    (-1.3, -0.35, 0.5),
    (-0.35, -1.3, 0.5),
)
USUAL_FIRST: Final = 0.08  # so much better must another side show a move
SLIDES: Final = (("forward", "aft"), ("to port", "to starboard"), ("up", "down"))


def strip(result: Result, row: PieceRow) -> list[bytes]:
    """One picture for each move of a piece that goes in: where it is when the move is done."""
    if not row.moves or not row.way:
        return []
    stand = result.stand(row.key)
    out = []
    with plotter(STRIP_SIZE) as p:
        _surroundings(p, result, row)
        for move in row.moves:
            low, high = _close_up(move, stand)
            actors = _move(p, move, stand, before_all(low, high, best_look(move)))
            look(p, low, high, best_look(move))
            p.renderer.ResetCameraClippingRange()
            out.append(png_of(p))
            for actor in actors:
                p.remove_actor(actor, render=False)
    return out


def moving(result: Result, row: PieceRow) -> bytes | None:
    """A way in as a moving picture (GIF), from the same moves; None where there is no way."""
    if not row.moves or not row.way:
        return None
    from PIL import Image

    stand = result.stand(row.key)
    frames: list[Any] = []
    with plotter(MOVING_SIZE) as p:
        _surroundings(p, result, row)
        low, high = _frame(result, row, stand)
        look(p, low, high, LOOKS[0])
        for pose in _poses(row):
            actors = add_boxes(p, boxes_at(stand, pose), BODY, 1.0, 1.4, plate_colour(stand))
            frames.append(Image.fromarray(p.screenshot(None, return_img=True)).quantize(32))
            for actor in actors:
                p.remove_actor(actor, render=False)
    data = io.BytesIO()
    frames += [frames[-1]] * REST_FRAMES
    frames[0].save(data, "GIF", save_all=True, append_images=frames[1:], duration=FRAME_MS, loop=0)
    return data.getvalue()


def _poses(row: PieceRow) -> list[Pose]:
    """Poses all along the moves, evenly spread over each."""
    out = []
    for move in row.moves:
        a, b = _ends(move)
        axis = np.empty(3)
        angle = turn_between(a.quat, b.quat, axis)
        for t in np.linspace(0.0, 1.0, FRAMES):
            q = quat_product(quat_about(axis, angle * t), a.quat)
            out.append(Pose(a.at_mm + (b.at_mm - a.at_mm) * t, q))
    return out


def _ends(move: MoveRow) -> tuple[Pose, Pose]:
    return (
        Pose.checked(move.start.at_mm, move.start.quat),
        Pose.checked(move.end.at_mm, move.end.quat),
    )


def best_look(move: MoveRow) -> Look:
    """The side that shows a move best: slides across the line of sight, turns along it."""

    def seen(direction: Look) -> float:
        d = np.array(direction) / np.linalg.norm(direction)
        shift, turn = np.array(move.shift_mm), np.array(move.turn_deg)
        far, angle = float(np.linalg.norm(shift)), float(np.linalg.norm(turn))
        score, weight = 0.0, 0.0
        if far >= SHIFT_MM:
            score += float(np.linalg.norm(shift - (shift @ d) * d)) / far
            weight += 1.0
        if angle >= TURN_DEG:
            score += abs(float(turn @ d)) / angle
            weight += 1.0
        return score / weight if weight else 1.0

    best = LOOKS[0]
    for other in LOOKS[1:]:
        if seen(other) > seen(best) + USUAL_FIRST:
            best = other
    return best


def _spaces_on(result: Result, way: tuple[str, ...]) -> list[str]:
    """The spaces a way crosses, the first one first."""
    openings = {opening.key: opening for opening in result.boat.openings}
    here, out = OUTSIDE, []
    for key in way:
        o = openings[key]
        here = o.inner if o.outer == here else o.outer
        out.append(here)
    return out


def _surroundings(p: Any, result: Result, row: PieceRow) -> None:
    """What stands still: spaces, rims, solids, gear fitted before."""
    openings: dict[str, OpeningRow] = {opening.key: opening for opening in result.boat.openings}
    spaces = _spaces_on(result, row.way)
    order = [piece.key for piece in result.pieces]
    before_it = set(order[: order.index(row.key)])
    for space in spaces:
        add_space(p, result, space)
    for key in (*row.way, *row.also_open):
        add_boxes(p, [box_of(b) for b in openings[key].bars], SOLID, 0.55)
    add_boxes(p, solids_in(result, spaces), SOLID, 0.3)
    for stand in result.boat.stands:
        if (
            stand.space in spaces
            and (stand.key in before_it or stand.fixed_already)
            and stand.key != row.key
        ):
            add_boxes(p, boxes_at_rest(stand), FITTED, 0.45)


def _close_up(move: MoveRow, stand: StandRow) -> tuple[Array, Array]:
    """What one picture must show: the body before and after the move, and what is round it."""
    reach = CLOSE_SHARE * float(np.linalg.norm(stand.size_mm))
    points = [
        np.array(pose.at_mm) + a * reach for pose in (move.start, move.end) for a in (-1.0, 1.0)
    ]
    return np.min(points, axis=0), np.max(points, axis=0)


def _frame(result: Result, row: PieceRow, stand: StandRow) -> tuple[Array, Array]:
    """What a strip must show: the last space, and every pose of the moves, start and end."""
    space = _spaces_on(result, row.way)[-1]
    s = next(x for x in result.boat.spaces if x.key == space)
    reach = float(np.linalg.norm(stand.size_mm)) / 2
    points = [np.array(s.low_mm), np.array(s.high_mm)]
    for move in row.moves:
        for pose in (move.start, move.end):
            points += [np.array(pose.at_mm) + a * reach for a in (-1.0, 1.0)]
    return np.min(points, axis=0), np.max(points, axis=0)


def before_all(low: Array, high: Array, direction: Look) -> Array:
    """A shift towards the eye: there is no perspective, so marks stay in place on the paper and lie
    before what they mark.
    """
    d = np.array(direction) / np.linalg.norm(direction)
    out: Array = d * float(np.linalg.norm(high - low)) * BEFORE_SHARE
    return out


def _move(p: Any, move: MoveRow, stand: StandRow, nearer: Array) -> list[Any]:
    """One move: the body before it faint, after it whole, its arrow and its ring; the actors."""
    start, end = _ends(move)
    out = add_boxes(p, boxes_at(stand, start), MOVING, 0.12, 0.6)
    out += add_boxes(p, boxes_at(stand, end), BODY, 1.0, 1.4, plate_colour(stand))
    size = float(np.linalg.norm(stand.size_mm)) / 2
    ends = (start.at_mm + nearer, end.at_mm + nearer)
    out += arrows(p, move.shift_mm, move.turn_deg, ends, size)
    if move.nearest_mm is not None and move.least_clearance_mm <= RINGED_MM:
        text = f"{max(0.0, move.least_clearance_mm):.0f} mm"
        out += _ring(p, np.array(move.nearest_mm) + nearer, size * 0.16, text)
    return out


def arrows(
    p: Any,
    shift_mm: tuple[float, float, float],
    turn_deg: tuple[float, float, float],
    ends: tuple[Array, Array],
    size: float,
) -> list[Any]:
    """A straight arrow for the shift and one round for the turn, each with its figure."""
    out: list[Any] = []
    start, end = ends
    shift, turn = np.array(shift_mm), np.array(turn_deg)
    far, angle = float(np.linalg.norm(shift)), float(np.linalg.norm(turn))
    if far >= SHIFT_MM:
        out += _straight(p, start, end, size)
        out += _figure(p, start - 0.3 * size * (end - start) / far, f"{far:.0f} mm")
    if angle >= TURN_DEG:
        axis = turn / angle
        points = _arc(end, axis, np.deg2rad(angle), size * ARC_SHARE)
        out += _bent(p, points, size)
        beside = end + LABEL_SHARE * (points[len(points) // 2] - end)
        out += _figure(p, beside, f"{angle:.0f}°")
    return out


def _straight(p: Any, a: Array, b: Array, size: float) -> list[Any]:
    pv = pyvista_quiet()
    way = b - a
    far = float(np.linalg.norm(way))
    head = min(0.4 * far, 0.3 * size)
    arrow = pv.Arrow(
        start=a,
        direction=way,
        scale=far,
        tip_length=head / far,
        tip_radius=0.4 * head / far,
        shaft_radius=0.12 * head / far,
    )
    return [p.add_mesh(arrow, color=EDGE, ambient=0.6)]


def _arc(middle: Array, axis: Array, angle: float, radius: float) -> Array:
    """Points of an arc round an axis, the widest part of it towards the top."""
    side = np.cross(axis, [0.0, 0.0, 1.0])
    if np.linalg.norm(side) < 0.2:
        side = np.cross(axis, [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    other = np.cross(axis, side)
    t = np.linspace(-np.pi / 2 - angle / 2, -np.pi / 2 + angle / 2, ARC_POINTS)
    out: Array = middle + radius * (np.outer(np.cos(t), side) + np.outer(np.sin(t), other))
    return out


def _bent(p: Any, points: Array, size: float) -> list[Any]:
    pv = pyvista_quiet()
    line = pv.lines_from_points(points).tube(radius=0.022 * size, n_sides=10)
    way = points[-1] - points[-2]
    head = pv.Cone(
        center=points[-1], direction=way, height=0.2 * size, radius=0.08 * size, resolution=16
    )
    return [p.add_mesh(x, color=EDGE, ambient=0.6) for x in (line, head)]


def _ring(p: Any, at: Array, radius: float, text: str) -> list[Any]:
    pv = pyvista_quiet()
    out = []
    for normal in np.eye(3):
        ring = pv.Disc(
            center=at, inner=0.82 * radius, outer=radius, normal=normal, r_res=1, c_res=32
        )
        out.append(p.add_mesh(ring, color=RING, ambient=1.0, lighting=False))
    return out + _figure(p, at - [0.0, 0.0, 1.9 * radius], text)


def _figure(p: Any, at: Array, text: str) -> list[Any]:
    paper = {"text_color": "black", "shape_color": "white", "shape_opacity": 0.85, "bold": True}
    return [words_at(p, np.array([at]), [text], 15, **paper)]


def kinds_of_moves() -> list[tuple[str, bytes]]:
    """Each kind of move with a small picture: one word for one thing, as every page uses it."""
    half = np.array([120.0, 60.0, 30.0])
    kinds = (
        ("Slide it forward or aft, to port or starboard: no turn", (190.0, 0, 0), (0, 0, 0)),
        ("Lift it, lower it: straight up or down, no turn", (0, 0, -160.0), (0, 0, 0)),
        ("Tip it: one end down, the other up", (0, 0, 0), (0, 40.0, 0)),
        ("Lean it: one side down, the other up", (0, 0, 0), (40.0, 0, 0)),
        ("Swing it: kept level, its forward end to port or starboard", (0, 0, 0), (0, 0, 40.0)),
    )
    out = []
    for words, shift, turn in kinds:
        with plotter((300, 240)) as p:
            way, by = np.array(shift, dtype=float), np.array(turn, dtype=float)
            angle = float(np.linalg.norm(by))
            q = quat_about(by / angle, np.deg2rad(angle)) if angle else np.array([0.0, 0, 0, 1])
            start, end = Pose(-way / 2, np.array([0.0, 0, 0, 1])), Pose(way / 2, q)
            for pose, colour, opacity in ((start, MOVING, 0.15), (end, BODY, 1.0)):
                r = pose.rotation
                add_boxes(p, [(pose.at_mm, half, r)], colour, opacity)
            low, high = np.full(3, -150.0), np.full(3, 150.0)
            nearer = before_all(low, high, LOOKS[0])
            arrows(p, shift, turn, (start.at_mm + nearer, end.at_mm + nearer), 130.0)
            look(p, low, high, LOOKS[0])
            p.renderer.ResetCameraClippingRange()
            out.append((words, png_of(p)))
    return out
