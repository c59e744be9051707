"""The tables of the book for the one who makes the cables and the one who cares for the banks."""

from typing import Final

from viewer.words.names import Names, metres
from viewer.words.table import Table, Words
from viewer.work.rows import Result

CLOSED: Final = 1e-6  # a plan this near its bound is proven
WIRE_HEAD: Final = ("Mark", "From", "On", "To", "On", "Size", "Cut", "Colour")
WIRE_WIDTHS: Final = (6, 24, 8, 24, 8, 10, 8, 12)
WIRE_NOTE: Final = (
    "The mark goes on both ends. Colours are those of ISO 10133 from memory; the shop decides. "
    "Torque: the maker's figure for each stud, none is given here. "
)


def _wire_rows(r: Result, names: Names, on_boards: bool) -> tuple[Words, ...]:
    return tuple(
        (
            w.mark,
            names.terminal(w.start),
            w.start_on or "-",
            names.terminal(w.goal),
            w.goal_on or "-",
            w.size,
            metres(w.length_mm),
            w.colour,
        )
        for w in r.wires
        if bool(w.board) == on_boards
    )


def wire_list(r: Result, names: Names) -> Table:
    """Every conductor in the boat, from stud to stud."""
    note = WIRE_NOTE + f"Insulation {r.size_plan.insulation_degc} °C."
    rows = _wire_rows(r, names, on_boards=False)
    return Table("wires", "Wire list: the boat", note, WIRE_HEAD, rows, WIRE_WIDTHS)


def link_list(r: Result, names: Names) -> Table:
    """Every link on a board, made on the bench."""
    note = WIRE_NOTE + "These lie on the boards and are made on the bench."
    rows = _wire_rows(r, names, on_boards=True)
    return Table("links", "Wire list: links on the boards", note, WIRE_HEAD, rows, WIRE_WIDTHS)


def bank_list(r: Result, names: Names) -> Table:
    """What every bank holds, gives and is charged with."""
    rows = tuple(
        (
            names.of(f"bank:{b.key}"),
            f"{b.volts:g} V, {b.amp_hour:.0f} Ah" + (", lithium" if b.lithium else ""),
            f"{b.usable_amp_hour:.0f} Ah",
            f"{b.day_amp_hour:.0f} Ah",
            f"{b.charge_amp:g} A" if b.charge_amp else "nothing here",
            f"{b.takes_amp:.0f} A" if b.takes_amp else "ask its maker",
            "-" if b.charge_hours is None else f"{b.charge_hours:.0f} h",
        )
        for b in r.banks
    )
    head = ("Bank", "Holds", "Gives", "Drawn a day", "Charged with", "Takes", "To put it back")
    note = (
        "What a bank gives between charges is half of it for lead-acid (common practice) and eight "
        "tenths for lithium (from memory); putting it back takes 1.2 and 1.05 times as much. "
        "Batteries: disconnect before work, cover terminals, ventilate; lithium: its maker's "
        "limits and its management system come first."
    )
    widths = (20, 18, 12, 12, 14, 12, 12)
    return Table("banks", "Batteries and what charges them", note, head, rows, widths)


def size_plan_words(r: Result) -> str:
    """How the sizes were shared out, and how far from the cheapest they may be."""
    p = r.size_plan
    gap = max(0.0, p.cost - p.bound) / p.cost if p.cost > 0 else 0.0
    proof = "no other sizes cost less" if gap < CLOSED else f"at most {gap:.1%} less is possible"
    return (
        "Drop is shared between feeders and what they feed so that all cable together costs "
        f"least: {p.cost:.0f}; {proof}. Insulation: {p.insulation_degc} °C, as the job says."
    )
