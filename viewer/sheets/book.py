"""The job's book as data: pictures, moves, circuits and lists in words; sheets only set it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from viewer.scene.moves import kinds_of_moves, strip
from viewer.scene.pictures import inside, whole_boat
from viewer.sheets.paper.blocks import (
    Block,
    Facts,
    Grid,
    Heading,
    Paper,
    Photo,
    Photos,
    Text,
    Ticks,
)
from viewer.words.circuits import (
    bore_todo,
    cut_words,
    drop_words,
    full_words,
    fuse_words,
    percent_words,
    size_words,
    through_words,
)
from viewer.words.lists import lists_of
from viewer.words.moves import whole_words
from viewer.words.names import Names, joined, mm, size_label
from viewer.words.pieces import PieceWords, note_words
from viewer.words.standing import stands_words
from viewer.words.steps import CAUTIONS, IN_ORDER, parted_steps
from viewer.words.table import Table
from viewer.words.tables import wiring_tables
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result

KINDS_TITLE: Final = "What the moves are called"
KINDS_NOTE: Final = (
    "Each step is one thing, or two at most. The faint box is where it begins; the ring is where "
    "it comes nearest, with the least room it is proven to have."
)
NOT_IN_ORDER: Final = "Not in order yet: {} to be put right first."
FIRST_FEW: Final = 6  # of what must be done, on the first page
STRIP: Final = 3  # pictures of a way side by side
Told = Callable[[str], None]


def book_paper(result: Result, told: Told = lambda _: None) -> tuple[Paper, bytes]:
    """The whole book, and the picture of the boat. Long work: `told` before each picture."""
    names = Names(result)
    told("picture of the boat")
    boat = whole_boat(result)
    paper = Paper(result.job, f"{result.hull}: what goes in, how, and how it is wired")
    _answer(paper, result, names, boat)
    _to_do(paper, result, names)
    _things(paper, result, names, told)
    _spaces(paper, result, names, told)
    _wiring(paper, result, names)
    paper.add(Heading("Caution"), Ticks(CAUTIONS, "plain"))
    made = f"coaming {result.inputs.coaming}, result {result.inputs.fingerprint}"
    paper.add(Text(made, "small"))
    return paper, boat


def _answer(paper: Paper, result: Result, names: Names, boat: bytes) -> None:
    """The answer on one page: does it go, is it in order, what it takes, what comes first."""
    steps, e = parted_steps(result, names), result.estimate
    go = sum(p.verdict in ("goes in", "there already") for p in result.pieces)
    whole = sum(c.no_way is None for c in result.circuits)
    money = f"{e.net:,.2f} {e.currency} net".replace(",", " ")
    unpriced = f", {e.unpriced} lines of goods without a price" if e.unpriced else ""
    paper.add(
        Heading("The answer"),
        Text(IN_ORDER if result.in_order else NOT_IN_ORDER.format(len(steps.must)), "strong"),
        Facts(
            (
                ("Goes in", f"{go} of {len(result.pieces)} boards and pieces"),
                ("Cables", f"{whole} of {len(result.circuits)} have a way and a length"),
                ("It takes", f"{e.hours.low:.0f} to {e.hours.high:.0f} h; {money}{unpriced}"),
            )
        ),
        Ticks(steps.must[:FIRST_FEW], "number"),
        Grid(summary(result, names)),
        Photos((Photo(boat, f"{result.hull}: spaces, gear and cables"),), 1),
    )


def _to_do(paper: Paper, result: Result, names: Names) -> None:
    """Must, should, shopping and notes, each by itself."""
    steps = parted_steps(result, names)
    paper.add(Heading("What to do"))
    for title, items in (
        ("Must be put right first", steps.must),
        ("Should be improved", steps.should),
        ("To buy, larger than it looks", steps.shopping),
        ("Good to know", steps.notes),
    ):
        if items:
            paper.add(Heading(title, 2), Ticks(items))


def _things(paper: Paper, result: Result, names: Names, told: Told) -> None:
    paper.add(Heading("Boards and pieces, in the order of fitting", new_page=True))
    kinds = tuple(Photo(png, words) for words, png in kinds_of_moves())
    paper.add(Heading(KINDS_TITLE, 2), Text(KINDS_NOTE, "small"), Photos(kinds, len(kinds) or 1))
    for n, row in enumerate(result.pieces, start=1):
        told(f"pictures of {names.piece(row.key)}")
        paper.add(*_piece(result, row, names, n))


def _piece(result: Result, row: PieceRow, names: Names, number: int) -> list[Block]:
    """One board's or piece's page: facts, its way in as a strip, what decides."""
    p = PieceWords(result, row, names)
    out: list[Block] = [Heading(f"{number}. {p.label}: {row.verdict}", 2)]
    out.append(Facts(tuple(_facts(result, row, p))))
    photos = tuple(
        Photo(
            png,
            f"{n}. {whole_words(m, names)}.",
            note_words(m.least_clearance_mm, m.near_fixed, names, m.step),
        )
        for n, (png, m) in enumerate(zip(strip(result, row), row.moves, strict=False), start=1)
    )
    if photos:
        out.append(Photos(photos, STRIP))
    doubts = _doubts(row)
    return [*out, Grid(doubts)] if doubts is not None else out


def _facts(result: Result, row: PieceRow, p: PieceWords) -> list[tuple[str, str]]:
    stand = result.stand(row.key)
    x, y, z = stand.size_mm
    facts = [
        ("Verdict", row.verdict),
        ("Smallest gap going in", p.gap),
        ("Size over all", f"{mm(x)} fore and aft, {mm(y)} athwart, {mm(z)} high"),
        ("Mass", f"{stand.mass_kg:.1f} kg"),
    ]
    facts.append(("Stands", stands_words(result, stand, p.names)))
    if p.held:
        facts.append(("Held by", p.held))
    if row.way:
        facts += [("Way in", p.way), ("Evidence", p.evidence)]
    if p.out_again:
        facts.append(("Comes out again", p.out_again))
    if p.take_out:
        facts.append(("To take it out", p.take_out))
    facts += [("Clash", p.clash(c)) for c in (*row.clashes, *row.rooms_taken)]
    if p.advice:
        facts.append(("Next", p.advice))
    return facts + [("It would go", p.remedy(remedy)) for remedy in row.remedies or ()]


def _doubts(row: PieceRow) -> Table | None:
    rows = tuple(
        (
            size_label(d.key),
            f"{d.value_mm:.0f} ±{d.plus_minus_mm:g} mm {d.how}".strip(),
            f"{abs(d.effect_mm):.1f} mm",
            f"{d.share:.0%}",
        )
        for d in row.deciding_sizes[:4]
    )
    head = (
        "Size that decides",
        "Measured",
        "If it is off by its ±, the gap changes by",
        "How much it matters",
    )
    return Table("doubts", "", "", head, rows, (30, 25, 25, 15)) if rows else None


def _spaces(paper: Paper, result: Result, names: Names, told: Told) -> None:
    """Each space looked into, with its sizes and what leads there; the picture holds its key."""
    paper.add(Heading("Inside each space"))
    photos = []
    for s in result.boat.spaces:
        told(f"picture of {names.space(s.key)}")
        png = inside(result, s.key)
        if png is None:
            continue
        long, wide, high = (b - a for a, b in zip(s.low_mm, s.high_mm, strict=True))
        doors = [
            f"{names.opening(o.key)} {o.size_mm[0]:.0f} x {o.size_mm[1]:.0f}"
            for o in result.boat.openings
            if s.key in (o.inner, o.outer)
        ]
        sizes = f"{mm(long)} fore and aft, {mm(wide)} athwart, {mm(high)} high"
        note = f"{sizes}. In through: {joined(doors)} mm." if doors else f"{sizes}. No opening."
        photos.append(Photo(png, f"{names.space(s.key)}: cables with their numbers", note))
    paper.add(Photos(tuple(photos), 2))


def _wiring(paper: Paper, result: Result, names: Names) -> None:
    paper.add(Heading("Circuits"), Grid(replace(circuits(result, names), title="")))
    for t in (_lengths(result), _fills(result, names), *wiring_tables(result, names)):
        paper.add(Grid(t))
    cuts = _cuts(result, names)
    paper.add(Heading(cuts.title), Grid(replace(cuts, title="")))


def summary(result: Result, names: Names) -> Table:
    """One line a piece."""
    rows = []
    for row in result.pieces:
        p = PieceWords(result, row, names)
        mass = f"{result.stand(row.key).mass_kg:.1f} kg"
        rows.append((p.label, row.verdict, p.gap, p.decides, p.at_rest, mass))
    head = ("Board or piece", "Goes in?", "Smallest gap", "What decides", "In place", "Mass")
    return Table("summary", "", "", head, tuple(rows), (24, 12, 13, 26, 16, 9))


def circuits(result: Result, names: Names) -> Table:
    """One line a circuit."""
    rows = []
    for circuit in result.circuits:
        amps = "-" if circuit.mains else f"{circuit.amps:g} A"
        rows.append(
            (
                circuit.number,
                circuit.label,
                amps,
                *cut_words(circuit),
                size_words(circuit),
                drop_words(circuit),
                percent_words(circuit)[1],
                fuse_words(circuit.fuse_amp),
                through_words(circuit, names),
            )
        )
    head = (
        "No.",
        "Circuit",
        "Current",
        "Out",
        "Back",
        "Size",
        "Volt drop",
        "Limit",
        "Fuse",
        "Through",
    )
    return Table("circuits", "Circuits", "", head, tuple(rows), (6, 22, 8, 9, 9, 11, 14, 7, 8, 18))


def _lengths(result: Result) -> Table:
    rows = []
    for circuit in result.circuits:
        if circuit.out is None:
            continue
        x = circuit.out
        loops = x.loop_mm + x.swing_mm
        parts = (x.route_mm, x.tail_feed_mm, x.tail_load_mm, loops, x.wander_mm, x.bends_mm)
        off = f"{x.plus_minus_mm / 1000:.2f}" if x.plus_minus_mm else "-"
        cut = f"{x.cut_mm / 1000:.2f}"
        rows.append((circuit.number, circuit.label, *(f"{v / 1000:.2f}" for v in parts), off, cut))
    head = (
        "No.",
        "Circuit",
        "Route",
        "Tail at feed",
        "Tail at load",
        "Loops",
        "Wander",
        "Bends",
        "May be off",
        "Cut",
    )
    title = "How each length is made up, metres"
    return Table("lengths", title, "", head, tuple(rows), (6, 24, 9, 10, 10, 10, 9, 8, 8, 9))


def _fills(result: Result, names: Names) -> Table:
    rows = [
        (
            names.joint_whole(pipe.key),
            f"{pipe.bore_mm:.0f} mm",
            str(pipe.cables),
            full_words(pipe),
            f"{pipe.limit:.0%}",
            "; ".join(bore_todo(pipe)) or "-",
        )
        for pipe in result.holes_and_pipes
    ]
    head = ("Hole or pipe", "Bore", "Cables", "Full", "Allowed", "To do")
    return Table("fills", "Holes and pipes", "", head, tuple(rows), (28, 9, 8, 9, 9, 30))


def _cuts(result: Result, names: Names) -> Table:
    rows = []
    for what, kind, size, pieces, each, total in lists_of(result, names)["cut_list"][1:]:
        lengths = (f"{x:.2f} m" if isinstance(x, float) else "-" for x in (each, total))
        rows.append((str(what), str(kind), str(size or "-"), str(pieces), *lengths))
    head = ("What", "From", "Size", "Pieces", "Each", "Total")
    return Table("cuts", "Cut list", "", head, tuple(rows), (34, 10, 22, 8, 12, 12))
