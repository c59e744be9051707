"""Arrange a board of a job, or tell which plates go: asked by the command line and the page."""

from dataclasses import replace
from typing import Final

import numpy as np

from layout.bench.arrange.door import ArrangeEffort, Arrangement, arrange
from layout.bench.arrange.kit import Kit, turned_box
from layout.bench.frontier import PassEffort
from layout.bench.going import GoingBoard, board_that_goes
from layout.bench.wanted import Wanted
from layout.boat.faces import direction_of
from layout.boat.reader import title
from layout.geometry.frames import Array
from layout.job.reading import JobFiles
from layout.passage import Verdict
from layout.verdict.answers import PieceFit
from viewer.work.arranged_checked import checked
from viewer.work.arranged_rows import (
    ArrangedBoardRow,
    ArrangedPartRow,
    ArrangedRow,
    PlateThatGoesRow,
)
from viewer.work.arranging import BoardToArrange, board_to_arrange
from viewer.work.gather_boat import boxes_of, pose_row, triple
from viewer.work.session import Asks

ROUND_MM: Final = 0.5
Path = tuple[str, ...]
Sets = list[tuple[Path, tuple[str | float, ...] | float | str | None]]


def arranged(files: JobFiles, name: str, asks: Asks, aim: str | None = None) -> ArrangedRow:
    """A board arranged so that it goes in, at the worst end of every ± where that can be had.

    Raises JobError, CoamingError, Stopped.
    """
    board = board_to_arrange(files, name)
    wanted = board.wanted if aim is None else replace(board.wanted, aim=aim)
    row = _answer(board, wanted, asks)
    if len(row.boards) != 1 or row.boards[0].afterwards or board.model.panel:
        return row
    fit = checked(files, row, asks)
    if fit is None or fit.worst in (None, Verdict.GOES_IN):
        return _told_worst(row, fit, False)
    more = max((d.plus_minus_mm for d in fit.deciding), default=0.0)
    boat = board.site.boat
    roomy = replace(boat, clearance_mm=boat.clearance_mm + 2 * more)
    again = _answer(replace(board, site=replace(board.site, boat=roomy)), wanted, asks)
    if len(again.boards) == 1 and not again.boards[0].afterwards:
        second = checked(files, again, asks)
        if second is not None and second.worst is Verdict.GOES_IN:
            return _told_worst(again, second, True)
    return _told_worst(row, fit, False)


def _panel(board: BoardToArrange, wanted: Wanted, effort: ArrangeEffort) -> ArrangedRow:
    """A face that is there: its parts where saw, structure behind and links let them; nothing is
    carried in.
    """
    found = arrange(wanted.kit, "cable", replace(effort, proof=0.0))
    if found.left:
        return _row(board, wanted, (), no_room=found.left)
    row = ArrangedBoardRow(
        plate_mm=(*wanted.most_mm, wanted.plate_mm),
        at_mm=_from_corner(board, board.site.middle),
        parts=tuple(_part(wanted.kit, found, p.key) for p in wanted.kit.parts),
        link_mm=found.link_mm,
        cost=found.cost,
        bound=found.bound,
        proven_best=found.proven_best,
        aim="cable",
        way=(),
        least_clearance_mm=None,
        solid_mm=None,
        afterwards=(),
        body=(),
        path=(),
    )
    return _row(board, wanted, (row,))


def _from_corner(board: BoardToArrange, middle: Array) -> tuple[float, float, float]:
    """A place in the hull as the job writes it: from the space's corner."""
    low = board.site.boat.spaces[board.site.like.space].low
    return triple(np.round((middle - low) / ROUND_MM) * ROUND_MM)


def _told_worst(row: ArrangedRow, fit: PieceFit | None, roomier: bool) -> ArrangedRow:
    if fit is None:
        return row
    worst = fit.worst.value if fit.worst is not None else fit.answer.value
    decides = fit.deciding[0].key if fit.deciding else ""
    return row.model_copy(update={"worst_end": worst, "decides": decides, "roomier": roomier})


def _answer(board: BoardToArrange, wanted: Wanted, asks: Asks) -> ArrangedRow:
    effort = PassEffort(seed=asks.seed, told=asks.telling, stop=asks.stop)
    arranging = ArrangeEffort(seed=asks.seed, told=asks.telling, stop=asks.stop)
    if board.model.panel:
        return _panel(board, wanted, arranging)
    no_room = _no_room(wanted, arranging)
    if no_room:
        return _row(board, wanted, (), no_room=no_room)
    going = board_that_goes(board.site, wanted, effort, arranging)
    none = going.impossible
    plates = sorted(going.plates, key=lambda p: -p[0] * p[1])
    return _row(
        board,
        wanted,
        tuple(_board(board, wanted, b) for b in going.boards),
        plates=tuple(
            PlateThatGoesRow(length_mm=float(np.floor(w)), height_mm=float(np.floor(h)))
            for w, h in plates
        ),
        impossible=None if none is None else (none.part, none.evidence),
        joined=tuple(board.link_marks[n] for n in going.joined),
        asked=going.asked,
    )


def _row(
    board: BoardToArrange,
    wanted: Wanted,
    rows: tuple[ArrangedBoardRow, ...],
    plates: tuple[PlateThatGoesRow, ...] = (),
    impossible: tuple[str, str] | None = None,
    no_room: tuple[str, ...] = (),
    joined: tuple[str, ...] = (),
    asked: int = 0,
) -> ArrangedRow:
    """The answer for a board; one that goes in whole is told with what is to be written."""
    turn = board.site.like.turn
    whole = len(rows) == 1 and not rows[0].afterwards
    return ArrangedRow(
        board=board.key,
        label=board.label,
        space=board.site.like.space,
        front=direction_of(turn[:, 2]),
        right=direction_of(turn[:, 0]),
        top=direction_of(turn[:, 1]),
        boards=rows,
        plates=plates,
        thick_mm=wanted.tall_mm(),
        impossible=impossible,
        no_room=no_room,
        joined=joined,
        asked=asked,
        sets=tuple(_sets(board, rows[0])) if whole else (),
    )


def _no_room(wanted: Wanted, effort: ArrangeEffort) -> tuple[str, ...]:
    """Parts that find no place on the largest plate there may be, whatever goes in."""
    kit = replace(wanted.kit, most_mm=wanted.most_mm)
    short = replace(effort, rounds=300, starts=2, proof=0.0)
    return arrange(kit, "plate", short).left


def _board(board: BoardToArrange, wanted: Wanted, b: GoingBoard) -> ArrangedBoardRow:
    found = b.arrangement
    wide, high = found.plate_mm
    whole = (_up(wide), _up(high))
    return ArrangedBoardRow(
        plate_mm=(*whole, wanted.plate_mm),
        at_mm=_from_corner(board, b.middle),
        parts=tuple(_part(wanted.kit, found, key) for key in b.parts),
        link_mm=found.link_mm,
        cost=found.cost,
        bound=found.bound,
        proven_best=found.proven_best,
        aim=wanted.aim,
        way=b.way,
        least_clearance_mm=b.passage.least_clearance_mm,
        solid_mm=b.solid_mm,
        afterwards=b.afterwards,
        body=boxes_of(b.piece.body),
        path=tuple(pose_row(p) for p in b.passage.path),
    )


def _up(x: float) -> float:
    """Up to the next half millimetre."""
    return float(np.ceil(x / ROUND_MM - 1e-6) * ROUND_MM)


def _part(kit: Kit, found: Arrangement, key: str) -> ArrangedPartRow:
    at = next(p for p in found.places if p.key == key)
    part = next(p for p in kit.parts if p.key == key)
    rows = np.array([turned_box(b, at.turn_deg // 90) for b in part.boxes])
    low, high = rows[:, [0, 1, 4]].min(axis=0), rows[:, [2, 3, 5]].max(axis=0)
    foot = np.array([at.x, at.y, 0.0])
    return ArrangedPartRow(
        key=key,
        foot=(at.x, at.y),
        turn_deg=at.turn_deg,
        low=triple(low + foot),
        high=triple(high + foot),
    )


def _sets(board: BoardToArrange, row: ArrangedBoardRow) -> Sets:
    """What is written in the job for one board."""
    model = board.model
    base = ("boards", board.key)
    thick = model.plate[2]
    out: Sets = []
    if not model.panel:
        out.append(((*base, "plate"), (row.plate_mm[0], row.plate_mm[1], thick)))
        out.append(((*base, "at"), tuple(row.at_mm)))
        if model.place is not None:  # told in words until now
            out.append(((*base, "place"), None))
    for p in row.parts:
        out.append(((*base, "parts", p.key, "at"), tuple(p.foot)))
        if p.turn_deg or model.parts[p.key].turn:
            out.append(((*base, "parts", p.key, "turn"), float(p.turn_deg)))
    return out


def called(files: JobFiles, row: ArrangedRow) -> tuple[dict[str, str], dict[str, str]]:
    """What people call the board's parts, and the openings."""
    parts = files.job.boards[row.board].parts
    labels = {
        k: p.label or (files.types[p.type].label if p.type in files.types else k)
        for k, p in parts.items()
    }
    openings = {k: o.label or title(k) for k, o in files.hull.openings.items()}
    return labels, openings
