"""One size tried at other values, nothing written: where does the answer for a piece change."""

from dataclasses import replace
from typing import Final

import numpy as np

from layout.boat.parts import Boat
from layout.errors import CoamingError
from layout.passage import Effort, Verdict, find_passage
from layout.verdict.question import SEATED_MM, Question, question, ways_in, with_beside
from layout.verdict.tolerance import follows
from viewer.page.reading import Look
from viewer.page.wire import Mm, Row
from viewer.words.names import mm, size_label
from viewer.work.gather_boat import pose_of
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result

STEPS: Final = 60_000  # of search for one value
CELLS: Final = 20_000  # of proof
NEAR_MM: Final = 0.5  # how near the two sides of a change are brought
REACH_MM: Final = 160.0  # how far from the size as it is a change is looked for
FIRST_MM: Final = 5.0


class TriedAt(Row):
    """The answer at one value of a size."""

    size: str
    mm: Mm
    verdict: str
    words: str


class _Trier:
    """Answers for one piece with one size moved."""

    def __init__(self, look: Look, result: Result, key: str, size: str) -> None:
        if look.builder is None or look.boat is None or key not in look.boat.pieces:
            raise CoamingError("That thing is not there any more")
        if size not in look.builder.sizes.measured:
            raise CoamingError("That size is not there any more")
        self.builder, self.key, self.size = look.builder, key, size
        self.row: PieceRow = result.piece(key)
        self.order = [p.key for p in result.pieces]
        self.now_mm = look.builder.sizes.measured[size].value_mm
        self.known: dict[float, str] = {}

    def at(self, value_mm: float) -> str:
        """The verdict at a value."""
        value_mm = round(value_mm, 3)
        if value_mm not in self.known:
            self.known[value_mm] = self._asked(value_mm)
        return self.known[value_mm]

    def _asked(self, value_mm: float) -> str:
        boat, found = self.builder.try_boat({self.size: value_mm - self.now_mm})
        if found or self.key not in boat.pieces:
            return "makes no sense"
        piece = boat.pieces[self.key]
        before = self.order[: self.order.index(self.key)]
        fitted = [*boat.there(), *(boat.pieces[k] for k in before if k in boat.pieces)]
        verdicts = []
        for way in ways_in(boat, piece):
            q = question(boat, piece, way, fitted, boat.clearance_mm)
            if q.rest_gap_mm < -SEATED_MM:
                return "place not free"
            if self._follows(boat, q):
                return "goes in"
            passage = find_passage(q.outer, Effort(STEPS, CELLS, 0, 1), q.inner)
            if passage.verdict is Verdict.GOES_IN:
                return "goes in"
            verdicts.append(passage.verdict)
        if verdicts and all(v is Verdict.CANNOT for v in verdicts):
            return "cannot"
        return "not settled"

    def _follows(self, boat: Boat, q: Question) -> bool:
        """True where the way that is known is proven again on this boat."""
        if not self.row.path or q.way.keys != self.row.way:
            return False
        if self.row.also_open:
            q = replace(q, way=with_beside(boat, q.way))
        path = tuple(pose_of(pose) for pose in self.row.path)
        shift = q.way.anchor - np.array(self.row.anchor_mm)
        return follows(q, path, shift, boat.clearance_mm)


def tried_at(look: Look, result: Result, key: str, size: str, value_mm: float) -> TriedAt:
    """The answer at one value. Raises CoamingError."""
    verdict = _Trier(look, result, key, size).at(value_mm)
    words = f"With {size_label(size)} at {mm(value_mm)}: {verdict}"
    return TriedAt(size=size, mm=value_mm, verdict=verdict, words=words)


def flip_of(
    look: Look, result: Result, key: str, size: str
) -> tuple[float | None, float | None, str]:
    """(the last value it goes in at, the first it does not, words). Raises CoamingError."""
    t = _Trier(look, result, key, size)
    here = t.at(t.now_mm) == "goes in"
    effect = next((d.effect_mm for d in t.row.deciding_sizes if d.key == size), 0.0)
    better = 1.0 if effect >= 0 else -1.0
    sides = [-better if here else better]
    if effect == 0.0:
        sides = [1.0, -1.0]
    for side in sides:
        found = _bracket(t, side, here)
        if found is None:
            continue
        near, far = found  # of the same answer as now, of the other
        while abs(far - near) > NEAR_MM:
            mid = (near + far) / 2
            if (t.at(mid) == "goes in") == here:
                near = mid
            else:
                far = mid
        goes, stops = (near, far) if here else (far, near)
        return goes, stops, _words(t, goes, stops)
    name = size_label(size)
    whole = "goes in" if here else "was not shown to go in"
    ends = " and ".join(f"{max(0.0, t.now_mm + side * REACH_MM):.0f} mm" for side in sides)
    return None, None, f"It {whole} at every value of {name} tried, to {ends}."


def _bracket(t: _Trier, side: float, here: bool) -> tuple[float, float] | None:
    """Two values between which the answer changes, going out in doubling steps."""
    near, step = t.now_mm, FIRST_MM
    while step <= REACH_MM:
        far = t.now_mm + side * step
        if far <= 0:
            return None
        if (t.at(far) == "goes in") != here:
            return near, far
        near, step = far, step * 2
    return None


def _words(t: _Trier, goes: float, stops: float) -> str:
    other = t.at(stops)
    word = {"cannot": "it cannot (proven)", "place not free": "its place is not free"}
    what = word.get(other, "it was not shown to go")
    name = size_label(t.size)
    spare = abs(t.now_mm - stops)
    return (
        f"It goes in with {name} at {goes:.1f} mm; at {stops:.1f} mm {what}. "
        f"As it is, {t.now_mm:.1f} mm, it is {spare:.1f} mm from there."
    )
