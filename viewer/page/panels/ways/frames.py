"""A way in as poses to be drawn one after the other, and outlines laid on an opening."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.boat.parts import Boat
from layout.errors import CoamingError
from layout.passage.free import clearance_at
from layout.passage.search.plan import pose_between
from layout.verdict.question import Question, question, ways_in, with_beside
from viewer.page.reading import Look
from viewer.page.wire import Mm, Row
from viewer.words.names import Names, times
from viewer.work.gather_boat import pose_of, pose_row
from viewer.work.piece_rows import PoseRow
from viewer.work.rows import Result

EACH_MM: Final = 25.0  # between two frames
EACH_DEG: Final = 4.0
MOST_EACH: Final = 40  # frames of one move
FAR_MM: Final = 200.0  # room beyond this is not told apart
TURNS_TRIED: Final = 90  # of an outline, to find its least rectangle


class FrameRow(Row):
    """A pose on the way: which step it belongs to, and the room there."""

    step: int
    pose: PoseRow
    room_mm: Mm
    near: str
    """What is nearest, in words; empty where nothing is."""
    seat: bool


def asked(look: Look, result: Result, key: str) -> tuple[Boat, Question]:
    """The passage question a piece's answer is of. Raises CoamingError."""
    boat = look.boat
    if boat is None or key not in boat.pieces:
        raise CoamingError("That thing is not there any more")
    row = result.piece(key)
    order = [p.key for p in result.pieces]
    before = [*boat.there(), *(boat.pieces[k] for k in order[: order.index(key)])]
    way = next((w for w in ways_in(boat, boat.pieces[key]) if w.keys == row.way), None)
    if way is None:
        raise CoamingError("It has no way in through an opening: there is nothing to show")
    if row.also_open:
        way = with_beside(boat, way)
    return boat, question(boat, boat.pieces[key], way, before, boat.clearance_mm)


def frames_of(look: Look, result: Result, key: str) -> tuple[FrameRow, ...]:
    """The poses of a way with the exact room at each. Raises CoamingError."""
    row = result.piece(key)
    if not row.moves:
        raise CoamingError("There is no way to play: it was not shown to go in")
    _, q = asked(look, result, key)
    problem, names = q.outer, Names(result)
    out: list[FrameRow] = []
    for n, move in enumerate(row.moves):
        a, b = pose_of(move.start), pose_of(move.end)
        far = float(np.linalg.norm(b.at_mm - a.at_mm))
        turn = max(abs(t) for t in move.turn_deg)
        many = int(np.clip(max(far / EACH_MM, turn / EACH_DEG), 2, MOST_EACH))
        for i in range(0 if n == 0 else 1, many + 1):
            pose = pose_between(a, b, i / many)
            room, touch = clearance_at(problem, pose)
            out.append(
                FrameRow(
                    step=n,
                    pose=pose_row(pose),
                    room_mm=float(np.clip(room, 0.0, FAR_MM)),
                    near=names.box(touch.fixed) if touch is not None and room < FAR_MM else "",
                    seat=move.step == "seat",
                )
            )
    return tuple(out)


@dataclass(frozen=True, slots=True)
class Outline:
    """An opening's clear size, and a piece's least outlines along its own three directions."""

    opening: str
    opening_mm: tuple[float, float]
    radius_mm: float
    outlines: tuple[tuple[float, float], ...]
    evidence: str

    def words(self, names: Names) -> tuple[str, ...]:
        """What is too big for what, in sentences."""
        clear = times(*sorted(self.opening_mm, reverse=True))
        corner = f", corners of {self.radius_mm:.0f} mm" if self.radius_mm else ""
        out = [f"{names.opening(self.opening)} is {clear} clear{corner}."]
        least = min(self.outlines, key=max)
        small = times(*sorted(least, reverse=True))
        out.append(f"Held straight, the smallest outline of the piece is {small}.")
        a, b = sorted(least, reverse=True), sorted(self.opening_mm, reverse=True)
        if a[0] > b[0] or a[1] > b[1]:
            over = max(a[0] - b[0], a[1] - b[1])
            out.append(f"That is {over:.0f} mm too much; tilting it does not help: it was proven.")
        else:
            out.append(
                "Straight it would pass: what stops it is the room behind the opening, where it "
                "has to turn or be let down."
            )
        return tuple(out)


def outline_of(look: Look, result: Result, key: str) -> Outline:
    """The narrowest opening on the way of a piece and its outlines. Raises CoamingError."""
    _, q = asked(look, result, key)
    body = q.piece.body
    corners = body.corner_array().reshape(-1, 3)
    outlines = []
    for k in range(3):
        flat = np.delete(corners, k, axis=1)
        outlines.append(_least_rectangle(flat))
    o = min(q.way.openings, key=lambda x: float(min(x.size)))
    size = np.minimum(o.size, o.inner_size)
    return Outline(
        o.key,
        (float(size[0]), float(size[1])),
        o.radius_mm,
        tuple(outlines),
        result.piece(key).evidence,
    )


def _least_rectangle(flat: np.ndarray) -> tuple[float, float]:
    """Width and height of the rectangle round an outline that is narrowest, of turns tried."""
    best = (np.inf, np.inf)
    for angle in np.linspace(0.0, np.pi / 2, TURNS_TRIED, endpoint=False):
        c, s = np.cos(angle), np.sin(angle)
        x = flat @ np.array([[c, -s], [s, c]])
        w, h = np.ptp(x, axis=0)
        if min(w, h) < min(best) - 1e-9:
            best = (float(w), float(h))
    return best
