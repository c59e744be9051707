"""The answers for a boat's pieces: each begun as soon as its place in the order is known.

Several are worked on at a time, for none depends on another's answer; what is known by its mark
is not asked again.
"""

from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout.verdict.answers import PieceFit
from layout.verdict.fit import Asked, Before, Fitter
from viewer.work.gather_boat import piece_row, pose_of
from viewer.work.piece_rows import PieceRow
from viewer.work.saved import Proof, Saved

WORKERS: Final = 2  # the kernels run outside Python's lock
Known = dict[str, tuple[PieceRow, Proof | None]]  # by mark


@dataclass(frozen=True, slots=True)
class Fits:
    """A row for each piece in the order of fitting, proofs by key, whether a clock ended any."""

    rows: list[PieceRow]
    proofs: dict[str, Proof]
    clocked: bool


@dataclass(slots=True)
class Fitting:
    """Answers being worked out for one boat."""

    fitter: Fitter
    known: Known
    before: Callable[[Asked], Before | None]
    pool: ThreadPoolExecutor
    shown: Callable[[PieceRow], None] = lambda _: None
    _marks: dict[str, bytes] = field(default_factory=dict)
    _begun: dict[str, Future[PieceFit]] = field(default_factory=dict)

    def begin(self, key: str, fitted: frozenset[str]) -> None:
        """Begin on one piece, when those fitted before it are known."""
        asked = self.fitter.asked(key, fitted)
        mark = self.fitter.mark(asked)
        self._marks[key] = mark
        hexed = mark.hex()
        if hexed not in self.known and hexed not in self._begun:
            before = self.before(asked)
            self._begun[hexed] = self.pool.submit(self.fitter.answer, asked, before)

    def begin_all(self, order: list[str]) -> None:
        """Begin on every piece of an order."""
        for k, key in enumerate(order):
            self.begin(key, frozenset(order[:k]))

    def fits(self, order: list[str]) -> Fits:
        """The answers in the order of fitting. Raises what a worker raised."""
        rows, proofs, clocked = [], {}, False
        for key in order:
            mark = self._marks[key]
            hexed = mark.hex()
            if hexed not in self.known:
                f = self._begun[hexed].result()
                proof = f.passage.proof if f.passage is not None else None
                row = piece_row(f, self.fitter.boat, mark)
                if f.passage is not None and f.passage.clocked:
                    clocked = True  # what a clock cut short is not used again
                else:
                    self.known[hexed] = (row, proof)
            else:
                row, proof = self.known[hexed]
            rows.append(row)
            self.shown(row)
            if proof is not None:
                proofs[key] = proof
        return Fits(rows, proofs, clocked)


def befores(saved: Saved | None) -> Callable[[Asked], Before | None]:
    """The way or proof of the result before, for a piece whose walls have changed."""
    rows: Mapping[str, PieceRow] = {}
    if saved is not None:
        rows = {p.key: p for p in saved.result.pieces}

    def before(asked: Asked) -> Before | None:
        row = rows.get(asked.piece.key)
        if row is None or saved is None:
            return None
        path = tuple(pose_of(pose) for pose in row.path)
        return Before(row.way, np.array(row.anchor_mm), path, saved.proofs.get(row.key))

    return before
