"""The wiring as rows."""

from collections.abc import Iterable, Mapping

from layout.boat.faces import FACE_OF
from layout.geometry.frames import Array
from layout.verdict.rules import RuleFinding, Urgency
from routing.circuits.cables import Cable
from routing.circuits.circuits import Circuits
from routing.network.feeding import Fed
from routing.network.wire_list import wires
from routing.signals.instruments import LaidBackbone, Lead
from routing.sizes.fill import Filled
from routing.sizes.lengths import Length
from routing.sizes.sizing import Neighbour
from routing.stock.buying import Bought
from routing.stock.placing import bundle_mm
from routing.ways.bends import smooth
from routing.ways.ways import FaceKey
from routing.wiring import Wiring
from viewer.work.gather_boat import triple
from viewer.work.row import Vec
from viewer.work.rows import FindingRow
from viewer.work.wiring_rows import (
    BackboneRow,
    BankRow,
    BoreRow,
    CircuitRow,
    CostRow,
    CutRow,
    DetourRow,
    DeviceRow,
    DrawRow,
    FixingRow,
    FuseRow,
    LeadRow,
    LengthRow,
    NeighbourRow,
    NoWayRow,
    PieceOfCableRow,
    PullRow,
    RunPlanRow,
    RunRow,
    SizePlanRow,
    TeeRow,
    WireRow,
)


def finding_row(finding: RuleFinding) -> FindingRow:
    """A finding as a row."""
    return FindingRow.of(finding, urgency=finding.urgency.value)


def with_findings(wiring: dict[str, object], more: Iterable[RuleFinding]) -> dict[str, object]:
    """The wiring's rows with findings about the boat among its own, the most urgent first."""
    known = wiring["findings"]
    rows = [*(finding_row(f) for f in more), *(known if isinstance(known, tuple) else ())]
    order = [u.value for u in Urgency]
    return {**wiring, "findings": tuple(sorted(rows, key=lambda r: order.index(r.urgency)))}


def face_key(face: FaceKey | None) -> str | None:
    """A face as a row holds it: `SPACE.FACE`."""
    return None if face is None else f"{face[0]}.{FACE_OF[face[1], face[2]]}"


def _points(x: Array) -> tuple[Vec, ...]:
    return tuple(triple(p) for p in x)


def _length(x: Length | None) -> LengthRow | None:
    return None if x is None else LengthRow.of(x)


def _neighbour(n: Neighbour | None) -> NeighbourRow | None:
    if n is None:
        return None
    return NeighbourRow(size=n.conductor.name, drop_percent=n.drop_percent, dearer=n.dearer)


def _no_way(cable: Cable) -> NoWayRow | None:
    return (
        None
        if cable.no_way is None
        else NoWayRow.of(cable.no_way, barrier=cable.no_way.barrier.value)
    )


def circuit_row(cable: Cable, fed: Fed | None) -> CircuitRow:
    """One circuit's cable."""
    k, s = cable.chosen, cable.straight_conductor
    return CircuitRow(
        number=cable.number,
        label=cable.label,
        feed=cable.feed,
        load=cable.load,
        amps=cable.amps,
        volts=cable.volts,
        mains=cable.mains,
        signal=cable.signal,
        starter=cable.starter,
        link=cable.one,
        out=_length(cable.length),
        back=_length(cable.back_length),
        joints=cable.route.joints if cable.route is not None else (),
        conductors=cable.conductors,
        size=k.conductor.name if k else None,
        area_mm2=k.conductor.area_mm2 if k else None,
        decided_by=k.decided_by.value if k else None,
        drop_volt=cable.drop_volt if k else None,
        drop_percent=cable.drop_percent if k else None,
        drop_limit_percent=cable.drop_limit_percent,
        carries_amp=cable.carries_amp if k else None,
        fuse_amp=cable.fuse_amp,
        down=_neighbour(k.down if k else None),
        up=_neighbour(k.up if k else None),
        straight_mm=cable.straight_mm,
        straight_size=s.name if s else None,
        straight_area_mm2=s.area_mm2 if s else None,
        outside_diameter_mm=cable.od_mm,
        plug_mm=cable.plug_mm,
        bend_radius_mm=cable.radius_mm,
        beside_power_mm=cable.beside_power_mm,
        beside_in=cable.beside_in,
        pulled_mm=cable.pulled_mm,
        no_way=_no_way(cable),
        detours=tuple(DetourRow.of(d, rule=d.rule.value) for d in cable.detours),
        line=_points(smooth(cable.route, cable.radius_mm)) if cable.route is not None else (),
        cold_percent=fed.cold_percent if fed else None,
        hot_percent=fed.hot_percent if fed else None,
        in_order=cable.in_order,
    )


def bore_row(f: Filled) -> BoreRow:
    """How full a hole or pipe is."""
    return BoreRow(
        key=f.key,
        kind=f.kind,
        bore_mm=f.bore_mm,
        cables=f.cables,
        fill=f.fill,
        limit=f.limit,
        too_full=f.too_full,
        needs_edging=f.needs_edging,
        least_bore_mm=f.least_bore_mm,
        may_jam=f.may_jam,
        jam_ratio=f.jam_ratio,
        circuits=f.circuits,
    )


def _runs(w: Wiring) -> tuple[RunRow, ...]:
    cables = w.cabling.by_number()
    out = []
    for run, numbers in zip(w.cabling.runs, w.cabling.run_circuits, strict=True):
        ods = [cables[n].od_mm for n in numbers for _ in range(cables[n].conductors)]
        out.append(
            RunRow(
                where=run.where,
                kind=run.kind,
                face=face_key(run.face),
                circuits=numbers,
                length_mm=run.length_mm,
                bundle_mm=bundle_mm(ods),
                points=_points(run.points),
            )
        )
    return tuple(out)


def _backbone(b: LaidBackbone, circuits: Circuits) -> BackboneRow:
    r, model = b.report, circuits.files.job.backbones[b.key]
    places = {t: circuits.boat.tees[b.key, t] for t in model.tees}
    devices = tuple(
        DeviceRow(tee=t.name, along_mm=t.along_mm, on=d.name, drop_lead_mm=d.drop_mm, loads=d.loads)
        for t in b.backbone.tees
        for d in t.devices
    )
    return BackboneRow(
        key=b.key,
        length_mm=r.run_mm,
        counted_mm=r.counted_mm,
        drop_leads_mm=r.drops_mm,
        longest_drop_lead_mm=r.longest_drop_mm,
        loads=r.loads,
        amp=r.amp,
        spread_volt=r.spread_volt,
        findings=len(r.findings),
        devices=devices,
        feed=model.feed,
        feed_tee=model.feed_tee,
        fuse_amp=model.fuse_amp,
        tees=tuple(TeeRow(key=t, space=s, at_mm=triple(x)) for t, (s, x) in places.items()),
        joints=tuple(dict.fromkeys(j for route in b.routes for j in route.joints)),
    )


def _lead(x: Lead) -> LeadRow:
    p = x.parked
    return LeadRow(
        number=x.number,
        needs_mm=x.needs_mm,
        length_mm=x.length_mm,
        surplus_mm=x.surplus_mm,
        coil_mm=x.coil,
        face=face_key(p.face) if p else None,
        beside=p.beside if p else None,
        from_end_mm=p.from_end_mm if p else None,
        from_power_mm=p.from_power_mm if p else None,
    )


def _cuts(b: Bought) -> list[CutRow]:
    left = list(b.pieces)
    out = []
    for cut in b.plan.cuts:
        pieces = []
        for mm in cut.pieces_mm:
            k = next(i for i, p in enumerate(left) if p[2] == mm)
            number, pole, length = left.pop(k)
            pieces.append(PieceOfCableRow(number=number, pole=pole, length_mm=length))
        out.append(
            CutRow(
                cable=b.cable,
                stock=cut.stock.name,
                stock_mm=cut.stock.length_mm,
                price=cut.stock.cost,
                pieces=tuple(pieces),
                left_mm=cut.left_mm,
                plan_cost=b.plan.cost,
                plan_bound=b.plan.bound,
                proven_cheapest=b.plan.proven_best,
                colour=b.colour,
            )
        )
    return out


def wiring_rows(w: Wiring) -> Mapping[str, object]:
    """Everything about the wiring, by the result's keys."""
    c = w.cabling
    return {
        "circuits": tuple(circuit_row(cable, w.fed.get(cable.number)) for cable in c.cables),
        "holes_and_pipes": tuple(bore_row(f) for f in w.fills),
        "runs": _runs(w),
        "run_plans": tuple(RunPlanRow.of(p, group=g) for g, p in c.plans),
        "pulls": tuple(PullRow.of(p) for p in c.pulls),
        "fuses": tuple(FuseRow.of(fuse, at=fuse.at.value) for fuse in w.fuses),
        "fixings": tuple(FixingRow.of(fixing, kind=fixing.kind.value) for fixing in w.fixings),
        "backbones": tuple(_backbone(b, c.circuits) for b in w.backbones),
        "leads": tuple(_lead(x) for x in w.leads),
        "cuts": tuple(row for b in w.bought for row in _cuts(b)),
        "costs": tuple(CostRow.of(k, kind=k.kind.value) for k in w.costs),
        "wires": tuple(WireRow.of(x) for x in wires(c)),
        "size_plan": SizePlanRow(
            insulation_degc=c.circuits.files.job.job.insulation,
            cost=c.tree.cost if c.tree is not None else 0.0,
            bound=c.tree.bound if c.tree is not None else 0.0,
        ),
        "banks": tuple(BankRow.of(b) for b in w.banks),
        "draws": tuple(DrawRow.of(draw) for draw in w.draws),
        "bank_amp_hour": w.bank_amp_hour,
        "findings": tuple(finding_row(finding) for finding in w.findings),
    }
