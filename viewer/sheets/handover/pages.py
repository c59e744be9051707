"""The hand-over put together: one content for print and for the screen."""

from collections.abc import Callable
from dataclasses import replace

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
from viewer.words.handover_more import MoreWords
from viewer.words.made_dead import MadeDead
from viewer.words.names import Names, joined
from viewer.words.pieces import PLAINLY
from viewer.words.steps import CAUTIONS
from viewer.words.table import Table
from viewer.words.variation import agreed_table
from viewer.words.wire_tables import link_list, wire_list
from viewer.work.rows import Result
from viewer.work.states import State

LEADS = (
    "Where an end says lead, it is joined to the gear's own lead there with a crimped joint, each "
    "pole by itself. Those are the joints of the plan; others are listed as done otherwise."
)
MODEL = "The files beside this paper open with coaming; they are what every figure here is from:"
Told = Callable[[str], None]
DIAGRAM = (
    "Symbols after IEC 60617. Over each line stand its circuit and its fuse, under it its cable. "
    "Plus runs full, minus broken. Every minus goes home as the wire list tells."
)


def handover_paper(
    result: Result, state: str, told: Told = lambda _: None, states: tuple[State, ...] = ()
) -> Paper:
    """The whole hand-over. Long work: `told` is called before each picture."""
    names = Names(result)
    words, more = HandoverWords(result, names), MoreWords(result, names)
    shop = f"{result.estimate.shop}. " if result.estimate.shop else ""
    paper = Paper(f"Hand-over: {result.job}", f"{result.hull}. {shop}{state}")
    _first(paper, result, words, MadeDead(result, names))
    _diagrams(paper, result, names)
    paper.add(Heading("Circuits"), _bare(words.schedule()))
    if words.over():
        paper.add(Heading("To be explained", 2), Ticks(tuple(words.over()), "plain"))
    paper.add(Heading("Fuses"), _bare(words.fuse_list()), Heading("Legends for the lids", 2))
    paper.add(*(Grid(t) for t in words.legends()))
    paper.add(Heading("Spare fuses", 2), _bare(more.spares()))
    paper.add(Heading("Conductors and their ends"))
    paper.add(Text(LEADS, "small"), Grid(wire_list(result, names)), Grid(link_list(result, names)))
    for t in more.backbones():
        paper.add(Heading(t.title, 2), _bare(t))
    paper.add(Heading("Settings"), _bare(words.settings(), fill=True))
    paper.add(Heading("Where things are"), _bare(words.lockers()))
    told("picture of the boat")
    paper.add(Photos((Photo(whole_boat(result), f"{result.hull}: gear and cables"),), 1))
    paper.add(Heading("How the cables run"), Grid(more.ways()))
    marked = words.marked()
    paper.add(Heading(marked.title, 2))
    paper.add(_bare(marked) if marked.rows else Text(marked.note))
    paper.add(Photos(tuple(_spaces(result, names, told)), 2))
    paper.add(Heading("Tests and torque"), Grid(more.whole_boat(), fill=True))
    paper.add(Grid(words.tests(), fill=True), Grid(more.studs(), fill=True))
    paper.add(*(Grid(t, fill=True) for t in words.torques()))
    paper.add(Heading("Gear fitted"), _bare(words.serials(), fill=True))
    _last(paper, result, states)
    return paper


def _bare(t: Table, fill: bool = False) -> Grid:
    """A table under a heading that names it."""
    return Grid(replace(t, title=""), fill)


def _diagrams(paper: Paper, result: Result, names: Names) -> None:
    schemes = Schemes(result, names)
    paper.add(Heading("Diagrams", new_page=True), Text(DIAGRAM, "small"))
    paper.add(Heading("The boat in one line", 2), Figure(schemes.whole()))
    for name, drawing in schemes.panels():
        paper.add(Heading(f"What {name} feeds", 2), Figure(drawing))
    for b in result.benches:
        board = schemes.board(b.key)
        if board is not None:
            paper.add(Heading(f"Wiring of {names.piece(b.key)}", 2), Figure(board))


def _last(paper: Paper, result: Result, states: tuple[State, ...]) -> None:
    """What was agreed, how the model is opened, who signs."""
    if states:
        paper.add(Heading("What was agreed"), Grid(agreed_table(list(states))))
    made = f"coaming {result.inputs.coaming}, result {result.inputs.fingerprint}"
    paper.add(
        Heading("Handed over"),
        Text("Filled in, tested and explained:", "small"),
        Text("_" * 24 + "\u00a0" * 6 + "_" * 24 + "\u00a0" * 6 + "_" * 24, "small"),
        Text("date" + "\u00a0" * 46 + "shop" + "\u00a0" * 46 + "owner", "small"),
        Text(f"{MODEL} {made}.", "small"),
    )


def _first(paper: Paper, result: Result, words: HandoverWords, dead: MadeDead) -> None:
    """What the owner reads first."""
    own = [c for c in result.circuits if not c.mains]
    boards = sum(s.is_board for s in result.boat.stands)
    batteries = sum(s.kind == "battery" for s in result.boat.stands)
    stuck = [
        f"{words.names.piece(p.key)} ({PLAINLY.get(p.verdict, p.verdict)})"
        for p in result.pieces if not p.in_order
    ]  # fmt: skip
    not_yet = f" Not fitted as planned: {joined(stuck)}." if stuck else ""
    facts = [
        ("What it is about", f"{batteries} batteries, {boards} boards, {len(own)} circuits."
                             f"{not_yet}"),
        ("A fuse blows", "find its line under Fuses; why it blew first, then one of the same kind"),
        ("Changes", "write them into this paper, or hand the model to the next fitter: the files "
                    "lie beside it"),
        ("Boxes", "what is empty is filled in on the day, and stays with the boat"),
    ]  # fmt: skip
    lithium = any(b.lithium for b in result.banks)
    cautions = [c for c in CAUTIONS if lithium or not c.startswith("Lithium")]
    paper.add(Facts(tuple(facts)), Heading("To make the boat dead"))
    if dead.isolators:
        paper.add(Grid(dead.table()))
    paper.add(
        Text(dead.stays_live(), "strong"),
        Heading("Caution"),
        Ticks(tuple(cautions), "plain"),
        Heading("What is not covered"),
        Ticks(tuple(words.not_covered() or ["No mains, and every cable has a way."]), "plain"),
        Heading("What is still open"),
        *_open(words),
    )


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
