"""What to buy and what the wiring's goods cost: drums and remnants, leads, fixings; each line
shown.

Prices and minutes are the job's own rates; usual values are from memory, +-40 %: put in your own.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from layout.job.job_file import StockModel
from layout.passage.work import Work, never
from layout.verdict.rules import RuleFinding, Urgency, Values
from routing.circuits.cabling import Cabling
from routing.errors import TooLong
from routing.network.wire_list import PLUS_COLOUR
from routing.sizes.conductors import catalogue
from routing.stock.drums import DrumPlan, plan_drums
from routing.stock.patterns import Stock
from routing.stock.supports import Fixing, FixingKind

# Drums a supplier keeps and their price against the catalogue's metre: memory.
USUAL_DRUMS: Final = ((10_000.0, 1.15), (30_000.0, 1.0), (50_000.0, 0.95), (100_000.0, 0.9))
CUT_DEARER: Final = 1.3  # cut to length by the metre: 20 to 40 % dearer, memory
DRUM, ORDERED, SHELF = "drum", "cut to order", "shelf"


@dataclass(frozen=True, slots=True, eq=False)
class Bought:
    """One size and colour of cable: the pieces (circuit, pole, mm), and the cuts they come from.

    `colour` is empty where both poles are cut from one drum.
    """

    cable: str
    colour: str
    pieces: tuple[tuple[str, str, float], ...]
    plan: DrumPlan


class CostKind(StrEnum):
    """What a line of the cost is for."""

    CABLE = "cable"
    SIGNAL = "signal cable"
    CLIPS = "clips"
    EDGING = "edging"


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of the cost of the wiring: how many of what unit, at how much each."""

    kind: CostKind
    count: float
    unit: str  # "lot", "m", "piece" or "h"
    each: float
    total: float
    cable: str = ""


def buy(
    cabling: Cabling, work: int, ended: Callable[[], bool] = never
) -> tuple[list[Bought], list[RuleFinding]]:
    """Cutting plans for every size of the job."""
    circuits = cabling.circuits
    job = circuits.files.job
    pieces: dict[str, list[tuple[str, str, float]]] = {}
    for c in cabling.cables:
        if c.conductor is None or c.sized_mm is None:
            continue
        first = circuits.feeds[c.number].terminal.pole if c.one else "plus"
        poles = ("-", "-") if first == "minus" else ("+", "-")
        for pole, length in zip(poles, c.lengths, strict=False):
            pieces.setdefault(c.conductor.name, []).append((c.number, pole, length.cut_mm))
    out: list[Bought] = []
    found: list[RuleFinding] = []
    colours = {"+": PLUS_COLOUR, "-": job.job.minus_colour} if job.job.drum_colours else {}
    for k in catalogue(job.job.catalogue):
        stock = [
            (s, mm)
            for s, mm in zip(job.stock, circuits.boat.stock_mm, strict=True)
            if s.cable == k.name
        ]
        for colour in dict.fromkeys(colours.values()) if colours else ("",):
            mine = [p for p in pieces.get(k.name, ()) if colours.get(p[1], "") == colour]
            if not mine:
                continue
            lengths = [mm for _, _, mm in mine]
            try:
                stocks = _stocks(stock, k.price, lengths)
                plan = plan_drums(lengths, stocks, Work(work, ended=ended))
                cut = tuple(sorted(mine, key=lambda p: -p[2]))
                out.append(Bought(k.name, colour, cut, plan))
                stock = _less(stock, plan)
            except TooLong as e:
                values: Values = {"run_mm": e.run_mm, "longest_mm": e.longest_mm}
                about = (f"cable:{k.name}",)
                found.append(RuleFinding("run whole", Urgency.MUST, about, values))
                break
    return out, found


def _less(stock: list[tuple[StockModel, float]], plan: DrumPlan) -> list[tuple[StockModel, float]]:
    """What is left of the stock for the next colour."""
    used = Counter((c.stock.name, c.stock.length_mm) for c in plan.cuts)
    out = []
    for s, mm in stock:
        if s.count is not None:
            taken = min(used[s.label or SHELF, mm], s.count)
            used[s.label or SHELF, mm] -= taken
            s = s.model_copy(update={"count": s.count - taken})
        if s.count is None or s.count > 0:
            out.append((s, mm))
    return out


def _stocks(mine: list[tuple[StockModel, float]], price: float, cut: list[float]) -> list[Stock]:
    """What can be cut from: the job's own stock, or the usual drums and lengths cut to order."""
    out = [Stock(s.label or SHELF, mm, s.price, s.count) for s, mm in mine]
    if not any(s.count is None for s, _ in mine):
        out += [Stock(DRUM, mm, round(price * mm / 1000 * factor, 2)) for mm, factor in USUAL_DRUMS]
        out += [
            Stock(ORDERED, mm, round(price * mm / 1000 * CUT_DEARER, 2), None, True)
            for mm in sorted(set(cut))
        ]
    return out


def costs(cabling: Cabling, bought: list[Bought], fixings: list[Fixing]) -> list[CostLine]:
    """What the wiring's goods cost, cable by cable."""
    rates = cabling.circuits.files.job.rates
    out = []
    for b in bought:
        cable, cuts = f"{b.cable} {b.colour}".strip(), float(len(b.plan.cuts))
        out.append(CostLine(CostKind.CABLE, cuts, "lot", 0.0, b.plan.cost, cable))
    lengths = cabling.circuits.boat.lengths
    leads = [c for c in cabling.cables if c.signal and not lengths[c.number].leads]
    metres = sum(c.length.cut_mm for c in leads if c.length is not None) / 1000
    clips = sum(fixing.count for fixing in fixings if fixing.kind is FixingKind.CLIP)
    edging = sum(f.count for f in fixings if f.kind is FixingKind.EDGING)

    def line(kind: CostKind, count: float, unit: str, each: float) -> CostLine:
        return CostLine(kind, count, unit, each, count * each)

    out += [
        line(CostKind.SIGNAL, metres, "m", rates.signal_per_metre),
        line(CostKind.CLIPS, clips, "piece", rates.clip),
        line(CostKind.EDGING, edging, "piece", rates.edging),
    ]
    return [c for c in out if c.total > 0]


def laying_work(cabling: Cabling) -> float:
    """What laying the cable costs at the job's rates, before access counts: to compare ways."""
    boat, rates = cabling.circuits.boat, cabling.circuits.files.job.rates
    pulled = [cable for cable in cabling.cables if cable.route is not None and not cable.mains]
    metres = sum(way.length_mm for cable in pulled for way in cable.poles[:1]) / 1000
    used = {joint for cable in pulled for way in cable.poles for joint in way.joints}
    holes = rates.hole_minutes * sum(j in boat.holes for j in used)
    pipes = sum(
        rates.pipe_minutes + (0.0 if boat.pipes[j].pull_string else rates.no_string_minutes)
        for j in used
        if j in boat.pipes
    )
    ends = sum(2 * len(c.poles) for c in pulled)
    minutes = metres * rates.pull_minutes_per_metre + pipes + holes + ends * rates.end_minutes
    return minutes / 60 * rates.hour
