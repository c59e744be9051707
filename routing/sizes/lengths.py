"""How long each cable is: route, tails, service loop, the bundle's wander and bends, each shown."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

# Tails at each end by kind of gear, mm; from memory of shop practice, a job may set its own.
TAIL_MM: Final = MappingProxyType(
    {
        "board": 300.0,
        "fuse panel": 300.0,
        "bus bar": 250.0,
        "battery": 150.0,
        "instrument": 250.0,
        "radio": 250.0,
        "light": 150.0,
        "navigation light": 150.0,
        "blower": 150.0,
        "pump": 200.0,
        "motor": 150.0,
        "starter": 150.0,
    }
)
OTHER_TAIL_MM: Final = 200.0
WANDER: Final = 0.04  # bundles are never quite straight: 3 to 5 %, common practice
CUT_STEP_MM: Final = 10.0  # cut lengths are told to the next 10 mm up


@dataclass(frozen=True, slots=True)
class Length:
    """A cut length and what it is made of, mm; `plus_minus_mm` is what its tails may be off."""

    route_mm: float
    tail_feed_mm: float
    tail_load_mm: float
    loop_mm: float
    wander_mm: float
    bends_mm: float = 0.0
    plus_minus_mm: float = 0.0
    swing_mm: float = 0.0  # to follow gear that tilts and turns

    @property
    def cut_mm(self) -> float:
        """What to cut: the sum with its ±, to the next 10 mm up."""
        total = self.route_mm + self.tail_feed_mm + self.tail_load_mm + self.loop_mm
        total += self.wander_mm + self.bends_mm + self.plus_minus_mm + self.swing_mm
        return -(-total // CUT_STEP_MM) * CUT_STEP_MM


def usual_tail_mm(kind: str, on_board: bool, lead_mm: float) -> float:
    """The usual tail at an end by its kind, less the lead its terminal comes with."""
    usual = TAIL_MM.get(kind, TAIL_MM["board"] if on_board else OTHER_TAIL_MM)
    return max(0.0, usual - lead_mm)


def cut_length(
    route_mm: float,
    tail_feed_mm: float,
    tail_load_mm: float,
    loop_mm: float,
    bends_mm: float = 0.0,
    plus_minus_mm: float = 0.0,
    swing_mm: float = 0.0,
) -> Length:
    """The parts of a cut length."""
    return Length(
        route_mm,
        tail_feed_mm,
        tail_load_mm,
        loop_mm,
        WANDER * route_mm,
        bends_mm,
        plus_minus_mm,
        swing_mm,
    )
