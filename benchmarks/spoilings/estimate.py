"""Spoilings of the estimate, its states and its papers."""

from benchmarks.spoilings.spoiling import Spoiling

SUMS = "tests/closed_form/test_estimate.py"
PAPERS = "tests/whole_job/test_estimate_papers.py"
DIAGRAMS = "tests/invariants/test_diagrams.py"
WIRING = "tests/whole_job/test_demo_wiring.py"
GOODS = "tests/whole_job/test_goods.py"
ESTIMATE_SPOILINGS = (
    Spoiling(
        "estimate: the likely time counts once",
        "routing/estimate/three_point.py",
        "return (self.least + 4 * self.likely + self.most) / 6",
        "return (self.least + self.likely + self.most) / 3",
        SUMS,
    ),
    Spoiling(
        "estimate: like tasks are independent",
        "routing/estimate/three_point.py",
        "by_kind[kind] = by_kind.get(kind, 0.0) + t.deviation",
        "by_kind[kind] = (by_kind.get(kind, 0.0) ** 2 + t.deviation**2) ** 0.5",
        SUMS,
    ),
    Spoiling(
        "estimate: a narrow opening costs nothing",
        "routing/estimate/access.py",
        "factor += ONE_ARM",
        "factor += 0.0",
        SUMS,
    ),
    Spoiling(
        "estimate: one job gone wrong decides",
        "routing/estimate/learning.py",
        "middle = median(ratios)",
        "middle = sum(ratios) / len(ratios)",
        SUMS,
    ),
    Spoiling(
        "estimate: tax is left out",
        "viewer/work/estimate/estimating.py",
        "tax = cents(net * shop.tax_percent / 100)",
        "tax = 0.0",
        PAPERS,
    ),
    Spoiling(
        "estimate: the shop's price comes last",
        "viewer/work/estimate/goods.py",
        "if told is not None:",
        "if told is not None and each is None:",
        PAPERS,
    ),
    Spoiling(
        "estimate: a section struck out still counts",
        "viewer/sheets/quote/workbook.py",
        'f"=ROUND(A{row}*SUMIF({area}),4)"',
        'f"=ROUND(SUMIF({area}),4)"',
        PAPERS,
    ),
    Spoiling(
        "estimate: the shelf is taken from twice",
        "viewer/work/shelving.py",
        "if taken is not None:",
        "if False:",
        PAPERS,
    ),
    Spoiling(
        "estimate: a larger set to measure than needed",
        "layout/verdict/again.py",
        "if all(d.settled(again) for d in can):",
        "if n > 2 and all(d.settled(again) for d in can):",
        SUMS,
    ),
    Spoiling(
        "hand-over: names stand on words",
        "viewer/sheets/handover/diagram.py",
        "low = min([low, *(off - LABEL - OVER_MM for off in arrive)])",
        "low = min([low, *(0.0 for off in arrive)])",
        DIAGRAMS,
    ),
    Spoiling(
        "hand-over: a line that arrives where another leaves is not minded",
        "viewer/sheets/handover/lanes.py",
        "if a != b and abs(one.left + one.jog - other.right) < NEAR_MM:",
        "if a != b and abs(one.left + one.jog - other.right) < 0:",
        DIAGRAMS,
    ),
    Spoiling(
        "hand-over: lines that pass a layer go through what stands there",
        "viewer/sheets/handover/layered.py",
        "steps = sorted([*ends, *self._passes(w)])",
        "steps = sorted(ends)",
        DIAGRAMS,
    ),
    Spoiling(
        "hand-over: a diagram is another every time",
        "viewer/sheets/handover/layered.py",
        "edges = [_Edge(k, vertices[a], vertices[b]) for k, (a, b) in enumerate(once)]",
        "edges = [Edge(vertices[a], vertices[b]) for a, b in once]",
        DIAGRAMS,
    ),
    Spoiling(
        "hand-over: a drop over a fifth is no matter",
        "viewer/words/handover.py",
        "volts > OVER * c.drop_volt",
        "volts > 99 * c.drop_volt",
        PAPERS,
    ),
    Spoiling(
        "estimate: every jog is a bend",
        "viewer/work/estimate/bends.py",
        "if last is None or not _near(points[k], [last]):",
        "if last is None or not _near(points[k], []):",
        SUMS,
    ),
    Spoiling(
        "goods: a breaker is bought as a fuse",
        "viewer/work/estimate/goods.py",
        "(f for f in fuses if f.amp is not None and not f.breaker)",
        "(f for f in fuses if f.amp is not None)",
        GOODS,
    ),
    Spoiling(
        "goods: a single holder takes no fuse",
        "viewer/work/estimate/goods.py",
        "if p.fuse_amp is not None and not p.breaker:",
        "if p.fuse_amp is None:",
        GOODS,
    ),
    Spoiling(
        "fill: thick cables pass side by side in any bore",
        "routing/sizes/fill.py",
        "return over or self.bore_mm < self.round_mm - 1e-9",
        "return over",
        "tests/closed_form/test_lengths_and_costs.py",
    ),
    Spoiling(
        "buying: both colours from one drum",
        "routing/stock/buying.py",
        "if job.job.drum_colours else {}",
        "if not job.job.drum_colours else {}",
        GOODS,
    ),
    Spoiling(
        "protection: a fuse at a battery stops a branch's figure",
        "routing/network/protection.py",
        "main = at_battery or at is FuseAt.BATTERY_END",
        "main = at_battery",
        WIRING,
    ),
    Spoiling(
        "protection: steps end at a link",
        "routing/network/protection.py",
        "fused = (n for n in cabling.circuits.above(cable.number)",
        "fused = (n for n in cabling.circuits.above(cable.number)[:1]",
        WIRING,
    ),
    Spoiling(
        "guards: a charger past the shunt is no matter",
        "routing/network/guards.py",
        "if past and not led and circuits.bank_of(load.place) in watched:",
        "if past and led and circuits.bank_of(load.place) in watched:",
        WIRING,
    ),
    Spoiling(
        "claims: a minus link takes a way",
        "routing/network/claims.py",
        'and feed.terminal.pole != "minus"',
        'and feed.terminal.pole != "none"',
        GOODS,
    ),
)
