"""Which size a cable must be, what the sizes beside it would cost and drop, and its fuse."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from layout.job.job_file import CircuitModel
from routing.sizes.conductors import (
    ENGINE_DEGC,
    INSULATION_DEGC,
    RUNNING_DEGC,
    Conductor,
    catalogue,
    engine_share,
    next_sizes,
)

LEAST_MM2: Final = 1.0  # ISO 10133:2012 7.7, single conductor longer than 200 mm
# Standard fuse ratings: ISO 8820-3 blade sizes, then the bolted sizes of NEC 240.6(A).
FUSES: Final = (
    1,
    2,
    3,
    4,
    5,
    7.5,
    10,
    15,
    20,
    25,
    30,
    35,
    40,
    50,
    60,
    70,
    80,
    100,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
    350,
    400,
)
USUAL_DROP_PERCENT: Final = 10.0  # ISO 10133; ABYC E-11: of circuits that are not critical
CRITICAL_DROP_PERCENT: Final = 3.0  # of those that are
SAME_MM2: Final = 1e-6
# a fuse lets twice its rating by for a quarter of a second and more: ISO 8820-3, from memory
INRUSH_TIMES: Final = 2.0
FUSE_MARGIN: Final = 1.25  # of the load: a fuse at its rating ages; common practice
# Conductors in one bundle and the share of ampacity left: 33 CFR 183.425 table 5 note 2. The
# regulation asks it only of circuits of 50 V or more (183.435(b)); under that a job may ask for it.
BUNDLE_FACTORS: Final = ((25, 0.40), (7, 0.50), (4, 0.60), (3, 0.70))
BUNDLE_VOLT: Final = 50.0


class DecidedBy(StrEnum):
    """What decided a size."""

    LEAST = "least size"
    CURRENT = "current"
    DROP = "drop"
    FUSE = "fuse"
    SHARED = "drop shared with what it feeds"
    GIVEN = "given"
    NOT_ENOUGH = "no size is enough"


@dataclass(frozen=True, slots=True)
class Lies:
    """How a cable lies, for what it carries: in heat, and in a bundle of so many conductors."""

    hot: bool = False
    bundled: int = 0
    insulation_degc: int = INSULATION_DEGC

    @property
    def degc(self) -> float:
        """The conductor temperature drops are told at."""
        return ENGINE_DEGC if self.hot else RUNNING_DEGC


@dataclass(frozen=True, slots=True)
class Neighbour:
    """The next size down or up: its drop over the whole path and how much dearer it is."""

    conductor: Conductor
    drop_percent: float
    dearer: float


@dataclass(frozen=True, slots=True)
class Chosen:
    """A size, what decided it, the drop over this cable and over the whole path, and neighbours."""

    conductor: Conductor
    decided_by: DecidedBy
    own_drop_volt: float
    whole_drop_volt: float
    carries_amp: float
    down: Neighbour | None = None
    up: Neighbour | None = None


def bundle_factor(conductors: int) -> float:
    """The share of ampacity left in a bundle of so many current-carrying conductors."""
    return next((f for n, f in BUNDLE_FACTORS if conductors >= n), 1.0)


def counts_in_bundle(volts: float, bundled: int, asked: bool) -> int:
    """How many conductors count for derating: under 50 V only where a job asks for it."""
    return bundled if volts >= BUNDLE_VOLT or asked else 0


def carries(conductor: Conductor, lies: Lies) -> float:
    """Ampacity in A of a size where it lies: engine space and bundle."""
    share = engine_share(lies.insulation_degc) if lies.hot else 1.0
    return conductor.ampacity_amp(lies.insulation_degc) * share * bundle_factor(lies.bundled)


def choose(
    model: CircuitModel,
    volts: float,
    both_mm: float,
    upstream_volt: float,
    name: str,
    lies: Lies,
    fused: bool = False,
    drop_percent: float | None = None,
    from_mm2: float = 0.0,
) -> Chosen:
    """The smallest size of a catalogue that carries enough, and drops little enough.

    `both_mm` is the length out and back. With `fused` a standard fuse for the load is to be no more
    than the size carries, so that both fit. `drop_percent` is the most allowed over the whole path,
    where it is not the circuit's own; `from_mm2` the least area, where sharing the drop with what
    it feeds asks for it. When even the largest drops too much it is returned all the same, decided
    by NOT_ENOUGH.
    """
    sizes = catalogue(name)
    percent = drop_percent if drop_percent is not None else model.drop_percent or USUAL_DROP_PERCENT
    allowed = volts * percent / 100 - upstream_volt
    decided = DecidedBy.LEAST

    def made(conductor: Conductor, by: DecidedBy) -> Chosen:
        own = model.amps * conductor.ohm(both_mm, lies.degc)
        down, up = _beside(conductor, name, model, volts, both_mm, upstream_volt, lies)
        return Chosen(conductor, by, own, upstream_volt + own, carries(conductor, lies), down, up)

    for k in sizes:
        if model.cable is not None:
            if k.name == model.cable:
                return made(k, DecidedBy.GIVEN)
            continue
        if k.area_mm2 < LEAST_MM2:
            continue
        if carries(k, lies) < model.amps:
            decided = DecidedBy.CURRENT
            continue
        if fused and not _guarded(model, carries(k, lies)):
            decided = DecidedBy.FUSE
            continue
        if model.amps * k.ohm(both_mm, lies.degc) > allowed and not model.starter:
            decided = DecidedBy.DROP
            continue
        if k.area_mm2 < from_mm2 - SAME_MM2:
            decided = DecidedBy.SHARED
            continue
        return made(k, decided)
    return made(sizes[-1], DecidedBy.NOT_ENOUGH)


def able_sizes(
    model: CircuitModel, name: str, lies: Lies, guard_amp: float = 0.0
) -> tuple[Conductor, ...]:
    """The sizes that carry a circuit, its fuse and the fuse before it; the largest where none
    does, and the one given where one is.
    """
    sizes = catalogue(name)
    if model.cable is not None:
        return tuple(k for k in sizes if k.name == model.cable) or sizes[-1:]
    able = [
        k
        for k in sizes
        if k.area_mm2 >= LEAST_MM2
        and carries(k, lies) >= max(model.amps, guard_amp)
        and (model.link or _guarded(model, carries(k, lies)))
    ]
    return tuple(able) or sizes[-1:]


def asked_of(model: CircuitModel, guard_amp: float) -> CircuitModel:
    """A link as it is sized: for the fuse before it, with none of its own."""
    if not model.link:
        return model
    return model.model_copy(update={"fuse_amp": guard_amp or None, "fuse_at": None})


def usual_fuse(model: CircuitModel) -> float:
    """The fuse a circuit is given or would have: the least a quarter above its load."""
    if model.fuse_amp is not None:
        return model.fuse_amp
    return next((float(f) for f in FUSES if f >= least_fuse(model)), 0.0)


def _guarded(model: CircuitModel, carries_amp: float) -> bool:
    """True when a standard fuse a quarter above the load is no more than a size carries; a fuse
    that is given is to be no more than that, and a load no fuse is made for asks none.
    """
    if model.starter:
        return True
    if model.fuse_amp is not None:
        return model.fuse_amp <= carries_amp or model.fuse_amp > FUSES[-1]
    above = [float(f) for f in FUSES if f >= least_fuse(model)]
    return not above or above[0] <= carries_amp


def least_fuse(model: CircuitModel) -> float:
    """The least rating for a load: a quarter above it, and half of what it draws at first."""
    return max(model.amps * FUSE_MARGIN, (model.inrush_amps or 0.0) / INRUSH_TIMES)


def _beside(
    conductor: Conductor,
    name: str,
    model: CircuitModel,
    volts: float,
    both_mm: float,
    upstream_volt: float,
    lies: Lies,
) -> tuple[Neighbour | None, Neighbour | None]:
    """The next size down and up, with its drop (whole path) and what it adds to the price."""

    def one(other: Conductor | None) -> Neighbour | None:
        if other is None:
            return None
        drop = upstream_volt + model.amps * other.ohm(both_mm, lies.degc)
        return Neighbour(
            other, 100 * drop / volts, (other.price - conductor.price) * both_mm / 1000
        )

    down, up = next_sizes(conductor, name)
    return one(down), one(up)


def fuse_for(model: CircuitModel, chosen: Chosen | None) -> float | None:
    """The least standard fuse 25 % above the load that the size carries, else above the load."""
    if model.fuse_amp is not None:
        return model.fuse_amp
    if chosen is None:
        return None
    limit = chosen.carries_amp
    for least in (least_fuse(model), model.amps):
        fits = [float(f) for f in FUSES if least <= f <= limit]
        if fits:
            return fits[0]
    return None
