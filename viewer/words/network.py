"""What of a result is a place of the DC network, its kind, and which circuits carry a plus."""

from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow


def kinds_of(result: Result) -> dict[str, str]:
    """The kind of every piece, and of every part of a board by `BOARD.PART`."""
    out = {s.key: s.kind for s in result.boat.stands}
    for b in result.benches:
        out |= {f"{b.key}.{p.key}": p.kind for p in b.parts}
    return out


def plus_circuits(result: Result) -> list[CircuitRow]:
    """Circuits with a plus conductor: neither mains nor data, nor a link of the minus alone."""
    poles: dict[str, set[str]] = {}
    for w in result.wires:
        poles.setdefault(w.number, set()).add(w.pole)
    return [c for c in result.circuits
            if not (c.mains or c.signal) and poles.get(c.number) != {"minus"}]  # fmt: skip
