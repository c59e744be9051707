"""One circuit's cable, with everything worked out about it."""

from dataclasses import dataclass

from routing.sizes.conductors import Conductor
from routing.sizes.lengths import Length
from routing.sizes.sizing import Neighbour
from routing.ways.bends import TightBend
from routing.ways.routes import Route


@dataclass(frozen=True, slots=True)
class Detour:
    """What one rule adds to a route."""

    rule: str
    extra_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Cable:
    """One circuit's cable: its way, lengths of both poles, size and drop.

    `drop_volt` is over the whole path from the battery to the load and back, `own_drop_volt` over
    this cable alone. `route` is None when there is no way; `why` then says what is wrong. `poles` are
    the ways of the separate conductors through holes: one way for a pair, two where the poles part.
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
    starter: bool = False
    hot: bool = False
    bundled: int = 0
    radius_mm: float = 0.0
    tight: tuple[TightBend, ...] = ()
    beside_power_mm: float = 0.0
    down: Neighbour | None = None
    up: Neighbour | None = None
    detours: tuple[Detour, ...] = ()
    carries_amp: float = 0.0  # of its size where it lies; 0 when it has none

    @property
    def drop_percent(self) -> float:
        """The whole drop as a share of the nominal voltage, in percent."""
        return 100 * self.drop_volt / self.volts

    @property
    def parted(self) -> bool:
        """True when the return goes another way than the feed."""
        return self.back is not None and self.back is not self.route

    @property
    def poles(self) -> tuple[Route, ...]:
        """The ways of the conductors, one for each."""
        if self.route is None:
            return ()
        if self.conductors == 1:
            return (self.route,)
        return (self.route, self.back if self.back is not None else self.route)

    @property
    def well(self) -> bool:
        """True when the cable has a way and a size that does its work."""
        if self.mains or self.signal:
            return self.route is not None
        return (
            self.route is not None
            and self.conductor is not None
            and self.amps <= self.carries_amp
            and (self.starter or self.drop_percent <= self.drop_limit_percent + 1e-9)
        )
