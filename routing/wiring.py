"""Everything about a job's wiring in one result: the one door is `wire`."""

from collections.abc import Callable
from dataclasses import dataclass

from layout.boat.parts import Boat
from layout.job.reading import JobFiles
from layout.verdict.rules import RuleFinding, Weight, gathered
from layout.verdict.standing import standing_rules
from routing.circuits.cabling import CableEffort, Cabling, cable_all
from routing.network.feeding import Draw, Fed, daily_draw, feed_network
from routing.network.protection import FusePlace, protection
from routing.signals.instruments import LaidBackbone, Lead, choose_leads, lay_backbones
from routing.sizes.fill import Filled, filled
from routing.stock.buying import Bought, CostLine, buy, costs
from routing.stock.supports import Support, supports
from routing.ways.separation import near_sensor


@dataclass(frozen=True, slots=True, eq=False)
class Wiring:
    """Cables with their ways, what they share, what guards, holds and feeds them, and what it costs."""

    cabling: Cabling
    fills: tuple[Filled, ...]
    fed: dict[str, Fed]
    fuses: tuple[FusePlace, ...]
    fixings: tuple[Support, ...]
    backbones: tuple[LaidBackbone, ...]
    leads: tuple[Lead, ...]
    bought: tuple[Bought, ...]
    costs: tuple[CostLine, ...]
    findings: tuple[RuleFinding, ...]
    draws: tuple[Draw, ...]
    bank_amp_hour: float

    @property
    def well(self) -> bool:
        """True when no finding must be put right."""
        return not any(f.weight is Weight.MUST for f in self.findings)


def wire(
    files: JobFiles,
    boat: Boat,
    told: Callable[[str], None] = lambda _: None,
    effort: CableEffort | None = None,
) -> Wiring:
    """Work all the wiring of a job out. Raises JobError for circuits that make no sense."""
    effort = effort or CableEffort()
    cabling = cable_all(files, boat, told, effort)
    told("fuses, fixings and drums")
    fed, found = feed_network(cabling)
    fuses, more = protection(cabling)
    laid, bus = lay_backbones(cabling)
    leads, parking = choose_leads(cabling)
    fixings = supports(cabling)
    draws, bank = daily_draw(cabling)
    bought, stock = buy(cabling, effort.drum_seconds)
    findings = [
        *found,
        *more,
        *bus,
        *parking,
        *stock,
        *_bends(cabling),
        *_separation(cabling),
        *_pairs(cabling),
        *_mains(cabling),
        *_places(files, boat),
    ]
    return Wiring(
        cabling,
        tuple(filled(boat, list(cabling.cables))),
        fed,
        tuple(fuses),
        tuple(fixings),
        tuple(laid),
        tuple(leads),
        tuple(bought),
        tuple(costs(cabling, bought, fixings)),
        tuple(gathered(findings)),
        tuple(draws),
        bank,
    )


def _places(files: JobFiles, boat: Boat) -> list[RuleFinding]:
    """The rules about where things stand, with what the gear list says of each."""
    protected: set[str] = set()
    magnetic: set[str] = set()
    for name, board in files.job.boards.items():
        items = [files.gear[p.item] for p in board.parts.values()]
        if items and all(i.ignition_protected for i in items):
            protected.add(name)
        if any(i.magnetic for i in items):
            magnetic.add(name)
    for name, gear in files.job.gear.items():
        if files.gear[gear.item].ignition_protected:
            protected.add(name)
        if files.gear[gear.item].magnetic:
            magnetic.add(name)
    return standing_rules(boat, frozenset(protected), frozenset(magnetic))


def _bends(cabling: Cabling) -> list[RuleFinding]:
    out = []
    for c in cabling.cables:
        if c.tight:
            t = min(c.tight, key=lambda b: b.has_mm)
            source = (
                "NASA-STD-8739.4 7.3.21: 6 diameters"
                if c.signal
                else "ship class rule: 4 diameters"
            )
            places = f" at {len(c.tight)} places" if len(c.tight) > 1 else ""
            out.append(
                RuleFinding(
                    Weight.SHOULD,
                    f"Circuit {c.number}, {c.label}",
                    "the least bend radius kept",
                    source,
                    f"{t.has_mm:.0f} mm of room on its face{places}",
                    f"{t.needs_mm:.0f} mm",
                    "Let it bow off its clips there, or take two smaller cables",
                )
            )
    return out


def _separation(cabling: Cabling) -> list[RuleFinding]:
    return [
        RuleFinding(
            Weight.SHOULD,
            f"Circuit {c.number}, {c.label}",
            "data and aerial leads kept 300 mm from power where they run side by side",
            "common practice",
            f"{c.beside_power_mm / 1000:.1f} m beside power cable",
            "none",
            "Put it on the other side of the space there, or cross at a right angle",
        )
        for c in cabling.cables
        if c.beside_power_mm > 150.0
    ]


def _pairs(cabling: Cabling) -> list[RuleFinding]:
    """A pair that parts near a compass all the same."""
    out = []
    for c in cabling.cables:
        if (
            c.parted
            and c.route is not None
            and c.back is not None
            and set(c.route.joints) != set(c.back.joints)
        ):
            z = near_sensor(cabling.circuits.boat, c.route) or near_sensor(
                cabling.circuits.boat, c.back
            )
            if z is not None:
                out.append(
                    RuleFinding(
                        Weight.SHOULD,
                        f"Circuit {c.number}, {c.label}",
                        "the two conductors of a pair kept together near a compass",
                        "common practice: a split pair doubles the error",
                        f"they part within 1 m of {z.label}",
                        "one way for both, twisted",
                        "Return it to the board it is fed from",
                    )
                )
    return out


def _mains(cabling: Cabling) -> list[RuleFinding]:
    """Mains beside DC in one hole or pipe."""
    out = []
    for m in cabling.cables:
        if not m.mains or m.route is None:
            continue
        with_dc = {
            j
            for j in m.route.joints
            for c in cabling.cables
            if not c.mains and any(j in r.joints for r in c.poles)
        }
        if with_dc:
            out.append(
                RuleFinding(
                    Weight.MUST,
                    f"Circuit {m.number}, {m.label}",
                    "AC and DC not in one conduit or trunk",
                    "ISO 13297 and ABYC E-11 (extracts)",
                    f"shares {', '.join(sorted(with_dc))} with DC",
                    "a way of its own",
                    "Give it a hole or pipe of its own; a licensed person decides",
                )
            )
    return out
