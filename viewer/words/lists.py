"""Lists for other programs: numbers in cells, units in heads, empty where there is nothing."""

from collections.abc import Sequence

from viewer.words.cut_tables import COSTS, stock_words
from viewer.words.names import Names, joined
from viewer.words.rules import rule_words
from viewer.words.steps import CAUTIONS
from viewer.words.tables import fixing_words, fuse_place
from viewer.work.rows import Result

Cell = str | float | int | None
Rows = Sequence[Sequence[Cell]]
CAUTION = " ".join(
    (
        "A plan, not a certificate: local codes and licensed practice decide.",
        CAUTIONS[0],
        CAUTIONS[1],
        "Mains (AC) is for a licensed person: nothing about it is sized or approved.",
    )
)


def lists_of(result: Result, names: Names) -> dict[str, Rows]:
    """Every list, by the name of its file; the ones that may leave the shop carry the caution."""
    return {
        "circuits": [*_circuits(result, names), [CAUTION]],
        "cut_list": _cut_list(result, names),
        "fuses": [*_fuses(result, names), [CAUTION]],
        "wires": [*_wires(result, names), [CAUTION]],
        "fixings": _fixings(result, names),
        "supports": _supports(result, names),
        "plate_holes": [*_plate_holes(result, names), [CAUTION]],
        "drums": _drums(result),
        "costs": _costs(result),
        "rules": [*_rules(result, names), [CAUTION]],
    }


def _supports(result: Result, names: Names) -> Rows:
    """Where each support is fixed, in the boat's frame."""
    head: list[Cell] = ["place", "x_mm", "y_mm", "z_mm", "bundle_mm", "circuits"]
    rows = [head]
    for s in result.supports:
        place = s.where if s.kind == "outside" else names.where(s.kind, s.where, None)
        at: list[Cell] = [round(v, 1) for v in s.at]
        rows.append([place, *at, s.bundle_mm, ", ".join(s.circuits)])
    return rows


def _plate_holes(result: Result, names: Names) -> Rows:
    """Holes to drill in the boards, from each plate's low corner."""
    head: list[Cell] = ["board", "circuit", "bore_mm", "along_mm", "across_mm"]
    rows = [head]
    for h in result.plate_holes:
        along, across = (round(v, 1) for v in h.along_mm)
        rows.append([names.piece(h.board), h.number, h.bore_mm, along, across])
    return rows


def _m(mm: float | None) -> float | None:
    return None if mm is None else round(mm / 1000, 3)


def _circuits(result: Result, names: Names) -> Rows:
    head = [
        "number",
        "circuit",
        "current_A",
        "out_m",
        "back_m",
        "size",
        "drop_V",
        "drop_percent",
        "limit_percent",
        "fuse_A",
        "through",
        "licensed_person_only",
    ]
    rows: list[list[Cell]] = [list(head)]
    for circuit in result.circuits:
        rows.append(
            [
                circuit.number,
                circuit.label,
                None if circuit.mains else circuit.amps,
                _m(circuit.out.cut_mm if circuit.out else None),
                _m(circuit.back.cut_mm if circuit.back else None),
                circuit.size,
                None if circuit.drop_volt is None else round(circuit.drop_volt, 3),
                None if circuit.drop_percent is None else round(circuit.drop_percent, 2),
                None if circuit.drop_percent is None else circuit.drop_limit_percent,
                circuit.fuse_amp,
                joined([names.joint(j) for j in circuit.joints]),
                "yes" if circuit.mains else None,
            ]
        )
    return rows


def _cut_list(result: Result, names: Names) -> Rows:
    head: list[Cell] = ["what", "kind", "size", "pieces", "each_m", "total_m"]
    rows = [head]
    for stand in result.boat.stands:
        if stand.plate_mm is not None:
            size = " x ".join(f"{v:.0f}" for v in stand.plate_mm) + " mm"
            rows.append([names.piece(stand.key), "plate", size, 1, None, None])
    order = sorted(
        (
            circuit
            for circuit in result.circuits
            if circuit.out and (circuit.back or circuit.link) and not circuit.mains
        ),
        key=lambda c: (-(c.area_mm2 or 0.0), -(c.out.cut_mm if c.out else 0.0)),
    )
    for c in order:
        if c.out is None:
            continue
        name = f"{c.number} {c.label}"
        if c.back is None:
            rows.append([name, "link", c.size, 1, _m(c.out.cut_mm), _m(c.out.cut_mm)])
            continue
        if c.size is None:
            rows.append([name, "lead", None, 1, _m(c.out.cut_mm), _m(c.out.cut_mm)])
        elif c.out.cut_mm == c.back.cut_mm:
            rows.append([name, "cable", c.size, 2, _m(c.out.cut_mm), _m(2 * c.out.cut_mm)])
        else:
            for pole, x in (("plus", c.out), ("minus", c.back)):
                rows.append([f"{name}, {pole}", "cable", c.size, 1, _m(x.cut_mm), _m(x.cut_mm)])
    return rows


def _fuses(result: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [
        [
            "number",
            "circuit",
            "fuse_A",
            "where",
            "along_mm",
            "at_most_mm",
            "load_A",
            "cable_carries_A",
            "must_stop_A",
        ]
    ]
    for fuse in result.fuses:
        none = fuse.amp is None
        rows.append(
            [
                fuse.number,
                names.circuit(fuse.number),
                fuse.amp,
                fuse_place(fuse, names),
                None if none else round(fuse.along_mm),
                None if none else round(fuse.limit_mm),
                fuse.load_amp,
                round(fuse.carries_amp, 1),
                round(fuse.stops_amp) or None,
            ]
        )
    return rows


def _wires(result: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [
        [
            "mark_both_ends",
            "circuit",
            "pole",
            "from",
            "from_on",
            "to",
            "to_on",
            "size",
            "cut_m",
            "insulation_degC",
            "colour",
            "on_board",
            "torque_by_maker_Nm",
        ]
    ]
    for w in result.wires:
        rows.append(
            [
                w.mark,
                names.circuit(w.number),
                w.pole,
                names.terminal(w.start),
                w.start_on,
                names.terminal(w.goal),
                w.goal_on,
                w.size,
                _m(w.length_mm),
                result.size_plan.insulation_degc,
                w.colour,
                names.piece(w.board) if w.board else None,
                None,
            ]
        )
    return rows


def _fixings(result: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [["place", "what", "count", "circuits", "note"]]
    for fixing in result.fixings:
        what, note = fixing_words(fixing, names)
        rows.append(
            [names.space(fixing.space), what, fixing.count, joined(list(fixing.circuits)), note]
        )
    return rows


def _drums(result: Result) -> Rows:
    rows: list[list[Cell]] = [
        [
            "cable",
            "colour",
            "from",
            "price",
            "circuit",
            "pole",
            "cut_m",
            "left_over_m",
            "proven_cheapest",
        ]
    ]
    for x in result.cuts:
        for k, p in enumerate(x.pieces):
            first = k == 0
            rows.append(
                [
                    x.cable,
                    x.colour or None,
                    stock_words(x),
                    x.price if first else None,
                    p.number,
                    {"+": "plus", "-": "minus"}[p.pole],
                    _m(p.length_mm),
                    _m(x.left_mm) if first else None,
                    "yes" if x.proven_cheapest else "no",
                ]
            )
    return rows


def _costs(result: Result) -> Rows:
    rows: list[list[Cell]] = [["what", "cable", "count", "unit", "each", "total"]]
    for c in result.costs:
        rows.append(
            [
                COSTS[c.kind],
                c.cable or None,
                round(c.count, 3),
                c.unit,
                c.each or None,
                round(c.total, 2),
            ]
        )
    return rows


def _rules(result: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [["urgency", "about", "found", "rule", "asks", "source", "remedy"]]
    for finding in result.findings:
        w = rule_words(finding, names)
        rows.append([finding.urgency, w.about, w.found, w.rule, w.asks or None, w.source, w.remedy])
    return rows
