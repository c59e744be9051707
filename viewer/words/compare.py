"""What changed between two results, and nothing that did not, in words."""

from collections.abc import Callable, Hashable, Iterable
from typing import Any

from viewer.words.circuits import fuse_words, no_way_words, size_words
from viewer.words.names import Names, metres
from viewer.words.pieces import PLAINLY, PieceWords
from viewer.words.rules import rule_words
from viewer.work.piece_rows import PieceRow
from viewer.work.rows import Result
from viewer.work.wiring_rows import CircuitRow

NEAR_MM = 0.05  # gaps that differ by less are the same


def changes(result: Result, b: Result) -> list[str]:
    """Sentences, one for each thing that differs from a to b."""
    before, after = Names(result), Names(b)
    out: list[str] = []
    if result.job != b.job or result.hull != b.hull:
        out.append(f"job: {result.job} on {result.hull} -> {b.job} on {b.hull}")
    out += _pairs(
        result.pieces,
        b.pieces,
        lambda p: p.key,
        lambda p, n: n.piece(p.key),
        before,
        after,
        lambda p, q: _piece(result, b, p, q, before, after),
    )
    order = [[p.key for p in r.pieces] for r in (result, b)]
    common = [[k for k in keys if k in order[1 - i]] for i, keys in enumerate(order)]
    if common[0] != common[1]:
        out.append("order of fitting: " + ", ".join(after.piece(k) for k in order[1]))
    out += _pairs(
        result.circuits,
        b.circuits,
        lambda c: c.number,
        lambda c, n: f"circuit {c.number}, {c.label}",
        before,
        after,
        lambda c, d: _circuit(c, d, before, after),
    )
    out += _findings(result, b, before, after)
    out += _pairs(
        result.holes_and_pipes,
        b.holes_and_pipes,
        lambda x: x.key,
        lambda x, n: n.joint_whole(x.key),
        before,
        after,
        lambda x, y: [f"{x.fill:.0%} -> {y.fill:.0%} full"] if abs(x.fill - y.fill) > 0.004 else [],
    )
    hours = [r.estimate.hours.mean for r in (result, b)]
    if abs(hours[0] - hours[1]) >= 0.05:
        out.append(f"hours: {hours[0]:.1f} -> {hours[1]:.1f} ({hours[1] - hours[0]:+.1f})")
    cost = [r.estimate.net for r in (result, b)]
    if abs(cost[0] - cost[1]) >= 0.005:
        out.append(f"estimate, net: {cost[0]:.2f} -> {cost[1]:.2f} ({cost[1] - cost[0]:+.2f})")
    return out


def _pairs(
    old: Iterable[Any],
    new: Iterable[Any],
    key: Callable[[Any], Hashable],
    label: Callable[[Any, Names], str],
    before: Names,
    after: Names,
    differ: Callable[[Any, Any], list[str]],
) -> list[str]:
    """Gone, new and changed rows of one kind."""
    olds, news = {key(x): x for x in old}, {key(x): x for x in new}
    out = [f"{label(x, before)}: gone" for k, x in olds.items() if k not in news]
    for k, x in news.items():
        if k not in olds:
            verdict = PLAINLY.get(getattr(x, "verdict", ""), "")
            out.append(f"{label(x, after)}: new{f': {verdict}' if verdict else ''}")
        else:
            out += [f"{label(x, after)}: {d}" for d in differ(olds[k], x)]
    return out


def _piece(
    result: Result, b: Result, row: PieceRow, q: PieceRow, before: Names, after: Names
) -> list[str]:
    v, w = PieceWords(result, row, before), PieceWords(b, q, after)
    out = []
    if row.verdict != q.verdict:
        out.append(f"{row.verdict} -> {q.verdict}")
    gaps = (row.least_clearance_mm, q.least_clearance_mm)
    differ = None in gaps and gaps[0] != gaps[1]
    if differ or (gaps[0] is not None and gaps[1] is not None and abs(gaps[0] - gaps[1]) > NEAR_MM):
        out.append(f"smallest gap {v.gap} -> {w.gap}")
    decides = [r.deciding_sizes[0].key if r.deciding_sizes else "" for r in (row, q)]
    if decides[0] != decides[1]:
        out.append(f"what decides: {v.decides} -> {w.decides}")
    if v.at_rest != w.at_rest:
        out.append(f"in place: {v.at_rest} -> {w.at_rest}")
    if v.way != w.way:
        out.append(f"way in: {v.way} -> {w.way}")
    if len(row.moves) != len(q.moves):
        out.append(f"{len(row.moves)} -> {len(q.moves)} moves")
    if v.out_again != w.out_again:
        out.append(f"comes out again: {v.out_again or '-'} -> {w.out_again or '-'}")
    sizes = [r.stand(x.key).size_mm for r, x in ((result, row), (b, q))]
    if sizes[0] != sizes[1]:
        out.append(
            " x ".join(f"{s:.0f}" for s in sizes[0])
            + " -> "
            + " x ".join(f"{s:.0f}" for s in sizes[1])
            + " mm"
        )
    return out


def _circuit(circuit: CircuitRow, d: CircuitRow, before: Names, after: Names) -> list[str]:
    out = []
    if circuit.label != d.label:
        out.append(f"was called {circuit.label}")
    for what, x, y in (("out", circuit.out, d.out), ("back", circuit.back, d.back)):
        if x is not None and y is not None and x.cut_mm != y.cut_mm:
            out.append(f"{what} {metres(x.cut_mm)} -> {metres(y.cut_mm)}")
    if (circuit.out is None) != (d.out is None):
        why = no_way_words(d.no_way, after, d.plug_mm) if d.no_way else "has a way now"
        out.append(why)
    if size_words(circuit) != size_words(d):
        out.append(f"{size_words(circuit)} -> {size_words(d)}")
    if circuit.fuse_amp != d.fuse_amp:
        out.append(f"fuse {fuse_words(circuit.fuse_amp)} -> {fuse_words(d.fuse_amp)}")
    drops = (circuit.drop_percent, d.drop_percent)
    if drops[0] is not None and drops[1] is not None and abs(drops[0] - drops[1]) >= 0.05:
        out.append(f"volt drop {drops[0]:.1f} -> {drops[1]:.1f} %")
    if circuit.joints != d.joints:
        through = [
            ", ".join(n.joint(j) for j in x.joints) or "-"
            for x, n in ((circuit, before), (d, after))
        ]
        out.append(f"through {through[0]} -> {through[1]}")
    return out


def _findings(result: Result, b: Result, before: Names, after: Names) -> list[str]:
    old = {(finding.rule, x): finding for finding in result.findings for x in finding.about}
    new = {(f.rule, x): f for f in b.findings for x in f.about}
    out = []
    for key, f in old.items():
        if key not in new:
            about, rule = before.about((key[1],)), rule_words(f, before).rule
            out.append(f"no longer a {f.urgency}: {about}: {rule}")
    for key, f in new.items():
        if key not in old:
            w = rule_words(f, after)
            out.append(f"new {f.urgency}: {after.about((key[1],))}: {w.found} ({w.rule})")
    return out
