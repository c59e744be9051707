"""A board that was arranged, answered once more as the job's own: also with every size at its ±."""

from dataclasses import replace

from layout.boat.build import Builder
from layout.job.reading import JobFiles
from layout.verdict.answers import PieceFit
from layout.verdict.fit import FitEffort, Fitter
from layout.verdict.tolerance import Ends
from viewer.work.arranged_rows import ArrangedRow
from viewer.work.session import Asks


def with_sets(files: JobFiles, row: ArrangedRow) -> JobFiles:
    """The files as they would be with what was found."""
    board = files.job.boards[row.board]
    parts = dict(board.parts)
    update: dict[str, object] = {}
    for path, value in row.sets:
        told = list(value) if isinstance(value, tuple) else value
        if path[2] == "parts":
            told = int(told) if path[4] == "turn" and isinstance(told, float) else told
            parts[path[3]] = parts[path[3]].model_copy(update={path[4]: told})
        else:
            update[path[2]] = told
    changed = board.model_copy(update={**update, "parts": parts})
    boards = {**files.job.boards, row.board: changed}
    return replace(files, job=files.job.model_copy(update={"boards": boards}))


def checked(files: JobFiles, row: ArrangedRow, asks: Asks) -> PieceFit | None:
    """The board's own verdict in the boat; None where the rest of the job cannot be built yet."""
    builder = Builder(with_sets(files, row))
    boat, found = builder.try_boat()
    if found or row.board not in boat.pieces:
        return None
    asks.telling(f"{row.label} once more, with every size at its ends")
    effort = FitEffort(asks.work, asks.seed, asks.told, asks.stop, asks.clocked)
    fitter = Fitter(Ends(builder), effort)
    return fitter.answer(fitter.asked(row.board, frozenset()))
