"""The instrument backbone as a whole: lengths, drops, loads, terminators, feed point, voltage spread.

Figures: installation guides of the CAN instrument bus at 250 kbit/s as reprinted, and the public
DeviceNet figures its cable comes from. One load number is 50 mA. The light cable's conductor is 22
AWG, 0.057 ohm a metre (a guide that prints 0.0057 is out by ten).
"""

from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Final

from layout.verdict.rules import RuleFinding, Weight

DROP_MM: Final = 6_000.0
ALL_DROPS_MM: Final = 78_000.0
TRUNK_MM: Final = {
    "light": 100_000.0,
    "heavy": 200_000.0,
}  # DeviceNet: thin 100 m; 250 kbit/s heavy 200 m
OHM_PER_METRE: Final = {"light": 0.057, "heavy": 0.0149}  # 22 AWG; heavy from memory (16 AWG class)
TRUNK_AMP: Final = {"light": 4.0, "heavy": 8.0}
DEVICE_AMP: Final = 1.0
LOAD_AMP: Final = 0.05
SPREAD_VOLT: Final = 1.5
MOST_DEVICES: Final = 50
LIGHT_FUSE_AMP: Final = 3.0
SOURCE: Final = "installation guides of the CAN instrument bus, as reprinted; DeviceNet figures"


@dataclass(frozen=True, slots=True)
class Device:
    """An instrument: its name, its drop's length, its load number."""

    name: str
    drop_mm: float
    loads: int


@dataclass(frozen=True, slots=True)
class Tee:
    """A tee: its name, its distance from the first tee along the backbone, and its devices."""

    name: str
    along_mm: float
    devices: tuple[Device, ...]


@dataclass(frozen=True, slots=True)
class Backbone:
    """A backbone as laid: tees in order, where it is fed, and what ends it."""

    label: str
    cable: str
    tees: tuple[Tee, ...]
    feed_tee: str
    terminators: tuple[str, ...]
    fuse_amp: float | None


@dataclass(frozen=True, slots=True)
class BackboneReport:
    """What was measured on a backbone, and what breaks a rule."""

    label: str
    trunk_mm: float
    counted_mm: float
    drops_mm: float
    longest_drop_mm: float
    devices: int
    loads: int
    amp: float
    spread_volt: float
    findings: tuple[RuleFinding, ...]


def loads_of(milliamp: float) -> int:
    """The load number of a draw: units of 50 mA, rounded up (151 mA is 4)."""
    return ceil(milliamp / 50.0 - 1e-9)


def guide_drop_volt(loads: float, length_m: float, ohm_per_100m: float) -> float:
    """The guides' quick estimate, V: 0.1 x loads x length x ohm per 100 m / 100."""
    return 0.1 * loads * length_m * ohm_per_100m / 100.0


def spread_volt(b: Backbone) -> float:
    """Greatest difference of supply voltage between any two devices (out and back), V; drops included."""
    ohm = OHM_PER_METRE[b.cable] / 1000 * 2
    at = next(t.along_mm for t in b.tees if t.name == b.feed_tee)
    volts: list[float] = []
    for side in (-1, 1):
        mine = sorted(
            (t for t in b.tees if (t.along_mm - at) * side > 0), key=lambda t: abs(t.along_mm - at)
        )
        fall, before = 0.0, at
        for k, t in enumerate(mine):
            beyond = sum(d.loads for u in mine[k:] for d in u.devices) * LOAD_AMP
            fall += beyond * ohm * abs(t.along_mm - before)
            before = t.along_mm
            volts += [
                fall + d.loads * LOAD_AMP * OHM_PER_METRE["light"] / 1000 * 2 * d.drop_mm
                for d in t.devices
            ]
    volts += [
        d.loads * LOAD_AMP * OHM_PER_METRE["light"] / 1000 * 2 * d.drop_mm
        for t in b.tees
        if t.along_mm == at
        for d in t.devices
    ]
    return max(volts, default=0.0) - min(volts, default=0.0)


def counted_length_mm(b: Backbone) -> float:
    """The length the limit is on: a drop longer than the way from its tee to the terminator counts in its place."""
    along = [t.along_mm for t in b.tees]
    low, high = min(along), max(along)
    for t in b.tees:
        for d in t.devices:
            if d.drop_mm > t.along_mm - min(along):
                low = min(low, t.along_mm - d.drop_mm)
            if d.drop_mm > max(along) - t.along_mm:
                high = max(high, t.along_mm + d.drop_mm)
    return high - low


def check_backbone(b: Backbone) -> BackboneReport:
    """Measure a backbone and tell every rule it breaks."""
    devices = [d for t in b.tees for d in t.devices]
    along = [t.along_mm for t in b.tees]
    trunk, counted = max(along) - min(along), counted_length_mm(b)
    drops = sum(d.drop_mm for d in devices)
    longest = max(devices, key=lambda d: d.drop_mm, default=Device("", 0.0, 0))
    loads = sum(d.loads for d in devices)
    spread = spread_volt(b)
    found: list[RuleFinding] = []

    def say(
        rule: str, measured: str, wanted: str, remedy: str, weight: Weight = Weight.MUST
    ) -> None:
        found.append(RuleFinding(weight, b.label, rule, SOURCE, measured, wanted, remedy))

    limit = TRUNK_MM[b.cable]
    if counted > limit:
        say(
            "the backbone's length, long end drops counted in",
            f"{counted / 1000:.1f} m",
            f"{limit / 1000:.0f} m",
            "Use heavy cable, or shorten it at the far end",
        )
    for t in b.tees:
        for d in t.devices:
            if d.drop_mm > DROP_MM:
                over = (d.drop_mm - DROP_MM) / 1000
                say(
                    "no drop over 6 m",
                    f"{d.drop_mm / 1000:.1f} m to {d.name}",
                    f"{DROP_MM / 1000:.0f} m",
                    f"Move tee {t.name} {over:.1f} m towards it, or extend the backbone to it",
                )
            if d.loads * LOAD_AMP > DEVICE_AMP:
                say(
                    "no device draws over 1 A from the bus",
                    f"{d.loads * LOAD_AMP:.2f} A by {d.name}",
                    "1 A",
                    "Feed it from a circuit of its own",
                )
    if drops > ALL_DROPS_MM:
        say(
            "all drops together",
            f"{drops / 1000:.1f} m",
            f"{ALL_DROPS_MM / 1000:.0f} m",
            "Put tees nearer the instruments",
        )
    if len(devices) > MOST_DEVICES:
        say(
            "instruments on one backbone",
            str(len(devices)),
            str(MOST_DEVICES),
            "Split it with a bridge",
        )
    ends = {b.tees[0].name, b.tees[-1].name}
    if len(b.terminators) != 2 or set(b.terminators) != ends:
        say(
            "one terminator at each end and no other",
            ", ".join(b.terminators) or "none",
            " and ".join(sorted(ends)),
            "Put one on each end tee"
            if len(b.tees) > 1
            else "Add a second tee: a backbone has two ends",
        )
    amp = _segment_amp(b)
    if amp > TRUNK_AMP[b.cable] + 1e-9:
        say(
            "current in a half of the backbone",
            f"{amp:.1f} A",
            f"{TRUNK_AMP[b.cable]:.0f} A",
            "Feed it nearer its middle, or use heavy cable",
        )
    if spread > SPREAD_VOLT:
        say(
            "supply voltage between any two instruments",
            f"{spread:.2f} V",
            f"{SPREAD_VOLT} V",
            "Feed it nearer its middle, use heavy cable, or give heavy users a circuit of their own",
        )
    if b.cable == "light" and b.fuse_amp is not None and b.fuse_amp > LIGHT_FUSE_AMP:
        say(
            "the fuse of a light backbone",
            f"{b.fuse_amp:g} A",
            f"{LIGHT_FUSE_AMP:g} A",
            f"Fit {LIGHT_FUSE_AMP:g} A",
            Weight.SHOULD,
        )
    return BackboneReport(
        b.label,
        trunk,
        counted,
        drops,
        longest.drop_mm,
        len(devices),
        loads,
        loads * LOAD_AMP,
        spread,
        tuple(found),
    )


def _segment_amp(b: Backbone) -> float:
    """The greater of the currents either side of the feed."""
    at = next(t.along_mm for t in b.tees if t.name == b.feed_tee)
    return max(
        sum(d.loads for t in b.tees if (t.along_mm - at) * side > 0 for d in t.devices) * LOAD_AMP
        for side in (-1, 1)
    )


def gaps_mm(tees: list[float]) -> list[float]:
    """Lengths between neighbouring tees."""
    return [b - a for a, b in pairwise(tees)]
