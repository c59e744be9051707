"""The wire list: every conductor from stud to stud, with the marks its two ends carry."""

from dataclasses import dataclass
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.circuits.circuits import Circuits
from routing.network.studs import conductors, studs_of, terminal_of
from routing.sizes.ends import STUD_MOST_MM2

# Colours as ISO 10133 and ABYC E-11 have them, from memory: a DC minus is black or yellow, as the
# job tells; a plus is any other but green, and where it is told, red.
PLUS_COLOUR: Final = "red"
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
    start_stud: int  # of a row of studs, counted from 1; 0 where there is no row
    goal_stud: int
    size: str
    length_mm: float
    mark: str
    colour: str
    board: str


def wires(cabling: Cabling) -> list[Wire]:
    """Every sized conductor, circuit by circuit; mains and data leads have lists of their own."""
    circuits, made = cabling.circuits, cabling.by_number()
    studs, minus_colour = studs_of(circuits), circuits.files.job.job.minus_colour
    out, laid = [], dict[str, int]()
    for c in conductors(circuits):
        cable = made[c.number]
        turn = laid[c.number] = laid.get(c.number, -1) + 1
        if cable.conductor is None or cable.sized_mm is None or turn >= len(cable.lengths):
            continue
        board = circuits.on_board(c.number)
        out.append(
            Wire(
                c.number,
                c.pole,
                c.start,
                c.goal,
                _on(circuits, c.start),
                _on(circuits, c.goal),
                studs.get((c.number, c.pole, c.start), 0),
                studs.get((c.number, c.pole, c.goal), 0),
                cable.conductor.name,
                cable.lengths[turn].cut_mm,
                f"{c.number}{SIGNS[c.pole]}",
                PLUS_COLOUR if c.pole == "plus" else minus_colour,
                board.key if board is not None else "",
            )
        )
    return out


def lug_rules(cabling: Cabling) -> list[RuleFinding]:
    """Studs with more lugs than go on one; a bar or panel whose type does not count its studs has
    one for each.
    """
    circuits = cabling.circuits
    ends = [*circuits.feeds.values(), *circuits.loads.values()]
    kinds = {e.place: e.kind for e in ends}
    count: dict[tuple[str, int], int] = {}
    for w in wires(cabling):
        for name, on, stud in (
            (w.start, w.start_on, w.start_stud), (w.goal, w.goal_on, w.goal_stud)
        ):  # fmt: skip
            many = kinds.get(name.rpartition(".")[0]) in MANY_STUDS and stud == 0
            if on in STUD_MOST_MM2 and not many:
                count[name, stud] = count.get((name, stud), 0) + 1
    out = []
    for (name, _), lugs in count.items():
        if lugs > MOST_LUGS:
            values: Values = {"end": f"end:{name}", "lugs": lugs, "most": MOST_LUGS}
            about = (f"piece:{name.rpartition('.')[0]}",)
            out.append(RuleFinding("lugs on a stud", Urgency.SHOULD, about, values))
    return out


def _on(circuits: Circuits, name: str) -> str:
    """What a conductor ends on: a stud, a blade, or a lead."""
    terminal = terminal_of(circuits, name)
    if terminal is None:
        return ""
    if terminal.lead_mm > 0:
        return "lead"
    return terminal.stud or (f"blade {terminal.blade}" if terminal.blade else "clamp")
