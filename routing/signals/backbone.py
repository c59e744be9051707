"""The instrument backbone as a whole: lengths, drops, loads, terminators, feed, voltage spread.

Figures: installation guides of the CAN instrument bus (IEC 61162-3, 250 kbit/s) as reprinted, and
the public figures of the cable it uses (IEC 62026-3). One load number is 50 mA. The light cable's
conductor is 22 AWG, 0.057 ohm a metre (a guide that prints 0.0057 is out by ten).
"""

from dataclasses import dataclass
from math import ceil
from typing import Final

from layout.verdict.rules import RuleFinding, Urgency, Values

DROP_MM: Final = 6_000.0
ALL_DROPS_MM: Final = 78_000.0
RUN_MM: Final = {
    "light": 100_000.0,
    "heavy": 200_000.0,
}  # IEC 62026-3: thin 100 m; 250 kbit/s heavy 200 m
OHM_PER_METRE: Final = {"light": 0.057, "heavy": 0.0149}  # 22 AWG; heavy from memory (16 AWG class)
RUN_AMP: Final = {"light": 4.0, "heavy": 8.0}
DEVICE_AMP: Final = 1.0
LOAD_AMP: Final = 0.05
SPREAD_VOLT: Final = 1.5
MOST_DEVICES: Final = 50
LIGHT_FUSE_AMP: Final = 3.0


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

    key: str
    cable: str
    tees: tuple[Tee, ...]
    feed_tee: str
    terminators: tuple[str, ...]
    fuse_amp: float | None


@dataclass(frozen=True, slots=True)
class BackboneReport:
    """What was measured on a backbone, and what breaks a rule."""

    key: str
    run_mm: float
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
    """Greatest difference of supply voltage between any two devices (out and back), V; drops
    included.
    """
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
    """The length the limit is on: a drop longer than the way from its tee to the terminator counts
    in its place.
    """
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
    run, counted = max(along) - min(along), counted_length_mm(b)
    drops = sum(d.drop_mm for d in devices)
    longest = max((d.drop_mm for d in devices), default=0.0)
    loads = sum(d.loads for d in devices)
    spread = spread_volt(b)
    found = _device_rules(b) + _whole_rules(b, counted, drops, len(devices), spread)
    return BackboneReport(
        b.key,
        run,
        counted,
        drops,
        longest,
        len(devices),
        loads,
        loads * LOAD_AMP,
        spread,
        tuple(found),
    )


def _say(b: Backbone, rule: str, values: Values, urgency: Urgency = Urgency.MUST) -> RuleFinding:
    return RuleFinding(rule, urgency, (f"backbone:{b.key}",), values)


def _device_rules(b: Backbone) -> list[RuleFinding]:
    """What single instruments and their drop leads break."""
    found = []
    for t in b.tees:
        for d in t.devices:
            values: Values = {"tee": t.name, "on": d.name}
            if d.drop_mm > DROP_MM:
                more: Values = {"drop_mm": d.drop_mm, "limit_mm": DROP_MM, **values}
                found.append(_say(b, "drop lead", more))
            if d.loads * LOAD_AMP > DEVICE_AMP:
                more = {"amp": d.loads * LOAD_AMP, "limit_amp": DEVICE_AMP, **values}
                found.append(_say(b, "bus device", more))
    return found


def _whole_rules(
    b: Backbone, counted: float, drops: float, devices: int, spread: float
) -> list[RuleFinding]:
    """What the backbone as a whole breaks."""
    found = []
    limit = RUN_MM[b.cable]
    if counted > limit:
        found.append(_say(b, "bus length", {"counted_mm": counted, "limit_mm": limit}))
    if drops > ALL_DROPS_MM:
        found.append(_say(b, "all drop leads", {"drops_mm": drops, "limit_mm": ALL_DROPS_MM}))
    if devices > MOST_DEVICES:
        found.append(_say(b, "bus devices", {"count": devices, "limit": MOST_DEVICES}))
    ends = (b.tees[0].name, b.tees[-1].name)
    if len(b.terminators) != 2 or set(b.terminators) != set(ends):
        values: Values = {"are": b.terminators, "ends": tuple(dict.fromkeys(ends))}
        found.append(_say(b, "terminators", values))
    amp = _segment_amp(b)
    if amp > RUN_AMP[b.cable] + 1e-9:
        found.append(_say(b, "bus current", {"amp": amp, "limit_amp": RUN_AMP[b.cable]}))
    if spread > SPREAD_VOLT:
        found.append(_say(b, "bus spread", {"spread_volt": spread, "limit_volt": SPREAD_VOLT}))
    if b.cable == "light" and b.fuse_amp is not None and b.fuse_amp > LIGHT_FUSE_AMP:
        values = {"fuse_amp": b.fuse_amp, "limit_amp": LIGHT_FUSE_AMP}
        found.append(_say(b, "bus fuse", values, Urgency.SHOULD))
    return found


def _segment_amp(b: Backbone) -> float:
    """The greater of the currents either side of the feed."""
    at = next(t.along_mm for t in b.tees if t.name == b.feed_tee)
    return max(
        sum(d.loads for t in b.tees if (t.along_mm - at) * side > 0 for d in t.devices) * LOAD_AMP
        for side in (-1, 1)
    )
