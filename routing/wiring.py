"""Everything about a job's wiring in one result: the one door is `wire`."""

from collections.abc import Callable
from dataclasses import dataclass

from layout.job.reading import JobFiles
from layout.verdict.holding import holding_rules
from layout.verdict.rules import RuleFinding, Urgency, Values, gathered
from layout.verdict.standing import standing_rules
from routing.circuits.cabling import Cabling, cable_all
from routing.circuits.circuits import Circuits
from routing.circuits.laying import CableEffort
from routing.network.claims import claim_rules
from routing.network.feeding import Draw, Fed, daily_draw, feed_network
from routing.network.poles import pole_rules
from routing.network.protection import FusePlace, protection
from routing.signals.instruments import LaidBackbone, Lead, choose_leads, lay_backbones
from routing.sizes.fill import Bore, Filled, filled
from routing.stock.buying import Bought, CostLine, buy, costs
from routing.stock.supports import Fixing, fixings
from routing.ways.separation import near_sensor

BANK_SHARE = 0.5  # of a lead-acid bank, between charges: common practice
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
    bank_amp_hour: float


def wire(
    circuits: Circuits,
    told: Callable[[str], None] = lambda _: None,
    effort: CableEffort | None = None,
) -> Wiring:
    """Work all the wiring of a job out."""
    effort = effort or CableEffort()
    cabling = cable_all(circuits, told, effort)
    told("fuses, fixings and drums")
    fed, found = feed_network(cabling)
    fuses, more = protection(cabling)
    laid, bus = lay_backbones(cabling)
    leads, parking = choose_leads(cabling)
    held = fixings(cabling)
    draws, bank = daily_draw(cabling)
    bought, stock = buy(cabling, effort.drum_work, effort.ended)
    findings = [
        *_bank_draw(draws, bank),
        *found,
        *more,
        *bus,
        *parking,
        *stock,
        *_bends(cabling),
        *_separation(cabling),
        *_pairs(cabling),
        *_mains(cabling),
        *pole_rules(circuits),
        *claim_rules(circuits),
        *_places(circuits.files, circuits),
    ]
    return Wiring(
        cabling,
        tuple(_fills(cabling)),
        fed,
        tuple(fuses),
        tuple(held),
        tuple(laid),
        tuple(leads),
        tuple(bought),
        tuple(costs(cabling, bought, held)),
        tuple(gathered(findings)),
        tuple(draws),
        bank,
    )


def _bank_draw(draws: list[Draw], bank: float) -> list[RuleFinding]:
    """More drawn in a day than the wired bank gives."""
    day, gives = sum(d.amp_hour for d in draws), BANK_SHARE * bank
    if day <= gives:
        return []
    values: Values = {"day_ah": day, "bank_ah": bank, "gives_ah": gives}
    return [RuleFinding("bank draw", Urgency.SHOULD, ("job:batteries",), values)]


def _fills(cabling: Cabling) -> list[Filled]:
    """Every hole and pipe that holds a cable, with its fill."""
    boat = cabling.circuits.boat
    bores = [
        Bore(h.key, "hole", h.bore_mm, h.holds_mm, h.edge == "bare") for h in boat.holes.values()
    ]
    bores += [Bore(p.key, "pipe", p.bore_mm, p.holds_mm, False) for p in boat.pipes.values()]
    out = []
    for b in bores:
        passing = [
            (c.number, c.od_mm) for c in cabling.cables for r in c.poles if b.key in r.joints
        ]
        found = filled(b, passing)
        if found is not None:
            out.append(found)
    return out


def _places(files: JobFiles, circuits: Circuits) -> list[RuleFinding]:
    """The rules about where pieces stand, with what the types say of each."""
    protected: set[str] = set()
    magnetic: set[str] = set()
    for p in circuits.boat.pieces.values():
        types = [files.types[x.type] for x in p.parts.values()]
        if not p.is_board:
            types = [files.types[p.type]]
        if types and all(t.ignition_protected for t in types):
            protected.add(p.key)
        if any(t.magnetic for t in types):
            magnetic.add(p.key)
    held = holding_rules(circuits.boat)
    return held + standing_rules(circuits.boat, frozenset(protected), frozenset(magnetic))


def _bends(cabling: Cabling) -> list[RuleFinding]:
    out = []
    for c in cabling.cables:
        if c.tight:
            t = min(c.tight, key=lambda b: b.has_mm)
            values: Values = {
                "has_mm": t.has_mm,
                "needs_mm": t.needs_mm,
                "places": len(c.tight),
                "lead": "data" if c.signal else "power",
            }
            about = (f"circuit:{c.number}",)
            out.append(RuleFinding("bend radius", Urgency.SHOULD, about, values))
    return out


def _separation(cabling: Cabling) -> list[RuleFinding]:
    return [
        RuleFinding(
            "data off power",
            Urgency.SHOULD,
            (f"circuit:{c.number}",),
            {"beside_mm": c.beside_power_mm},
        )
        for c in cabling.cables
        if c.beside_power_mm > BESIDE_TOLD_MM
    ]


def _pairs(cabling: Cabling) -> list[RuleFinding]:
    """A pair that parts near a compass all the same."""
    boat = cabling.circuits.boat
    out = []
    for c in cabling.cables:
        if not c.laid.parted or c.route is None or c.back is None:
            continue
        if set(c.route.joints) == set(c.back.joints):
            continue
        z = near_sensor(boat, c.route) or near_sensor(boat, c.back)
        if z is not None:
            values: Values = {"hazard": f"hazard:{z.key}"}
            about = (f"circuit:{c.number}",)
            out.append(RuleFinding("pair near compass", Urgency.SHOULD, about, values))
    return out


def _mains(cabling: Cabling) -> list[RuleFinding]:
    """Mains beside DC in one hole or pipe."""
    dc = {j for c in cabling.cables if not c.mains for r in c.poles for j in r.joints}
    out = []
    for m in cabling.cables:
        shared = sorted(dc & set(m.route.joints)) if m.mains and m.route is not None else []
        if shared:
            values: Values = {"joints": tuple(f"joint:{j}" for j in shared)}
            about = (f"circuit:{m.number}",)
            out.append(RuleFinding("mains apart", Urgency.MUST, about, values))
    return out
