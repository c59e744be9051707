"""The hand-over put together: one content for print and for the screen."""

from collections.abc import Callable

from viewer.scene.pictures import inside, whole_boat
from viewer.sheets.handover.schemes import Schemes
from viewer.sheets.paper.blocks import (
    Facts,
    Figure,
    Grid,
    Heading,
    Paper,
    Photo,
    Photos,
    Text,
    Ticks,
)
from viewer.words.handover import HandoverWords
from viewer.words.names import Names
from viewer.words.steps import CAUTIONS
from viewer.work.rows import Result

Told = Callable[[str], None]
DIAGRAM = (
    "Symbols after IEC 60617. Over each line stand its circuit and its fuse, under it its cable. "
    "Plus runs full, minus broken. Every minus goes home as the wire list tells."
)


def handover_paper(result: Result, state: str, told: Told = lambda _: None) -> Paper:
    """The whole hand-over. Long work: `told` is called before each picture."""
    names = Names(result)
    words, schemes = HandoverWords(result, names), Schemes(result, names)
    paper = Paper(f"Hand-over: {result.job}", f"{result.hull}. {state}")
    _first(paper, result, words)
    paper.add(Heading("Diagrams", new_page=True), Text(DIAGRAM, "small"))
    paper.add(Heading("The boat in one line", 2), Figure(schemes.whole()))
    for name, drawing in schemes.panels():
        paper.add(Heading(f"What {name} feeds", 2), Figure(drawing))
    for b in result.benches:
        board = schemes.board(b.key)
        if board is not None:
            paper.add(Heading(f"Wiring of {names.piece(b.key)}", 2), Figure(board))
    paper.add(Heading("Circuits"), Grid(words.schedule()))
    if words.over():
        paper.add(Heading("To be explained", 2), Ticks(tuple(words.over()), "plain"))
    paper.add(Grid(words.fuse_list()), Heading("Legends for the lids"))
    paper.add(*(Grid(t) for t in words.legends()))
    paper.add(Heading("Settings"), Grid(words.settings(), fill=True))
    paper.add(Heading("Where things are"), Grid(words.lockers()))
    told("picture of the boat")
    paper.add(Photos((Photo(whole_boat(result), f"{result.hull}: gear and cables"),), 1))
    paper.add(Heading("How the cables run"), Grid(words.marked()))
    paper.add(Photos(tuple(_spaces(result, names, told)), 2))
    paper.add(Heading("Tests and torque"), Grid(words.tests(), fill=True))
    paper.add(*(Grid(t, fill=True) for t in words.torques()))
    paper.add(Heading("Gear and spares"), Grid(words.serials(), fill=True), Grid(words.spares()))
    made = f"coaming {result.inputs.coaming}, result {result.inputs.fingerprint}"
    paper.add(Text(made, "small"))
    return paper


def _first(paper: Paper, result: Result, words: HandoverWords) -> None:
    """What the owner reads first."""
    own = [c for c in result.circuits if not c.mains]
    boards = sum(s.is_board for s in result.boat.stands)
    batteries = sum(s.kind == "battery" for s in result.boat.stands)
    paper.add(
        Facts(
            (
                ("What is fitted", f"{batteries} batteries, {boards} boards, {len(own)} circuits"),
                ("Shut off", words.shut_off()),
                ("A fuse blows", "find why, then fit one of the same rating: see the legends"),
                ("Changes", "write them into this paper, or hand the model to the next fitter: "
                            "the files lie beside it"),
            )
        ),
        Heading("What is not covered"),
        Ticks(tuple(words.not_covered() or ["No mains, and every cable has a way."]), "plain"),
        Heading("What is still open"),
        *_open(words),
        Heading("Caution"),
        Ticks(CAUTIONS, "plain"),
    )  # fmt: skip


def _open(words: HandoverWords) -> list[Text | Ticks | Grid]:
    """What must be put right first, then what is worth improving, a line for each rule."""
    must, should = words.must(), words.should()
    out: list[Text | Ticks | Grid] = []
    if must:
        out += [Text("Must be put right:", "strong"), Ticks(tuple(must), "plain")]
    if should.rows:
        out.append(Grid(should))
    return out or [Text("Nothing is open.")]


def _spaces(result: Result, names: Names, told: Told) -> list[Photo]:
    out = []
    for s in result.boat.spaces:
        told(f"picture of {names.space(s.key)}")
        png = inside(result, s.key)
        if png is not None:
            out.append(Photo(png, f"{names.space(s.key)}: cables with their numbers"))
    return out
