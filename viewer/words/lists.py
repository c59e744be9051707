"""Lists for other programs: numbers in cells, units in heads, empty where there is nothing."""

from collections.abc import Sequence

from viewer.words.names import Names, joined
from viewer.words.rules import rule_words
from viewer.words.steps import CAUTIONS
from viewer.words.tables import COSTS, fixing_words, fuse_place, stock_words
from viewer.work.rows import Result

Cell = str | float | int | None
Rows = Sequence[Sequence[Cell]]
CAUTION = "A plan, not a certificate: local codes and licensed practice decide. " + CAUTIONS[0]


def lists_of(r: Result, names: Names) -> dict[str, Rows]:
    """Every list, by the name of its file; the ones that may leave the shop carry the caution."""
    return {
        "circuits": [*_circuits(r, names), [CAUTION]],
        "cut_list": _cut_list(r, names),
        "fuses": [*_fuses(r, names), [CAUTION]],
        "fixings": _fixings(r, names),
        "drums": _drums(r),
        "costs": _costs(r),
        "rules": [*_rules(r, names), [CAUTION]],
    }


def _m(mm: float | None) -> float | None:
    return None if mm is None else round(mm / 1000, 3)


def _circuits(r: Result, names: Names) -> Rows:
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
    for c in r.circuits:
        rows.append(
            [
                c.number,
                c.label,
                None if c.mains else c.amps,
                _m(c.out.cut_mm if c.out else None),
                _m(c.back.cut_mm if c.back else None),
                c.size,
                None if c.drop_volt is None else round(c.drop_volt, 3),
                None if c.drop_percent is None else round(c.drop_percent, 2),
                None if c.drop_percent is None else c.drop_limit_percent,
                c.fuse_amp,
                joined([names.joint(j) for j in c.joints]),
                "yes" if c.mains else None,
            ]
        )
    return rows


def _cut_list(r: Result, names: Names) -> Rows:
    head: list[Cell] = ["what", "kind", "size", "pieces", "each_m", "total_m"]
    rows = [head]
    for s in r.boat.stands:
        if s.plate_mm is not None:
            size = " x ".join(f"{v:.0f}" for v in s.plate_mm) + " mm"
            rows.append([names.piece(s.key), "plate", size, 1, None, None])
    order = sorted(
        (c for c in r.circuits if c.out and c.back and not c.mains),
        key=lambda c: (-(c.area_mm2 or 0.0), -(c.out.cut_mm if c.out else 0.0)),
    )
    for c in order:
        if c.out is None or c.back is None:
            continue
        name = f"{c.number} {c.label}"
        if c.size is None:
            rows.append([name, "lead", None, 1, _m(c.out.cut_mm), _m(c.out.cut_mm)])
        elif c.out.cut_mm == c.back.cut_mm:
            rows.append([name, "cable", c.size, 2, _m(c.out.cut_mm), _m(2 * c.out.cut_mm)])
        else:
            for pole, x in (("plus", c.out), ("minus", c.back)):
                rows.append([f"{name}, {pole}", "cable", c.size, 1, _m(x.cut_mm), _m(x.cut_mm)])
    return rows


def _fuses(r: Result, names: Names) -> Rows:
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
    for f in r.fuses:
        none = f.amp is None
        rows.append(
            [
                f.number,
                names.circuit(f.number),
                f.amp,
                fuse_place(f, names),
                None if none else round(f.along_mm),
                None if none else round(f.limit_mm),
                f.load_amp,
                round(f.carries_amp, 1),
                round(f.stops_amp) or None,
            ]
        )
    return rows


def _fixings(r: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [["place", "what", "count", "circuits", "note"]]
    for f in r.fixings:
        what, note = fixing_words(f, names)
        rows.append([names.space(f.space), what, f.count, joined(list(f.circuits)), note])
    return rows


def _drums(r: Result) -> Rows:
    rows: list[list[Cell]] = [
        ["cable", "from", "price", "circuit", "pole", "cut_m", "left_over_m", "proven_cheapest"]
    ]
    for x in r.cuts:
        for k, p in enumerate(x.pieces):
            first = k == 0
            rows.append(
                [
                    x.cable,
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


def _costs(r: Result) -> Rows:
    rows: list[list[Cell]] = [["what", "cable", "count", "unit", "each", "total"]]
    for c in r.costs:
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


def _rules(r: Result, names: Names) -> Rows:
    rows: list[list[Cell]] = [["urgency", "about", "found", "rule", "asks", "source", "remedy"]]
    for f in r.findings:
        w = rule_words(f, names)
        rows.append([f.urgency, w.about, w.found, w.rule, w.asks or None, w.source, w.remedy])
    return rows
