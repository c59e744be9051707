"""What to buy and what the wiring costs: drums and remnants, leads, fixings, hours; every line shown.

Prices and minutes are the job's own rates; the usual values are from memory, +-40 %: put in your own.
"""

from dataclasses import dataclass
from typing import Final

from layout.job.models import StockModel
from layout.verdict.rules import RuleFinding, Weight
from routing.circuits.cables import Cable
from routing.circuits.cabling import Cabling, own_mm
from routing.errors import RoutingError
from routing.sizes.conductors import catalogue
from routing.stock.drums import DrumPlan, Stock, plan_drums
from routing.stock.supports import Support

# Drums a supplier keeps and their price against the catalogue's metre: memory.
USUAL_DRUMS: Final = ((10_000.0, 1.15), (30_000.0, 1.0), (50_000.0, 0.95), (100_000.0, 0.9))
CUT_DEARER: Final = 1.3  # cut to length by the metre: 20 to 40 % dearer, memory


@dataclass(frozen=True, slots=True, eq=False)
class Bought:
    """One size of cable: the pieces, and the drums and remnants they are cut from."""

    cable: str
    pieces: tuple[tuple[str, float], ...]  # (circuit and pole, mm)
    plan: DrumPlan


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of the cost of the wiring."""

    what: str
    count: str
    each: float
    total: float


def buy(cabling: Cabling, seconds: float = 0.5) -> tuple[list[Bought], list[RuleFinding]]:
    """Cutting plans for every size of the job."""
    job = cabling.circuits.files.job
    pieces: dict[str, list[tuple[str, float]]] = {}
    for c in cabling.cables:
        if c.conductor is None or c.length is None or c.back_length is None:
            continue
        for pole, length in (("+", c.length.cut_mm), ("-", c.back_length.cut_mm)):
            pieces.setdefault(c.conductor.name, []).append((f"{c.number} {pole}", length))
    out: list[Bought] = []
    found: list[RuleFinding] = []
    for size in (k.name for k in catalogue(job.job.catalogue)):
        if size not in pieces:
            continue
        price = next(k.price for k in catalogue(job.job.catalogue) if k.name == size)
        mine = [s for s in job.stock if s.cable == size]
        stocks = _stocks(mine, price, [mm for _, mm in pieces[size]])
        try:
            out.append(
                Bought(
                    size,
                    tuple(sorted(pieces[size], key=lambda p: -p[1])),
                    plan_drums([mm for _, mm in pieces[size]], stocks, seconds),
                )
            )
        except RoutingError as e:
            found.append(
                RuleFinding(
                    Weight.MUST,
                    f"Cable {size}",
                    "runs cut whole, never jointed",
                    "common practice",
                    str(e),
                    "a drum that holds the longest run",
                    "Add a longer drum to 'stock'",
                )
            )
    return out, found


def _stocks(mine: list[StockModel], price: float, pieces: list[float]) -> list[Stock]:
    """What can be cut from: the job's own drums and remnants, or the usual drums and lengths cut to order."""
    out = [
        Stock(
            s.label or ("remnant" if s.count else "drum"),
            own_mm(s.length, f"stock ({s.cable}).length", 10.0),
            s.price,
            s.count,
        )
        for s in mine
    ]
    if not any(s.count is None for s in mine):
        out += [
            Stock(f"{mm / 1000:.0f} m drum", mm, round(price * mm / 1000 * factor, 2))
            for mm, factor in USUAL_DRUMS
        ]
        out += [
            Stock(
                f"{mm / 1000:.2f} m cut to order",
                mm,
                round(price * mm / 1000 * CUT_DEARER, 2),
                None,
                True,
            )
            for mm in sorted(set(pieces))
        ]
    return out


def costs(cabling: Cabling, bought: list[Bought], fixings: list[Support]) -> list[CostLine]:
    """What the wiring costs, cable by cable and by the hours it takes."""
    rates = cabling.circuits.files.job.rates
    minute = rates.hour / 60
    out = [
        CostLine(
            f"cable {b.cable}",
            ", ".join(f"{n} x {name}" for name, n in _drums(b)),
            0.0,
            b.plan.cost,
        )
        for b in bought
    ]
    leads = [
        c
        for c in cabling.cables
        if c.signal and c.length is not None and not cabling.circuits.models[c.number].lead_lengths
    ]
    metres = sum(c.length.cut_mm for c in leads if c.length is not None) / 1000
    if metres:
        out.append(
            CostLine(
                "data and aerial leads by the metre",
                f"{metres:.1f} m",
                rates.signal_per_metre,
                metres * rates.signal_per_metre,
            )
        )
    clips = sum(s.count for s in fixings if s.what.startswith("clip"))
    edging = sum(s.count for s in fixings if s.what.startswith("edging"))
    out += [
        CostLine("clips", str(clips), rates.clip, clips * rates.clip),
        CostLine("edging and grommets", str(edging), rates.edging, edging * rates.edging),
    ]
    for what, minutes in _minutes(cabling, clips, edging):
        out.append(CostLine(f"work: {what}", f"{minutes / 60:.1f} h", rates.hour, minutes * minute))
    return [line for line in out if line.total > 0 or not line.what.startswith("edging")]


def _drums(b: Bought) -> list[tuple[str, int]]:
    names: dict[str, int] = {}
    for cut in b.plan.cuts:
        names[cut.stock.name] = names.get(cut.stock.name, 0) + 1
    return list(names.items())


def _minutes(cabling: Cabling, clips: int, edging: int) -> list[tuple[str, float]]:
    boat, rates = cabling.circuits.boat, cabling.circuits.files.job.rates
    pulled: list[Cable] = [c for c in cabling.cables if c.route is not None and not c.mains]
    single = sum(r.length_mm for c in pulled for r in c.poles[:1]) / 1000
    holes = {j for c in pulled for r in c.poles for j in r.joints}
    pipes = sum(
        rates.pipe_minutes + (0.0 if boat.pipes[j].pull_string else rates.no_string_minutes)
        for j in holes
        if j in boat.pipes
    )
    ends = sum(2 * len(c.poles) for c in pulled)
    return [
        ("pulling", single * rates.pull_minutes_per_metre),
        ("holes and pipes", pipes + rates.hole_minutes * sum(j in boat.holes for j in holes)),
        ("clips", clips * rates.clip_minutes),
        ("edging", edging * rates.edging_minutes),
        ("ends, crimped and labelled", ends * rates.end_minutes),
    ]
