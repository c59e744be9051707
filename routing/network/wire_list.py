"""The wire list: every conductor from stud to stud, with the marks its two ends carry."""

from dataclasses import dataclass
from typing import Final

from layout.boat.parts import Piece
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import Circuits
from routing.network.nodes import OUTPUT, Nodes
from routing.sizes.ends import STUD_MOST_MM2

# Colours as ISO 10133 and ABYC E-11 have them, from memory: a DC minus is black or yellow; a plus
# is any other but green, and where it is told, red. The shop decides where its customer asks.
PLUS_COLOUR: Final = "red"
MINUS_COLOUR: Final = "black or yellow"
MOST_LUGS: Final = 4  # ring terminals on one stud: ABYC E-11
MANY_STUDS: Final = frozenset({"bus bar", "fuse panel"})
SIGNS: Final = {"plus": "+", "minus": "-"}


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor: the terminals it joins and what is on each, its size, cut length and mark.

    `board` is the board it lies on from end to end, empty for one in the boat.
    """

    number: str
    pole: str  # "plus" or "minus"
    start: str
    goal: str
    start_on: str
    goal_on: str
    size: str
    length_mm: float
    mark: str
    colour: str
    board: str


def wires(cabling: Cabling) -> list[Wire]:
    """Every sized conductor, circuit by circuit; mains and data leads have lists of their own."""
    circuits, nodes = cabling.circuits, Nodes(cabling.circuits)
    out = []
    for cable in cabling.cables:
        if cable.conductor is None or cable.sized_mm is None:
            continue
        n = cable.number
        feed, load = circuits.feeds[n], circuits.loads[n]
        board = circuits.on_board(n)
        ends = [("plus", feed.name, load.name)]
        if cable.one and feed.terminal.pole == load.terminal.pole == "minus":
            ends = [("minus", feed.name, load.name)]
        elif not cable.one:
            own = _minus_of(circuits, load.name, load.place, nodes.end_minus(n))
            if load.terminal.pole == "pair" and board is not None:
                own = load.name
            home = _minus_of(circuits, feed.name, feed.place, nodes.home(n))
            ends.append(("minus", home, own))
        for (pole, start, goal), length in zip(ends, cable.lengths, strict=False):
            out.append(
                Wire(
                    n,
                    pole,
                    start,
                    goal,
                    _on(circuits, start),
                    _on(circuits, goal),
                    cable.conductor.name,
                    length.cut_mm,
                    f"{n}{SIGNS[pole]}",
                    PLUS_COLOUR if pole == "plus" else MINUS_COLOUR,
                    board.key if board is not None else "",
                )
            )
    return out


def lug_rules(cabling: Cabling) -> list[RuleFinding]:
    """Studs with more lugs than go on one; bars and panels have a stud or screw for each."""
    circuits = cabling.circuits
    ends = [*circuits.feeds.values(), *circuits.loads.values()]
    kinds = {e.place: e.kind for e in ends}
    count: dict[str, int] = {}
    for w in wires(cabling):
        for name, on in ((w.start, w.start_on), (w.goal, w.goal_on)):
            if on in STUD_MOST_MM2 and kinds.get(name.rpartition(".")[0]) not in MANY_STUDS:
                count[name] = count.get(name, 0) + 1
    out = []
    for name, lugs in count.items():
        if lugs > MOST_LUGS:
            values: Values = {"end": f"end:{name}", "lugs": lugs, "most": MOST_LUGS}
            about = (f"piece:{name.rpartition('.')[0]}",)
            out.append(RuleFinding("lugs on a stud", Urgency.SHOULD, about, values))
    return out


def _piece(circuits: Circuits, name: str) -> tuple[Piece | None, str]:
    key, _, rest = name.partition(".")
    return circuits.boat.pieces.get(key), rest


def _minus_of(circuits: Circuits, plus: str, place: str, node: str) -> str:
    """The terminal a minus ends on: the node's own, else a minus of its part, else the one terminal
    of what gives it, else the minus beside the plus, else the pair itself.
    """
    name = node.removesuffix(" -").removesuffix(OUTPUT)
    piece, rest = _piece(circuits, name)
    if piece is not None and rest in piece.terminals:
        return name
    for key in (name, place):
        piece, part = _piece(circuits, key)
        if piece is None:
            continue
        own = [t for t in piece.terminals if t.startswith(f"{part}." if part else "")]
        minus = [t for t in own if piece.terminals[t].pole == "minus"]
        minus.sort(key=lambda t: not t.endswith("out"))  # the studs of a bar before its feed
        if minus:
            return f"{piece.key}.{minus[0]}"
        given = f"{part}.out" if part else "out"
        if key == name and given in piece.terminals:  # what gives it has one terminal for both
            return f"{piece.key}.{given}"
    return plus


def _on(circuits: Circuits, name: str) -> str:
    """What a conductor ends on: a stud, a blade, or a lead."""
    piece, rest = _piece(circuits, name)
    terminal = piece.terminals.get(rest) if piece is not None else None
    if terminal is None:
        return ""
    if terminal.lead_mm > 0:
        return "lead"
    return terminal.stud or (f"blade {terminal.blade}" if terminal.blade else "clamp")
