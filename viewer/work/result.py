"""The one result every sheet shows: fits, cables, fills and what to do next."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np

from layout.boat.build import Builder
from layout.boat.parts import Boat
from layout.errors import CoamingError
from layout.job import JobFiles, read_job
from layout.job.sizes import inches
from layout.passage import warm_up
from layout.verdict.fit import Answer, FitEffort, ThingFit, fit_all
from layout.verdict.order import fitting_order
from layout.verdict.remedies import Remedy, RemedyEffort, remedies
from routing.circuits.cables import Cable
from routing.sizes.fill import Filled
from routing.wiring import Wiring, wire
from viewer.words.wiring import rule_steps, sections

REMEDY_SECONDS = 0.4  # for each try
SCHEMA = 2  # of the JSON result; goes up when a key changes its meaning


@dataclass(frozen=True, slots=True, eq=False)
class JobResult:
    """Everything worked out for a job."""

    files: JobFiles
    boat: Boat
    fits: tuple[ThingFit, ...]
    wiring: Wiring
    next_steps: tuple[str, ...]
    remedies: dict[str, tuple[Remedy, ...]] = field(
        default_factory=dict
    )  # for what does not go in, where they were asked for

    @property
    def cables(self) -> tuple[Cable, ...]:
        """Every circuit's cable, in the order of the file."""
        return self.wiring.cabling.cables

    @property
    def fills(self) -> tuple[Filled, ...]:
        """How full every hole and pipe in use is."""
        return self.wiring.fills

    @property
    def well(self) -> bool:
        """True when everything goes in, stands clear and every cable has a way and a size."""
        return (
            all(f.well for f in self.fits)
            and all(c.well for c in self.cables)
            and not any(f.too_full for f in self.fills)
            and self.wiring.well
        )


def work_out(
    path: Path,
    told: Callable[[str], None] = lambda _: None,
    seconds: float | None = None,
    stop: Callable[[], bool] | None = None,
    with_remedies: bool = False,
) -> JobResult:
    """Read a job and work everything out; with what would make go what does not, if asked. Raises JobError, Stopped."""
    files = read_job(path)
    builder = Builder(files)
    boat = builder.boat()
    wiring = wire(files, boat, told)
    told("the kernels (the first run on a machine takes longer)")
    warm_up()
    usual = FitEffort(told=told, stop=stop)
    more = max(
        1.0, (seconds or usual.passage_seconds) / usual.passage_seconds
    )  # more time goes to every question
    effort = (
        usual
        if seconds is None
        else replace(
            usual,
            passage_seconds=seconds,
            end_seconds=more * usual.end_seconds,
            out_seconds=more * usual.out_seconds,
        )
    )
    fits = tuple(fit_all(builder, boat, effort))
    found: dict[str, tuple[Remedy, ...]] = {}
    for f in fits if with_remedies else ():
        if f.answer in (Answer.CANNOT, Answer.NOT_SETTLED):
            told(f"what would make {f.label} go")
            found[f.name] = tuple(_remedies(boat, f.name, REMEDY_SECONDS, told))
    return JobResult(files, boat, fits, wiring, tuple(next_steps(fits, wiring)), found)


def _remedies(boat: Boat, name: str, seconds: float, told: Callable[[str], None]) -> list[Remedy]:
    """What would make a thing go in past everything fitted before it."""
    order = fitting_order(boat)
    before = (
        [t for t in boat.things.values() if t.fixed_already]
        + [boat.things[n] for n in order[: order.index(name)]]
        if name in order
        else []
    )
    return remedies(boat, boat.things[name], before, RemedyEffort(try_seconds=seconds, told=told))


def find_remedies(
    path: Path, name: str, seconds: float, told: Callable[[str], None]
) -> tuple[str, list[Remedy]]:
    """(label, what would make a thing go in). Raises JobError, CoamingError for a name not in the job."""
    files = read_job(path)
    boat = Builder(files).boat()
    if name not in boat.things:
        near = get_close_matches(name, list(boat.things), n=1)
        raise CoamingError(
            f"{path.name}: no board or gear is named '{name}'"
            + (f": did you mean '{near[0]}'?" if near else "")
        )
    told("the kernels")
    warm_up()
    return boat.things[name].label, _remedies(boat, name, seconds, told)


def next_steps(fits: tuple[ThingFit, ...], wiring: Wiring) -> list[str]:
    """What to do next, the things that stop the job first."""
    cables, fills = wiring.cabling.cables, wiring.fills
    out = [f"{f.label}: {f.advice}" for f in sorted(fits, key=_urgency) if f.advice and not f.well]
    for c in cables:
        if c.why:
            out.append(f"Circuit {c.number}, {c.label}: {c.why}.")
        elif not c.well:
            out.append(
                f"Circuit {c.number}, {c.label}: {c.drop_percent:.1f} % drop is over {c.drop_limit_percent:g} %; feed it from nearer, or use two runs."
            )
    for f in fills:
        if f.too_full:
            out.append(
                f"{f.label}: {full_words(f)} full, {f.limit:.0%} allowed; fit a bore of {np.ceil(f.least_bore_mm):.0f} mm or move a cable."
            )
        if f.needs_edging:
            out.append(
                f"{f.label}: bare edge; fit edging or a grommet before any cable goes through."
            )
        if f.may_jam:
            out.append(
                f"{f.label}: three like cables in a bore {f.jam_ratio:.1f} times theirs can wedge side by side; pull them together with lubricant, or use another bore."
            )
    out += rule_steps(wiring)
    out += [f"{f.label}: {f.advice}" for f in fits if f.advice and f.well]
    for c in cables:
        if (
            c.conductor
            and c.straight_conductor
            and c.conductor.area_mm2 > c.straight_conductor.area_mm2
        ):
            out.append(
                f"Circuit {c.number}, {c.label}: buy {c.conductor.name}, not {c.straight_conductor.name}: the true route is "
                f"{(c.length.route_mm if c.length else 0) / 1000:.1f} m, not the {c.straight_mm / 1000:.1f} m a straight tape shows."
            )
    if any(c.mains for c in cables):
        out.append(
            "Mains (AC) wiring is shown for its space and route only: have it sized, fitted and tested by a licensed person."
        )
    return out


def full_words(f: Filled) -> str:
    """How full a bore is: with a decimal where rounding would hide that it is over."""
    return f"{f.fill:.0%}" if abs(f.fill - f.limit) > 0.01 else f"{f.fill:.2%}"


def _urgency(f: ThingFit) -> int:
    return {Answer.CANNOT: 0, Answer.MEASURE_AGAIN: 1, Answer.NOT_SETTLED: 2}.get(f.answer, 3)


def as_json(result: JobResult) -> dict[str, Any]:
    """The whole result as plain data with stable keys (documented in DEVELOPERS.md)."""
    return {
        "schema": SCHEMA,
        "job": result.files.job.job.name,
        "hull": result.boat.name,
        "well": result.well,
        "things": [
            _thing(f) | {"remedies": [r.what for r in result.remedies.get(f.name, ())]}
            for f in result.fits
        ],
        "circuits": [_circuit(c) for c in result.cables],
        "holes_and_pipes": [_fill(f) for f in result.fills],
        "wiring": {
            x.key: [dict(zip(x.head, row, strict=True)) for row in x.rows]
            for x in sections(result.wiring)
        },
        "next": list(result.next_steps),
    }


def _round(x: float | None, digits: int = 2) -> float | None:
    return None if x is None else round(float(x), digits) + 0.0


def _thing(f: ThingFit) -> dict[str, Any]:
    path = f.passage.path if f.passage else ()
    return {
        "name": f.name,
        "label": f.label,
        "verdict": f.answer.value,
        "least_clearance_mm": _round(f.least_clearance_mm),
        "nearly_touching": f.nearly_touching,
        "evidence": f.passage.evidence if f.passage else "",
        "way": f.entry.way.label if f.entry else "",
        "worst_end": f.worst.value if f.worst else None,
        "best_end": f.best.value if f.best else None,
        "deciding_sizes": [
            {
                "name": d.key,
                "value_mm": _round(d.value_mm),
                "plus_minus_mm": _round(d.plus_minus_mm),
                "how": d.how,
                "effect_mm": _round(d.effect_mm),
                "share": _round(d.share, 3),
            }
            for d in f.deciding
        ],
        "moves": [
            {
                "words": m.text,
                "least_clearance_mm": _round(m.least_clearance_mm),
                "nearly_touching": m.near_fixed,
            }
            for m in f.moves
        ],
        "path": [
            {"at": [_round(v, 4) for v in p.at_mm], "quat": [_round(v, 9) for v in p.quat]}
            for p in path
        ],
        "clashes": [
            {"what": c.what, "other": c.other, "depth_mm": _round(c.depth_mm)} for c in f.clashes
        ],
        "rooms_taken": [
            {"what": c.what, "other": c.other, "depth_mm": _round(c.depth_mm)}
            for c in f.rooms_taken
        ],
        "out_again": f.out_again.value if f.out_again else None,
        "out_first": list(f.out_first),
        "mass_kg": _round(f.mass_kg),
        "shortfall_mm": _round(f.shortfall_mm),
        "advice": f.advice,
    }


def _circuit(c: Cable) -> dict[str, Any]:
    def length(x: Any) -> dict[str, Any] | None:
        if x is None:
            return None
        return {
            "route_mm": _round(x.route_mm, 1),
            "tail_feed_mm": x.tail_feed_mm,
            "tail_load_mm": x.tail_load_mm,
            "loop_mm": x.loop_mm,
            "wander_mm": _round(x.wander_mm, 1),
            "bends_mm": _round(x.bends_mm, 1),
            "cut_mm": x.cut_mm,
        }

    sized = not (c.mains or c.signal)
    return {
        "number": c.number,
        "label": c.label,
        "feed": c.feed,
        "load": c.load,
        "amps": c.amps,
        "volts": c.volts,
        "out": length(c.length),
        "back": length(c.back_length),
        "through": list(c.route.joints) if c.route else [],
        "size": c.conductor.name if c.conductor else None,
        "decided_by": c.decides,
        "straight_size": c.straight_conductor.name if c.straight_conductor else None,
        "straight_mm": _round(c.straight_mm, 1),
        "drop_volt": _round(c.drop_volt, 4) if sized else None,
        "drop_percent": _round(c.drop_percent) if sized else None,
        "drop_limit_percent": c.drop_limit_percent if sized else None,
        "fuse_amp": c.fuse_amp,
        "mains": c.mains,
        "signal": c.signal,
        "well": c.well,
        "why": c.why,
        "bend_radius_mm": _round(c.radius_mm, 1),
        "beside_power_mm": _round(c.beside_power_mm, 0),
        "rules_add": [{"why": d.rule, "extra_mm": _round(d.extra_mm, 0)} for d in c.detours],
    }


def _fill(f: Filled) -> dict[str, Any]:
    return {
        "name": f.name,
        "label": f.label,
        "kind": f.kind,
        "bore_mm": f.bore_mm,
        "cables": f.cables,
        "fill": _round(f.fill, 3),
        "limit": f.limit,
        "too_full": f.too_full,
        "needs_edging": f.needs_edging,
        "least_bore_mm": _round(f.least_bore_mm, 1),
        "may_jam": f.may_jam,
        "circuits": list(f.circuits),
    }


def mm_and_inches(mm: float) -> str:
    """A length as every sheet shows it: mm first, inches after."""
    return f"{mm:.0f} mm ({inches(mm)})"
