"""What to measure again, in words."""

from layout.verdict.again import BEST_MM, Again, Doubt, measure_again
from viewer.words.names import Names, joined, size_label
from viewer.work.rows import Result

OPEN = ("measure again", "not settled")


def again_of(result: Result, wanted_mm: float) -> Again:
    """The sizes to measure again over the whole job."""
    doubts = [
        Doubt(
            p.key,
            p.least_clearance_mm,
            wanted_mm,
            tuple((d.key, d.effect_mm, d.plus_minus_mm) for d in p.deciding_sizes),
        )
        for p in result.pieces
        if p.least_clearance_mm is not None and p.deciding_sizes
        if p.verdict in OPEN or p.worst_end == "cannot"
    ]
    return measure_again(doubts)


def again_lines(result: Result, names: Names, again: Again) -> list[str]:
    """A line for each size, the one that settles most first."""
    values = {d.key: d for p in result.pieces for d in p.deciding_sizes}
    out = []
    for n, (key, settles) in enumerate(again.steps, start=1):
        d = values[key]
        told = f"{d.value_mm:.0f} ±{d.plus_minus_mm:g} mm {d.how}".strip()
        what = joined([names.piece(k) for k in settles])
        then = f"then {what} is settled, one way or the other" if what else "with the next"
        out.append(f"{n}. {size_label(key)} ({told}) to ±{BEST_MM:g} mm: {then}.")
    if again.left:
        pieces = joined([names.piece(k) for k in again.left])
        out.append(f"No measuring settles {pieces}: give more room, or ask what would make it go.")
    if not out:
        return ["Every verdict stands at both ends of every ±: nothing needs measuring again."]
    if again.steps and again.exact:
        out.append("No fewer sizes do as much.")
    return out
