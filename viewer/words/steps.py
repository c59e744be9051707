"""What to do next, the things that stop the job first."""

from dataclasses import dataclass
from typing import Final

from viewer.words.circuits import bore_todo, full_sentence, larger_than_straight, no_way_words
from viewer.words.names import Names
from viewer.words.pieces import PieceWords
from viewer.words.rules import rule_words
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

FIRST: Final = {"cannot": 0, "place not free": 0, "measure again": 1, "not settled": 2}
IN_ORDER: Final = "Everything is in order: all goes in, stands clear and is fed."
CAUTIONS: Final = (
    "Batteries: disconnect before work, cover terminals while lifting, keep metal tools clear, "
    "ventilate; heavy ones need two people or a strap.",
    "Lithium: keep to the maker's limits of charge and temperature; its management system and "
    "fuse class come before any other choice.",
    "Lengths, sizes and fuses here are a plan, not a certificate: local codes and licensed "
    "practice decide.",
    "Edges of cut holes are sharp until dressed and edged. Petrol and its vapour: no sparks; "
    "ventilate before any work.",
    "Mains (AC) wiring is for a licensed person: its space and route are shown, nothing about it "
    "is sized or approved.",
)


EMPTY: Final = "There is no gear in this job yet: put in what is to be fitted."
IN_THE_BOOK: Final = "see What to do in the book"


@dataclass(frozen=True, slots=True)
class Steps:
    """What there is to do, parted by what it is."""

    must: tuple[str, ...]
    should: tuple[str, ...]
    shopping: tuple[str, ...]
    notes: tuple[str, ...]


def parted_steps(result: Result, names: Names) -> Steps:
    """Everything to do: what stops the job, what is worth improving, what to buy, what to know."""
    if not result.pieces and not result.circuits:
        return Steps((), (), (), (EMPTY,))
    pieces = [PieceWords(result, p, names) for p in result.pieces]
    by_urgency: dict[str, list[str]] = {"must": [], "should": [], "note": []}
    for finding in result.findings:
        by_urgency[finding.urgency].append(rule_words(finding, names).sentence())
    should = [f"{p.label}: {p.advice}" for p in pieces if p.advice and p.row.in_order]
    shopping = []
    for circuit in result.circuits:
        larger = larger_than_straight(circuit)
        if larger:
            shopping.append(f"Circuit {circuit.number}, {circuit.label}: {larger}.")
    notes = list(by_urgency["note"])
    if any(c.mains for c in result.circuits):
        notes.append(CAUTIONS[-1])
    if result.clocked:
        notes.append("The time you allowed ran out: what is not settled may be without --seconds.")
    return Steps(
        (*_must(result, names, pieces), *by_urgency["must"]),
        (*should, *by_urgency["should"]),
        tuple(shopping),
        tuple(notes),
    )


def _must(result: Result, names: Names, pieces: list[PieceWords]) -> list[str]:
    """Pieces, cables and holes that stop the job."""
    urgent = sorted(
        (piece for piece in pieces if piece.advice and not piece.row.in_order),
        key=lambda p: FIRST.get(p.row.verdict, 3),
    )
    out = [f"{p.label}: {p.advice}" for p in urgent]
    for circuit in result.circuits:
        out += _circuit(circuit, names)
    for pipe in result.holes_and_pipes:
        full = f"{full_sentence(pipe)}; " if pipe.too_full else ""
        out += (
            [f"{names.joint_whole(pipe.key)}: {full}{'; '.join(bore_todo(pipe))}."]
            if bore_todo(pipe)
            else []
        )
    return out


def next_steps(result: Result, names: Names, where: str = IN_THE_BOOK) -> list[str]:
    """Sentences, the most urgent first; `where` tells where the less urgent ones are listed."""
    if not result.pieces and not result.circuits:
        return [EMPTY]
    steps = parted_steps(result, names)
    out = list(steps.must)
    more = sum(f.urgency == "should" for f in result.findings)
    if more:
        out.append(f"{more} {'more ' if out else ''}worth improving: {where}.")
    out += steps.should[: len(steps.should) - more]
    out += steps.shopping
    told = sum(f.urgency == "note" for f in result.findings)
    return out + list(steps.notes[told:])


def _circuit(circuit: CircuitRow, names: Names) -> list[str]:
    if circuit.no_way is not None:
        why = no_way_words(circuit.no_way, names, circuit.plug_mm)
        return [f"Circuit {circuit.number}, {circuit.label}: {why}."]
    if (
        circuit.in_order
        or circuit.drop_percent is None
        or circuit.drop_percent <= circuit.drop_limit_percent
    ):
        return []
    drop = f"{circuit.drop_percent:.1f} % volt drop is over {circuit.drop_limit_percent:g} %"
    return [
        f"Circuit {circuit.number}, {circuit.label}: {drop}; feed it from nearer, or use two runs."
    ]
