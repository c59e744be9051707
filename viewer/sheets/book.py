"""The job's book as data: pictures, moves, circuits and lists in words; sheets only set it."""

import base64
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from viewer.scene.moves import kinds_of_moves, strip
from viewer.scene.pictures import inside, whole_boat
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
from viewer.words.names import Names, mm, size_label
from viewer.words.pieces import PieceWords, note_words
from viewer.words.steps import CAUTIONS, IN_ORDER, next_steps
from viewer.words.table import Table
from viewer.words.tables import wiring_tables
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result

KINDS_TITLE: Final = "What the moves are called"
KINDS_NOTE: Final = (
    "Each step is one thing, or two at most. The faint box is where it begins; the ring is where "
    "it comes nearest, with the least room it is proven to have."
)
Told = Callable[[str], None]
Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG with its words."""

    png: bytes
    words: str
    note: str = ""

    @property
    def data_uri(self) -> str:
        """The picture as it stands inside the HTML."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode("ascii")


@dataclass(frozen=True, slots=True)
class PiecePage:
    """One board's or piece's page."""

    title: str
    facts: tuple[tuple[str, str], ...]
    pictures: tuple[Picture, ...]
    doubts: Table | None


@dataclass(frozen=True, slots=True)
class Book:
    """Everything the HTML and the PDF show."""

    title: str
    hull: str
    boat: Picture
    spaces: tuple[Picture, ...]
    kinds: tuple[Picture, ...]
    pieces: tuple[PiecePage, ...]
    summary: Table
    circuits: Table
    lengths: Table
    fills: Table
    wiring: tuple[Table, ...]
    cuts: Table
    steps: Words
    in_order: str
    cautions: Words
    made_by: str
    kinds_title: str = KINDS_TITLE
    kinds_note: str = KINDS_NOTE


def bind(result: Result, told: Told = lambda _: None) -> Book:
    """Draw all pictures and word all tables. Long work: `told` is called before each picture."""
    names = Names(result)
    told("picture of the boat")
    whole = Picture(whole_boat(result), f"{result.hull}: spaces, gear and cables")
    spaces = []
    for s in result.boat.spaces:
        told(f"picture of {names.space(s.key)}")
        png = inside(result, s.key)
        if png is not None:
            words = f"{names.space(s.key)}: cables with their numbers, shared runs dark"
            spaces.append(Picture(png, words))
    pages = []
    for row in result.pieces:
        told(f"pictures of {names.piece(row.key)}")
        pages.append(_page(result, row, names))
    return Book(
        result.job,
        result.hull,
        whole,
        tuple(spaces),
        tuple(Picture(png, words) for words, png in kinds_of_moves()),
        tuple(pages),
        summary(result, names),
        circuits(result, names),
        _lengths(result),
        _fills(result, names),
        wiring_tables(result, names),
        _cuts(result, names),
        tuple(next_steps(result, names)),
        IN_ORDER,
        CAUTIONS,
        f"coaming {result.inputs.coaming}, result {result.inputs.fingerprint}",
    )


def _page(result: Result, row: PieceRow, names: Names) -> PiecePage:
    p = PieceWords(result, row, names)
    stand = result.stand(row.key)
    x, y, z = stand.size_mm
    facts = [
        ("Verdict", row.verdict),
        ("Smallest gap going in", p.gap),
        ("Size over all", f"{mm(x)} fore and aft, {mm(y)} athwart, {mm(z)} high"),
        ("Mass", f"{stand.mass_kg:.1f} kg"),
    ]
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
    for remedy in row.remedies or ():
        facts.append(("It would go", p.remedy(remedy)))
    pictures = tuple(
        Picture(
            png,
            f"{n}. {whole_words(m, names)}.",
            note_words(m.least_clearance_mm, m.near_fixed, names, m.step),
        )
        for n, (png, m) in enumerate(zip(strip(result, row), row.moves, strict=False), start=1)
    )
    doubts = tuple(
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
    table = Table("doubts", "", "", head, doubts, (30, 25, 25, 15)) if doubts else None
    return PiecePage(f"{p.label}: {row.verdict}", tuple(facts), pictures, table)


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
