"""What the page shows of each piece's answer, and what a person tries on it."""

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk, Edit
from viewer.page.edits.changes import Change
from viewer.page.panels.gear.placing import moved_at
from viewer.page.panels.ways.frames import FrameRow, frames_of, outline_of
from viewer.page.panels.ways.trying import TriedAt, flip_of, tried_at
from viewer.page.tries import beside
from viewer.page.wire import Ask, DeskRow, Mm, Panel, Row
from viewer.words.moves import whole_words
from viewer.words.names import Names, size_label
from viewer.words.pieces import PieceWords, move_words, note_words
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result

PANEL = Panel("ways")


class StepRow(Row):
    """One step of a way in."""

    words: str
    note: str
    least_mm: Mm


class DecidesRow(Row):
    """A size that decides, the one to measure again first."""

    key: str
    words: str
    value_mm: Mm
    plus_minus_mm: Mm
    how: str
    effect_mm: Mm
    share: Mm


class WayRow(Row):
    """One piece's answer in words."""

    key: str
    label: str
    verdict: str
    good: bool
    gap: str
    decides: str
    at_rest: str
    held: str
    way: str
    evidence: str
    out_again: str
    take_out: str
    advice: str
    steps: tuple[StepRow, ...]
    deciding: tuple[DecidesRow, ...]
    clashes: tuple[str, ...]
    clash_keys: tuple[str, ...]
    """The boxes it clashes with, to be drawn."""
    free_by_mm: tuple[Mm, Mm, Mm] | None
    free_words: str
    remedies: tuple[str, ...] | None
    """Null where they were not looked for."""
    mass_kg: float
    kept: bool


class WaysRow(Row):
    """Every piece, in the order of fitting."""

    pieces: tuple[WayRow, ...]


class OfPiece(Ask):
    """A piece or board."""

    key: str = Field(max_length=60)
    seen: str = ""


class OfSize(OfPiece):
    """A piece and a size that decides about it."""

    size: str = Field(max_length=200)
    mm: float | None = None


class FramesRow(Row):
    """A way to be played: poses with the room at each, and the tightest."""

    key: str
    frames: tuple[FrameRow, ...]
    tightest: int


class OutlineRow(Row):
    """An opening and the piece's outlines, to be laid on one another."""

    opening: str
    opening_mm: tuple[Mm, Mm]
    radius_mm: Mm
    outlines: tuple[tuple[Mm, Mm], ...]
    """Its least outlines seen along each of its own three directions."""
    words: tuple[str, ...]


class FlipRow(Row):
    """Where the answer changes along one size."""

    size: str
    words: str
    goes_mm: Mm | None
    stops_mm: Mm | None


@PANEL.shows_of(WaysRow)
def shows(result: Result, desk: Desk) -> WaysRow:
    """Every piece's answer in words."""
    del desk
    names = Names(result)
    return WaysRow(pieces=tuple(_way(result, row, names) for row in result.pieces))


def _way(result: Result, row: PieceRow, names: Names) -> WayRow:
    p = PieceWords(result, row, names)
    steps = tuple(
        StepRow(
            words=whole_words(m, names),
            note=note_words(m.least_clearance_mm, m.near_fixed, names, m.step),
            least_mm=m.least_clearance_mm,
        )
        for m in row.moves
    )
    deciding = tuple(
        DecidesRow(
            key=d.key,
            words=size_label(d.key),
            value_mm=d.value_mm,
            plus_minus_mm=d.plus_minus_mm,
            how=d.how,
            effect_mm=d.effect_mm,
            share=d.share,
        )
        for d in row.deciding_sizes
    )
    clashes = (*row.clashes, *row.rooms_taken)
    free = "" if row.free_by_mm is None else f"Move it {move_words(row.free_by_mm)}"
    remedies = None if row.remedies is None else tuple(p.remedy(r) for r in row.remedies)
    return WayRow(
        key=row.key,
        label=p.label,
        verdict=row.verdict,
        good=row.in_order,
        gap=p.gap,
        decides=p.decides,
        at_rest=p.at_rest,
        held=p.held,
        way=p.way,
        evidence=p.evidence if row.way or row.verdict != "there already" else "",
        out_again=p.out_again,
        take_out=p.take_out,
        advice=p.advice,
        steps=steps,
        deciding=deciding,
        clashes=tuple(p.clash(c) for c in clashes),
        clash_keys=tuple(c.other for c in row.clashes) + ((row.nearly_touching,) * (not clashes)),
        free_by_mm=row.free_by_mm,
        free_words=free,
        remedies=remedies,
        mass_kg=result.stand(row.key).mass_kg,
        kept=row.kept,
    )


def current(desk: Desk) -> Result:
    """The answer, where it is that of the files as they are. Raises CoamingError."""
    if desk.live.result is None or desk.live.result_of != desk.revision:
        raise CoamingError("The answer is being worked out: a moment, then try again")
    return desk.live.result


def pieces_now(desk: Desk) -> Result:
    """The same where the pieces alone are those of the files as they are."""
    if desk.live.pieces is None or desk.live.pieces_of != desk.revision:
        raise CoamingError("The answer is being worked out: a moment, then try again")
    return desk.live.pieces


@PANEL.command("frames", OfPiece, FramesRow)
def frames(desk: Desk, ask: OfPiece) -> FramesRow:
    """The way of a piece as poses, each with its room."""
    result = pieces_now(desk)
    rows = frames_of(desk.look(), result, ask.key)
    # what it is set down on is no tight place
    held = {Names(result).box(key) for key in result.stand(ask.key).held_by}
    free = [n for n, r in enumerate(rows) if not r.seat and r.near not in held]
    tightest = min(free or range(len(rows)), key=lambda n: rows[n].room_mm)
    return FramesRow(key=ask.key, frames=rows, tightest=tightest)


@PANEL.command("outline", OfPiece, OutlineRow)
def outline(desk: Desk, ask: OfPiece) -> OutlineRow:
    """What is too big for what: the opening and the outlines of the piece."""
    result = pieces_now(desk)
    found = outline_of(desk.look(), result, ask.key)
    names = Names(result)
    return OutlineRow(
        opening=names.opening(found.opening),
        opening_mm=found.opening_mm,
        radius_mm=found.radius_mm,
        outlines=found.outlines,
        words=found.words(names),
    )


@PANEL.command("remedies", OfPiece, DeskRow)
def remedies(desk: Desk, ask: OfPiece) -> DeskRow:
    """Look for what would make a piece go; the answer is told again with it."""
    result = current(desk)
    live = desk.live
    if live.session is None:
        raise CoamingError("The answer is being worked out: a moment, then try again")
    of = live.result_of

    session = live.session.beside(desk.path)  # the desk's own goes on with what comes meanwhile
    with beside(desk) as asks:
        result = session.remedied([ask.key], asks)
    if live.result_of == of == desk.revision:
        live.took(result, of)
    return desk.state()


@PANEL.command("free", OfPiece, DeskRow)
def free(desk: Desk, ask: OfPiece) -> DeskRow:
    """Move a piece by the shortest straight move that frees its place: it was checked."""
    row = pieces_now(desk).piece(ask.key)
    if row.free_by_mm is None:
        raise CoamingError("No straight move within a metre frees it: choose another place")
    job = desk.tables()[0]
    group = "boards" if ask.key in job.get("boards", {}) else "pieces"
    at = moved_at(desk.look(), group, ask.key, job[group][ask.key]["at"], _outward(row.free_by_mm))
    label = desk.look().boat.pieces[ask.key].label  # type: ignore[union-attr]
    words = f"{label} moved {move_words(row.free_by_mm)}, where it stands free"
    change = Change(path=(group, ask.key, "at"), value=at)
    return desk.edit(Edit(words, (), (change,), ask.seen))


def _outward(by_mm: tuple[float, float, float]) -> tuple[float, float, float]:
    """A move rounded away from nothing to the half millimetre, so that it still frees."""
    x, y, z = ((-1 if v < 0 else 1) * -(-abs(v) * 2 // 1) / 2 for v in by_mm)
    return x, y, z


@PANEL.command("at", OfSize, TriedAt)
def at(desk: Desk, ask: OfSize) -> TriedAt:
    """The answer if one size were another; nothing is written."""
    if ask.mm is None:
        raise CoamingError("Type the size to try")
    return tried_at(desk.look(), pieces_now(desk), ask.key, ask.size, ask.mm)


@PANEL.command("flip", OfSize, FlipRow)
def flip(desk: Desk, ask: OfSize) -> FlipRow:
    """Where along one size the answer changes."""
    goes, stops, words = flip_of(desk.look(), pieces_now(desk), ask.key, ask.size)
    return FlipRow(size=ask.size, words=words, goes_mm=goes, stops_mm=stops)
