"""One circuit's cable, with everything worked out about it."""

from dataclasses import dataclass
from enum import StrEnum

from routing.sizes.conductors import Conductor
from routing.sizes.lengths import Length
from routing.sizes.sizing import Chosen
from routing.ways.bends import TightBend
from routing.ways.routes import Route


class DetourRule(StrEnum):
    """Which rule adds to a route."""

    HAZARD = "hazard"  # keys: the hazard
    CLOSED = "closed"  # keys: the space and its face
    TOGETHER = "together"  # closed surfaces and hazards, where they are too many to tell apart
    ASKED = "asked"  # via and avoid
    PLUG = "plug"
    BEND = "bend"
    POWER = "power"
    SHARED = "shared"


@dataclass(frozen=True, slots=True)
class Detour:
    """What one rule adds to a route."""

    rule: DetourRule
    extra_mm: float
    keys: tuple[str, ...] = ()
    value_mm: float = 0.0  # the distance kept, or the plug


class Barrier(StrEnum):
    """What stands in the way of a cable that has no way."""

    AVOID = "avoid"  # keys: what it avoids
    PLUG = "plug"  # keys: what its plug does not pass
    VIA = "via"  # keys: what it was to go through
    BARE = "bare"  # keys: holes whose bare edge may not be edged
    CLOSED = "closed"  # closed surfaces and hazards
    TERMINAL = "terminal"  # keys: terminals with no room round them for any cable
    NONE = "none"  # nothing leads there at all


@dataclass(frozen=True, slots=True)
class NoWay:
    """Why a cable has no way, and what would open one."""

    barrier: Barrier
    start: str
    goal: str
    keys: tuple[str, ...] = ()
    nearest_mm: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """The ways of a circuit's conductors. `back` is `out` itself for a pair."""

    out: Route | None
    back: Route | None
    conductors: int  # 1 for one sheathed cable

    @property
    def parted(self) -> bool:
        """True when the return goes another way than the feed."""
        return self.back is not None and self.back is not self.out

    @property
    def poles(self) -> tuple[Route, ...]:
        """The ways of the conductors, one for each."""
        if self.out is None:
            return ()
        if self.conductors == 1:
            return (self.out,)
        return (self.out, self.back if self.back is not None else self.out)


@dataclass(frozen=True, slots=True, eq=False)
class Cable:
    """One circuit's cable: its way, lengths of both poles, size and drop.

    `chosen` is None for mains and signal leads and where there is no way; `no_way` then says why.
    A link, and all else that is `one` conductor, has no `back_length`.
    """

    number: str
    label: str
    feed: str
    load: str
    amps: float
    volts: float
    drop_limit_percent: float
    mains: bool
    signal: bool
    starter: bool
    link: bool
    one: bool
    laid: Laid
    length: Length | None
    back_length: Length | None
    chosen: Chosen | None
    straight_mm: float
    straight_conductor: Conductor | None
    fuse_amp: float | None
    od_mm: float
    plug_mm: float | None
    radius_mm: float
    hot: bool
    bundled: int
    tight: tuple[TightBend, ...]
    beside_power_mm: float
    no_way: NoWay | None
    detours: tuple[Detour, ...] = ()
    beside_in: tuple[str, ...] = ()  # the spaces where it lies beside power
    pulled_mm: float | None = None  # its way pulled straight, where it is laid square

    @property
    def lengths(self) -> tuple[Length, ...]:
        """What is cut for it: out and back, or the one conductor of a link."""
        return tuple(x for x in (self.length, self.back_length) if x is not None)

    @property
    def sized_mm(self) -> float | None:
        """The length of all its conductors together; None where it has no way."""
        whole = len(self.lengths) == (1 if self.one else 2)
        return sum(x.cut_mm for x in self.lengths) if whole else None

    @property
    def route(self) -> Route | None:
        """The way of the feed."""
        return self.laid.out

    @property
    def back(self) -> Route | None:
        """The way of the return."""
        return self.laid.back

    @property
    def poles(self) -> tuple[Route, ...]:
        """The ways of the conductors, one for each."""
        return self.laid.poles

    @property
    def conductors(self) -> int:
        """How many separate conductors there are."""
        return self.laid.conductors

    @property
    def conductor(self) -> Conductor | None:
        """Its size."""
        return self.chosen.conductor if self.chosen is not None else None

    @property
    def carries_amp(self) -> float:
        """What its size carries where it lies; 0 when it has none."""
        return self.chosen.carries_amp if self.chosen is not None else 0.0

    @property
    def drop_volt(self) -> float:
        """The drop over the whole path from the battery to the load and back."""
        return self.chosen.whole_drop_volt if self.chosen is not None else 0.0

    @property
    def drop_percent(self) -> float:
        """The whole drop as a share of the nominal voltage, in percent."""
        return 100 * self.drop_volt / self.volts

    @property
    def in_order(self) -> bool:
        """True when the cable has a way and a size that does its work."""
        if self.mains or self.signal:
            return self.route is not None
        if self.route is None or self.chosen is None or self.amps > self.carries_amp:
            return False
        return self.starter or self.drop_percent <= self.drop_limit_percent + 1e-9
