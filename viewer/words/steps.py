"""What to do next, the things that stop the job first."""

from typing import Final

from viewer.words.circuits import bore_todo, full_words, larger_than_straight, no_way_words
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


def next_steps(r: Result, names: Names) -> list[str]:
    """Sentences, the most urgent first."""
    pieces = [PieceWords(r, p, names) for p in r.pieces]
    urgent = sorted(
        (p for p in pieces if p.advice and not p.row.in_order),
        key=lambda p: FIRST.get(p.row.verdict, 3),
    )
    out = [f"{p.label}: {p.advice}" for p in urgent]
    for c in r.circuits:
        out += _circuit(c, names)
    for b in r.holes_and_pipes:
        full = f"{full_words(b)} full, {b.limit:.0%} allowed; " if b.too_full else ""
        out += (
            [f"{names.joint_whole(b.key)}: {full}{'; '.join(bore_todo(b))}."]
            if bore_todo(b)
            else []
        )
    out += [rule_words(f, names).sentence() for f in r.findings if f.urgency == "must"]
    more = sum(f.urgency == "should" for f in r.findings)
    if more:
        out.append(f"{more} more worth improving: see Rules looked at in the book.")
    out += [f"{p.label}: {p.advice}" for p in pieces if p.advice and p.row.in_order]
    for c in r.circuits:
        larger = larger_than_straight(c)
        if larger:
            out.append(f"Circuit {c.number}, {c.label}: {larger}.")
    if any(c.mains for c in r.circuits):
        out.append(CAUTIONS[-1])
    if r.clocked:
        out.append("The time you allowed ran out: what is not settled may be without --seconds.")
    return out


def _circuit(c: CircuitRow, names: Names) -> list[str]:
    if c.no_way is not None:
        return [f"Circuit {c.number}, {c.label}: {no_way_words(c.no_way, names, c.plug_mm)}."]
    if c.in_order or c.drop_percent is None or c.drop_percent <= c.drop_limit_percent:
        return []
    drop = f"{c.drop_percent:.1f} % volt drop is over {c.drop_limit_percent:g} %"
    return [f"Circuit {c.number}, {c.label}: {drop}; feed it from nearer, or use two runs."]
