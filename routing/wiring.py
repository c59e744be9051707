"""Everything about a job's wiring in one result: the one door is `wire`."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType

from layout.job.reading import JobFiles
from layout.verdict.holding import holding_rules
from layout.verdict.rules import RuleFinding, Urgency, Values, gathered
from layout.verdict.standing import standing_rules
from layout.verdict.turned import turned_rules
from routing.circuits.cabling import Cabling, cable_all
from routing.circuits.circuits import Circuits
from routing.circuits.laying import CableEffort
from routing.network.claims import claim_rules
from routing.network.copper import copper_rules
from routing.network.endings import ending_rules
from routing.network.feeding import Draw, Fed, daily_draw, feed_network
from routing.network.lying import PlateHole, lying_rules, pair_rules, plate_holes
from routing.network.magnetic import SensorField, magnetic_rules, sensor_fields
from routing.network.poles import pole_rules
from routing.network.protection import FusePlace, protection
from routing.network.sources import BankReport, bank_reports, source_rules
from routing.network.starting import starting_rules
from routing.network.studs import ends_of
from routing.network.wire_list import lug_rules
from routing.signals.instruments import LaidBackbone, Lead, choose_leads, lay_backbones
from routing.sizes.fill import Bore, Filled, filled
from routing.stock.buying import Bought, CostLine, buy, costs
from routing.stock.placing import Support, place_supports, support_rules
from routing.stock.supports import Fixing, fixings
from routing.ways.separation import near_sensor

BESIDE_TOLD_MM = 150.0  # a data lead beside power for less than this is not told


@dataclass(frozen=True, slots=True, eq=False)
class Wiring:
    """Cables with their ways, what they share, what guards, holds and feeds them, what it costs."""

    cabling: Cabling
    fills: tuple[Filled, ...]
    fed: dict[str, Fed]
    fuses: tuple[FusePlace, ...]
    fixings: tuple[Fixing, ...]
    backbones: tuple[LaidBackbone, ...]
    leads: tuple[Lead, ...]
    bought: tuple[Bought, ...]
    costs: tuple[CostLine, ...]
    findings: tuple[RuleFinding, ...]
    draws: tuple[Draw, ...]
    banks: tuple[BankReport, ...]
    bank_amp_hour: float
    fields: tuple[SensorField, ...] = ()
    plate_holes: tuple[PlateHole, ...] = ()
    supports: tuple[Support, ...] = ()


def wire(
    circuits: Circuits,
    told: Callable[[str], None] = lambda _: None,
    effort: CableEffort | None = None,
) -> Wiring:
    """Work all the wiring of a job out."""
    effort = effort or CableEffort()
    circuits = replace(circuits, ends=MappingProxyType(ends_of(circuits)))
    cabling = cable_all(circuits, told, effort)
    told("fuses, fixings and drums")
    fed, found = feed_network(cabling)
    fuses, more = protection(cabling)
    laid, bus = lay_backbones(cabling)
    leads, parking = choose_leads(cabling)
    supports = place_supports(cabling)
    held = fixings(cabling, supports)
    draws, bank = daily_draw(cabling)
    fills = _fills(cabling)
    fields = sensor_fields(cabling)
    banks = bank_reports(circuits, {d.number: d.amp_hour for d in draws})
    bought, stock = buy(cabling, effort.drum_work, effort.ended)
    findings = [
        *_bank_draw(banks),
        *found,
        *more,
        *bus,
        *parking,
        *stock,
        *_bends(cabling),
        *_separation(cabling),
        *_pairs(cabling),
        *pair_rules(cabling),
        *lying_rules(cabling, fills),
        *magnetic_rules(fields),
        *support_rules(supports, cabling.circuits.boat),
        *_mains(cabling),
        *_bare(fills),
        *pole_rules(circuits),
        *claim_rules(circuits),
        *copper_rules(circuits),
        *source_rules(circuits),
        *ending_rules(cabling),
        *starting_rules(cabling),
        *lug_rules(cabling),
        *_places(circuits.files, circuits),
    ]
    return Wiring(
        cabling,
        tuple(fills),
        fed,
        tuple(fuses),
        tuple(held),
        tuple(laid),
        tuple(leads),
        tuple(bought),
        tuple(costs(cabling, bought, held)),
        tuple(gathered(findings)),
        tuple(draws),
        tuple(banks),
        bank,
        tuple(fields),
        tuple(plate_holes(cabling)),
        tuple(supports),
    )


def _bank_draw(banks: list[BankReport]) -> list[RuleFinding]:
    """More drawn of a bank in a day than it gives."""
    out = []
    for b in banks:
        if b.day_amp_hour > b.usable_amp_hour:
            values: Values = {
                "day_ah": b.day_amp_hour,
                "bank_ah": b.amp_hour,
                "gives_ah": b.usable_amp_hour,
            }
            out.append(RuleFinding("bank draw", Urgency.SHOULD, (f"bank:{b.key}",), values))
    return out


def _bare(fills: list[Filled]) -> list[RuleFinding]:
    """Holes with a bare edge that cable goes through."""
    return [
        RuleFinding("bare hole", Urgency.MUST, (f"joint:{f.key}",)) for f in fills if f.needs_edging
    ]


def _fills(cabling: Cabling) -> list[Filled]:
    """Every hole and pipe that holds a cable, with its fill."""
    boat = cabling.circuits.boat
    bores = [
        Bore(
            hole.key,
            "hole",
            hole.bore_mm,
            hole.holds_mm,
            hole.edge == "bare",
            gland=hole.edge == "gland",
            ways=hole.ways,
        )
        for hole in boat.holes.values()
    ]
    bores += [
        Bore(pipe.key, "pipe", pipe.bore_mm, pipe.holds_mm, False, pipe.length_mm)
        for pipe in boat.pipes.values()
    ]
    out = []
    for b in bores:
        passing = [
            (cable.number, cable.od_mm)
            for cable in cabling.cables
            for way in cable.poles
            if b.key in way.joints
        ]
        found = filled(b, passing)
        if found is not None:
            out.append(found)
    return out


def _places(files: JobFiles, circuits: Circuits) -> list[RuleFinding]:
    """The rules about where pieces stand, with what the types say of each."""
    protected: set[str] = set()
    magnetic: set[str] = set()
    for piece in circuits.boat.pieces.values():
        types = [files.types[part.type] for part in piece.parts.values()]
        if not piece.is_board:
            types = [files.types[piece.type]]
        if types and all(t.ignition_protected for t in types):
            protected.add(piece.key)
        if any(t.magnetic for t in types):
            magnetic.add(piece.key)
    boat = circuits.boat
    stands = {p.key: files.types[p.type].stands for p in boat.pieces.values() if p.type}
    stands |= {
        f"{p.key}.{k}": files.types[part.type].stands
        for p in boat.pieces.values()
        for k, part in p.parts.items()
    }
    held = holding_rules(boat) + turned_rules(boat, stands)
    return held + standing_rules(boat, frozenset(protected), frozenset(magnetic))


def _bends(cabling: Cabling) -> list[RuleFinding]:
    out = []
    for cable in cabling.cables:
        if cable.tight:
            t = min(cable.tight, key=lambda b: b.has_mm)
            values: Values = {
                "has_mm": t.has_mm,
                "needs_mm": t.needs_mm,
                "places": len(cable.tight),
                "lead": "data" if cable.signal else "power",
            }
            about = (f"circuit:{cable.number}",)
            out.append(RuleFinding("bend radius", Urgency.SHOULD, about, values))
    return out


def _separation(cabling: Cabling) -> list[RuleFinding]:
    return [
        RuleFinding(
            "data off power",
            Urgency.SHOULD,
            (f"circuit:{cable.number}",),
            {
                "beside_mm": cable.beside_power_mm,
                "spaces": tuple(f"space:{s}" for s in cable.beside_in),
            },
        )
        for cable in cabling.cables
        if cable.beside_power_mm > BESIDE_TOLD_MM
    ]


def _pairs(cabling: Cabling) -> list[RuleFinding]:
    """A pair that parts near a compass all the same."""
    boat = cabling.circuits.boat
    out = []
    for cable in cabling.cables:
        if not cable.laid.parted or cable.route is None or cable.back is None:
            continue
        if set(cable.route.joints) == set(cable.back.joints):
            continue
        z = near_sensor(boat, cable.route) or near_sensor(boat, cable.back)
        if z is not None:
            values: Values = {"hazard": f"hazard:{z.key}"}
            about = (f"circuit:{cable.number}",)
            out.append(RuleFinding("pair near compass", Urgency.SHOULD, about, values))
    return out


def _mains(cabling: Cabling) -> list[RuleFinding]:
    """Mains beside DC in one hole or pipe."""
    dc = {
        joint
        for cable in cabling.cables
        if not cable.mains
        for way in cable.poles
        for joint in way.joints
    }
    out = []
    for cable in cabling.cables:
        shared = (
            sorted(dc & set(cable.route.joints)) if cable.mains and cable.route is not None else []
        )
        if shared:
            values: Values = {"joints": tuple(f"joint:{j}" for j in shared)}
            about = (f"circuit:{cable.number}",)
            out.append(RuleFinding("mains apart", Urgency.MUST, about, values))
    return out
