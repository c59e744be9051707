"""Which size a cable must be, what the sizes beside it would cost and drop, and which fuse it takes."""

from dataclasses import dataclass
from typing import Final

from layout.job.models import CircuitModel
from routing.sizes.conductors import (
    ENGINE_DEGC,
    ENGINE_FACTOR,
    RUNNING_DEGC,
    Conductor,
    catalogue,
    next_sizes,
)
from routing.sizes.lengths import Length

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
# Conductors in one bundle and the share of ampacity left: 33 CFR 183.425 table 5 note 2. The
# regulation asks it only of circuits of 50 V or more (183.435(b)); under that a job may ask for it.
BUNDLE_FACTORS: Final = ((25, 0.40), (7, 0.50), (4, 0.60), (3, 0.70))
BUNDLE_VOLT: Final = 50.0


@dataclass(frozen=True, slots=True)
class Neighbour:
    """The next size down or up: what it would drop over the whole path and how much dearer it is."""

    conductor: Conductor
    drop_percent: float
    dearer: float


def bundle_factor(conductors: int) -> float:
    """The share of ampacity left in a bundle of so many current-carrying conductors."""
    return next((f for n, f in BUNDLE_FACTORS if conductors >= n), 1.0)


def carries(k: Conductor, hot: bool, bundled: int) -> float:
    """Ampacity in A of a size where it lies: engine space and bundle."""
    return k.ampacity_amp * (ENGINE_FACTOR if hot else 1.0) * bundle_factor(bundled)


def choose(
    c: CircuitModel,
    volts: float,
    length: Length,
    back: Length,
    upstream_volt: float,
    sizes: tuple[Conductor, ...],
    hot: bool,
    bundled: int = 0,
) -> tuple[Conductor | None, str, float]:
    """(size, what decided it, drop over this cable): the smallest that carries, and drops, little enough.

    When even the largest drops too much it is returned all the same with "no size is enough".
    """
    degc = ENGINE_DEGC if hot else RUNNING_DEGC
    both_mm = length.cut_mm + back.cut_mm
    allowed = volts * c.drop_percent / 100 - upstream_volt
    decides = "least size"
    for k in sizes:
        if c.cable is not None and k.name != c.cable:
            continue
        own = c.amps * k.ohm(both_mm, degc)
        if c.cable is not None:
            return k, "given", own
        if k.area_mm2 < LEAST_MM2:
            continue
        if carries(k, hot, bundled) < c.amps:
            decides = "current"
            continue
        if own > allowed and not c.starter:
            decides = "drop"
            continue
        return k, decides, own
    k = sizes[-1]
    return k, "no size is enough", c.amps * k.ohm(both_mm, degc)


def beside(
    chosen: Conductor,
    name: str,
    c: CircuitModel,
    volts: float,
    both_mm: float,
    upstream_volt: float,
    hot: bool,
) -> tuple[Neighbour | None, Neighbour | None]:
    """The next size down and up with its drop (percent, whole path) and what it adds to the price."""
    degc = ENGINE_DEGC if hot else RUNNING_DEGC

    def one(k: Conductor | None) -> Neighbour | None:
        if k is None:
            return None
        return Neighbour(
            k,
            100 * (upstream_volt + c.amps * k.ohm(both_mm, degc)) / volts,
            (k.price - chosen.price) * both_mm / 1000,
        )

    down, up = next_sizes(chosen, name)
    return one(down), one(up)


def fuse_for(
    c: CircuitModel, conductor: Conductor | None, hot: bool, bundled: int = 0
) -> float | None:
    """The smallest standard fuse a quarter above the load that the conductor's ampacity covers, else the least above the load."""
    if c.fuse_amp is not None:
        return c.fuse_amp
    if conductor is None:
        return None
    limit = carries(conductor, hot, bundled)
    return next(
        (float(f) for f in FUSES if c.amps * 1.25 <= f <= limit),
        next((float(f) for f in FUSES if c.amps <= f <= limit), None),
    )


def size_named(name: str, wanted: str) -> Conductor | None:
    """A size of a catalogue by its name."""
    return next((k for k in catalogue(name) if k.name == wanted), None)
