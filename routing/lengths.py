"""How long each cable is: the route, the tails, the service loop and the bundle's wander, each shown."""

from dataclasses import dataclass
from typing import Final

from routing.conductors import Conductor
from routing.routes import Route

# Tails at each end by kind of thing, mm; from memory of shop practice, a job may set its own.
TAIL_MM: Final = {
    "board": 300.0, "fuse panel": 300.0, "bus bar": 250.0, "battery": 150.0, "instrument": 250.0, "radio": 250.0, "light": 150.0,
    "pump": 200.0, "motor": 150.0,
}
OTHER_TAIL_MM: Final = 200.0
SERVICE_LOOP_MM: Final = 150.0  # kept behind a panel so that it can be drawn out: memory
WANDER: Final = 0.04  # bundles are never quite straight: 3 to 5 %, common practice
CUT_STEP_MM: Final = 10.0  # cut lengths are told to the next 10 mm up


@dataclass(frozen=True, slots=True)
class Length:
    """A cut length and what it is made of, mm."""

    route_mm: float
    tail_feed_mm: float
    tail_load_mm: float
    loop_mm: float
    wander_mm: float

    @property
    def cut_mm(self) -> float:
        """What to cut: the sum, to the next 10 mm up."""
        total = self.route_mm + self.tail_feed_mm + self.tail_load_mm + self.loop_mm + self.wander_mm
        return -(-total // CUT_STEP_MM) * CUT_STEP_MM


def cut_length(route_mm: float, tail_feed_mm: float, tail_load_mm: float, loops: int) -> Length:
    """The parts of a cut length; a service loop for each end on a board."""
    return Length(route_mm, tail_feed_mm, tail_load_mm, loops * SERVICE_LOOP_MM, WANDER * route_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Cable:
    """One circuit's cable: its way, lengths of both poles, size and drop.

    `drop_volt` is over the whole path from the battery to the load and back, `own_drop_volt` over
    this cable alone. `route` is None when there is no way; `why` then says what is wrong.
    """

    number: str
    label: str
    feed: str
    load: str
    amps: float
    volts: float
    drop_limit_percent: float
    route: Route | None
    back: Route | None
    length: Length | None
    back_length: Length | None
    conductor: Conductor | None
    od_mm: float
    conductors: int
    head_mm: float | None
    own_drop_volt: float
    drop_volt: float
    straight_mm: float
    straight_conductor: Conductor | None
    decides: str
    fuse_amp: float | None
    mains: bool
    signal: bool
    why: str

    @property
    def drop_percent(self) -> float:
        """The whole drop as a share of the nominal voltage, in percent."""
        return 100 * self.drop_volt / self.volts

    @property
    def well(self) -> bool:
        """True when the cable has a way and a size that does its work."""
        if self.mains or self.signal:
            return self.route is not None
        return self.route is not None and self.conductor is not None and self.drop_percent <= self.drop_limit_percent + 1e-9
