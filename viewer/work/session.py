"""One job worked out and worked out again: what has not changed is used again.

Read, boat, circuits, order of fitting, each piece, wiring: every step knows what it reads by a mark
of it, and is done again only when that mark has changed. A piece whose mark has changed first
tries its way or proof of the boat before, proven again on this one; the result says so.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from layout.errors import CoamingError, Stopped, nearest
from layout.job import JobFiles, read_job
from layout.known import mark
from layout.verdict.answers import Answer
from layout.verdict.fit import FitEffort, Fitter
from layout.verdict.order import fitting_order
from layout.verdict.remedies import RemedyEffort, remedies
from layout.verdict.tolerance import Ends
from routing.circuits.laying import CableEffort
from routing.wiring import wire
from viewer.work.assembling import assembled, differ_in_labels_only, fitted_now, relabelled
from viewer.work.described import Described
from viewer.work.fitting import WORKERS, Fits, Fitting, Known, befores
from viewer.work.gather_boat import remedy_row
from viewer.work.gather_ways import way_rows
from viewer.work.gather_wiring import wiring_rows
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result
from viewer.work.saved import Saved, canonical, fingerprint_of, latest
from viewer.work.saved import same as saved_same
from viewer.work.saved import save as keep
from viewer.work.unlabelled import standing_mark

STUCK: Final = (Answer.CANNOT.value, Answer.PLACE_NOT_FREE.value, Answer.NOT_SETTLED.value)
Told = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Asks:
    """What a person asks for: how much work, progress, a stop, and a clock if they set one.

    `fresh` works everything out from nothing; `clocked` tells whether the clock has run out;
    `shown` is called with each piece's answer as soon as it stands, `fitted` when all stand: with
    the result before, its pieces those of now.
    """

    work: float = 1.0
    seed: int = 1
    fresh: bool = False
    told: Told = lambda _: None
    stop: Callable[[], bool] | None = None
    clocked: Callable[[], bool] | None = None
    shown: Callable[[PieceRow], None] = lambda _: None
    fitted: Callable[[Result], None] = lambda _: None

    def ended(self) -> bool:
        """True when a person stops the work, or a clock they set has run out."""
        return any(ask is not None and ask() for ask in (self.stop, self.clocked))

    def telling(self, what: str) -> None:
        """Tell what is worked on. Raises Stopped when a person has stopped it."""
        if self.stop is not None and self.stop():
            raise Stopped("Stopped; nothing was written.")
        self.told(what)


@dataclass(slots=True)
class Session:
    """Answers for one job file, again and again; `saved` is the last answer."""

    path: Path
    saved: Saved | None = None
    _pieces: Known = field(default_factory=dict)
    _wiring: dict[bytes, dict[str, object]] = field(default_factory=dict)

    def beside(self, path: Path) -> "Session":
        """A session for a changed copy of the job elsewhere, that knows what this one knows."""
        other = Session(path, self.saved)
        other._pieces, other._wiring = dict(self._pieces), dict(self._wiring)
        return other

    def answer(self, asks: Asks | None = None) -> Result:
        """The whole result. Raises JobError with every problem of the files, Stopped."""
        asks = asks or Asks()
        files, fingerprint = self._read(asks)
        known = self._known(fingerprint, asks)
        if known is not None:
            return known
        found = Described.by(files)
        if asks.fresh:
            self.saved, self._pieces, self._wiring = None, {}, {}
        elif self.saved is None:
            self._remember(latest(self.path))
        before = self.saved
        if before is not None and differ_in_labels_only(before.result, files, asks):
            again = relabelled(before.result, found, fingerprint)
            return self._kept(Saved(canonical(again), before.proofs))
        with ThreadPoolExecutor(WORKERS + 1) as pool:
            try:
                # from nothing both at once; else what goes in is told first: it is soon known, and
                # the two would only wait for each other
                wiring = None if before is not None else pool.submit(self._wired, found, asks)
                fits = self._stand_as_before(files, asks) or self._fits(found, asks, pool)
                if wiring is None and before is not None:
                    asks.fitted(fitted_now(before, found, fits))
                if wiring is None:
                    wiring = pool.submit(self._wired, found, asks)
                rows = wiring.result()
            except BaseException:
                pool.shutdown(wait=True, cancel_futures=True)
                raise
        kept_from = self._kept_from(fits.rows)
        result = assembled(found, fits, rows, fingerprint, asks, kept_from)
        return self._kept(Saved(canonical(result), fits.proofs))

    def _read(self, asks: Asks) -> tuple[JobFiles, str]:
        """The files and their fingerprint, of one and the same moment. Raises JobError."""
        while True:
            files = read_job(self.path)
            fingerprint = fingerprint_of(files, asks.work, asks.seed)
            again = read_job(self.path)
            same = (again.job, again.hull, again.shop, again.marks) == (
                files.job, files.hull, files.shop, files.marks
            )  # fmt: skip
            if same:
                return files, fingerprint  # nobody wrote between the two

    def _stand_as_before(self, files: JobFiles, asks: Asks) -> Fits | None:
        """The pieces of the result before, where nothing that decides what goes in has changed."""
        if self.saved is None:
            return None
        before = self.saved.result
        asked = before.inputs
        if before.clocked or (asked.work, asked.seed) != (asks.work, asks.seed):
            return None
        if asked.standing != standing_mark(files):
            return None
        return Fits(list(before.pieces), dict(self.saved.proofs), False)

    def _kept(self, saved: Saved) -> Result:
        """Take a result as the last one, and keep it unless a clock cut it short."""
        self.saved = saved
        if not saved.result.clocked:
            keep(self.path, saved)
        return saved.result

    def _known(self, fingerprint: str, asks: Asks) -> Result | None:
        """The answer known for exactly these inputs."""
        if asks.fresh:
            return None
        if self.saved is not None and self.saved.result.inputs.fingerprint == fingerprint:
            return self.saved.result
        found = saved_same(self.path, fingerprint)
        if found is None:
            return None
        self._remember(found)
        return found.result

    def _remember(self, saved: Saved | None) -> None:
        """Take a kept result as the one before."""
        if saved is not None:
            self.saved = saved
            for row in saved.result.pieces:
                self._pieces[row.mark] = (row, saved.proofs.get(row.key))

    def _kept_from(self, pieces: list[PieceRow]) -> str | None:
        before = self.saved
        if before is None or not any(piece.kept for piece in pieces):
            return None
        return before.result.inputs.fingerprint

    # -- pieces ------------------------------------------------------------------------------------

    def _fits(self, found: Described, asks: Asks, pool: ThreadPoolExecutor) -> Fits:
        """A row for each piece in the order of fitting."""
        effort = FitEffort(asks.work, asks.seed, asks.told, asks.stop, asks.clocked)
        fitter = Fitter(Ends(found.builder), effort)
        fitting = Fitting(
            fitter,
            self._pieces,
            befores(self.saved),
            pool,
            asks.shown,
        )
        order = self._order_before(found)
        if order is not None and self._stuck_otherwise(fitter, order):
            order = None  # another order may do what none could before
        if order is None:
            order = self._order(found, asks, fitting)
            return fitting.fits(order)
        fitting.begin_all(order)
        fits = fitting.fits(order)
        before = {piece.key: piece for piece in self.saved.result.pieces} if self.saved else {}
        stuck = [row for row in fits.rows if row.verdict in STUCK]
        if any(before[r.key].verdict not in STUCK for r in stuck):
            # another order may do what the order before no longer does
            return fitting.fits(self._order(found, asks, fitting))
        return fits

    def _order(self, found: Described, asks: Asks, fitting: Fitting) -> list[str]:
        asks.told("the order of fitting")
        return fitting_order(found.boat, asks.seed, asks.told, fitting.begin, asks.ended)

    def _stuck_otherwise(self, fitter: Fitter, order: list[str]) -> bool:
        """True where a piece that was stuck is asked about a boat that has changed round it."""
        if self.saved is None:
            return False
        before = {piece.key: piece for piece in self.saved.result.pieces}
        for k, key in enumerate(order):
            if before[key].verdict in STUCK:
                mark = fitter.mark(fitter.asked(key, frozenset(order[:k])))
                if mark.hex() != before[key].mark:
                    return True
        return False

    def _order_before(self, found: Described) -> list[str] | None:
        """The order of the result before, where the same pieces are to be fitted."""
        if self.saved is None or found.boat.order:
            return None
        keys = [p.key for p in self.saved.result.pieces]
        wanted = {piece.key for piece in found.boat.pieces.values() if not piece.fixed_already}
        return keys if set(keys) == wanted else None

    # -- wiring ------------------------------------------------------------------------------------

    def _wired(self, found: Described, asks: Asks) -> dict[str, object]:
        job = found.files.job
        types = {k: t for k, t in found.files.types.items() if k in found.types_used()}
        key = mark(
            found.marks,
            [repr(c) for c in job.circuits.items()],
            repr(job.rates),
            repr(job.stock),
            repr(job.backbones),
            job.job.catalogue,
            job.job.volts,
            job.job.share_runs,
            job.job.bundling,
            repr(sorted(types.items())),
        )
        known = self._wiring.get(key)
        if known is not None:
            return known
        wiring = wire(found.circuits, asks.telling, CableEffort(ended=asks.ended))
        made = {**wiring_rows(wiring), **way_rows(wiring)}
        if not asks.ended():  # what was cut short is not used again
            self._wiring[key] = made
        return made

    # -- remedies ----------------------------------------------------------------------------------

    def remedied(
        self, keys: list[str], asks: Asks | None = None, up_to_mm: float | None = None
    ) -> Result:
        """The result with what would make some pieces go, looked for where it was not yet.

        `up_to_mm` tells how large a board is worth trying; it is then looked for in any case.
        """
        asks = asks or Asks()
        result = self.answer(asks)
        todo = [k for k in keys if result.piece(k).remedies is None or up_to_mm is not None]
        if not todo or self.saved is None:
            return result
        boat = Described.by(read_job(self.path)).boat
        order = [p.key for p in result.pieces]
        rows = []
        for row in result.pieces:
            if row.key in todo:
                asks.told(f"what would make {boat.pieces[row.key].label} go")
                before = [*boat.there(), *(boat.pieces[k] for k in order[: order.index(row.key)])]
                effort = RemedyEffort(seed=asks.seed, told=asks.telling, up_to_mm=up_to_mm)
                found = remedies(boat, boat.pieces[row.key], before, effort)
                row = row.model_copy(update={"remedies": tuple(remedy_row(r) for r in found)})
                if up_to_mm is None:
                    self._pieces[row.mark] = (row, self.saved.proofs.get(row.key))
            rows.append(row)
        again = result.model_copy(update={"pieces": tuple(rows)})
        if up_to_mm is not None:  # an answer to another question than the usual one
            return canonical(again)
        return self._kept(Saved(canonical(again), self.saved.proofs))

    def nested(self, asks: Asks | None = None) -> Result:
        """The result with its plates cut from sheet."""
        from viewer.work.nested import nested  # the solver is slow to load

        asks = asks or Asks()
        result = self.answer(asks)
        asks.telling("the plates from sheet")
        row = nested(read_job(self.path), result.benches)
        return canonical(result.model_copy(update={"nesting": row}))

    def stuck(self, result: Result) -> list[str]:
        """The pieces that do not simply go in."""
        return [piece.key for piece in result.pieces if piece.verdict in STUCK]


def find_remedies(
    path: Path, name: str, asks: Asks, up_to_mm: float | None = None
) -> tuple[Result, str]:
    """(the result with what would make a piece go, its key). Raises CoamingError."""
    session = Session(path)
    result = session.answer(asks)
    keys = [piece.key for piece in result.pieces]
    named = [k for k in keys if name in (k, result.labels.get(f"piece:{k}"))]
    if len(named) != 1:
        near = nearest(name, [*keys, *(result.labels[f"piece:{k}"] for k in keys)])
        hint = f": did you mean '{near}'?" if near else f": there are {', '.join(keys)}"
        raise CoamingError(f"{path.name}: no board or piece to be fitted is named '{name}'{hint}")
    return session.remedied(named, asks, up_to_mm), named[0]
