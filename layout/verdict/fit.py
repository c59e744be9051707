"""Does each thing go in, how, how sure, and does it stand clear: the answers of the layout room."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

import numpy as np

from layout.boat.build import Builder
from layout.boat.parts import OUTSIDE, Boat, Thing
from layout.boat.walls import Cover
from layout.errors import Stopped
from layout.geometry.boxes import box_distance
from layout.passage import Effort, Passage, Problem, Verdict, find_passage
from layout.passage.moves import Move, tell
from layout.verdict.order import fitting_order
from layout.verdict.remedies import shortfall_share
from layout.verdict.tolerance import Deciding, deciding_sizes, end_nudges, follows
from layout.verdict.ways_in import SEATED_MM, Entry, WayIn, anchor, chains, entry

CLASH_MM: Final = 0.01  # boxes that overlap by more than this clash
WORKERS: Final = 2


class Answer(StrEnum):
    """What a planner is told of one thing."""

    GOES_IN = "goes in"
    MEASURE_AGAIN = "measure again"
    CANNOT = "cannot"
    NOT_SETTLED = "not settled"
    THERE = "there already"


@dataclass(frozen=True, slots=True)
class Clash:
    """Two things, or a thing and the boat, that overlap at rest; or room needed that is taken."""

    what: str
    other: str
    depth_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class ThingFit:
    """Everything known of one thing's way in and stand."""

    name: str
    label: str
    answer: Answer
    passage: Passage | None
    entry: Entry | None
    moves: tuple[Move, ...]
    least_clearance_mm: float | None
    nearly_touching: str
    deciding: tuple[Deciding, ...]
    worst: Verdict | None
    best: Verdict | None
    clashes: tuple[Clash, ...]
    rooms_taken: tuple[Clash, ...]
    out_again: Verdict | None
    out_first: tuple[str, ...]
    advice: str
    mass_kg: float
    shortfall_mm: float | None = None

    @property
    def well(self) -> bool:
        """True when nothing about this thing needs a person's attention."""
        return (
            self.answer in (Answer.GOES_IN, Answer.THERE)
            and not self.clashes
            and not self.rooms_taken
        )


@dataclass(frozen=True, slots=True)
class FitEffort:
    """Seconds for each question; `told` is called with progress; `stop` may end the work."""

    passage_seconds: float = 8.0
    end_seconds: float = 2.0
    out_seconds: float = 0.8
    improve_seconds: float = 0.25
    seed: int = 1
    told: Callable[[str], None] = lambda _: None
    stop: Callable[[], bool] | None = None


def fit_all(builder: Builder, boat: Boat, effort: FitEffort) -> list[ThingFit]:
    """Answer for every thing, in the order of fitting."""
    effort.told("the order of fitting")
    names = fitting_order(boat, effort.seed)
    there = [t for t in boat.things.values() if t.fixed_already]

    def answer(n: int) -> ThingFit:
        thing = boat.things[names[n]]
        if effort.stop is not None and effort.stop():
            raise Stopped("Stopped; nothing was written.")
        effort.told(thing.label)
        others = [t for t in boat.things.values() if t.name != thing.name]
        before = there + [boat.things[m] for m in names[:n]]
        return fit_one(builder, boat, thing, before, others, effort)

    with ThreadPoolExecutor(WORKERS) as pool:  # the kernels run outside Python's lock
        waiting = [pool.submit(answer, n) for n in range(len(names))]
        try:
            return [w.result() for w in waiting]
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def clashes_at_rest(
    boat: Boat, thing: Thing, others: list[Thing]
) -> tuple[list[Clash], list[Clash]]:
    """(body clashes, rooms taken) of a thing at rest against everything else."""
    bodies, rooms = [], []
    mine = thing.at_rest()
    n = np.empty(3)
    solids = [(s.label, s.centre, s.half, s.rotation) for s in boat.solids.values()]
    solids += [(t.label, c, h, r) for t in others for c, h, r in zip(*_arrays(t), strict=True)]
    for label, c, h, r in solids:
        for k in range(len(mine)):
            g = box_distance(mine.centre_mm[k], mine.half_mm[k], mine.rotation[k], c, h, r, n)
            if g < -CLASH_MM:
                bodies.append(Clash(mine.names[k], label, -g))
        for q in thing.rooms:
            g = box_distance(q.centre, q.half, q.rotation, c, h, r, n)
            if g < -CLASH_MM:
                rooms.append(Clash(f"{q.why} room of {q.owner}", label, -g))
    for q in thing.rooms:  # a part of the same board in another part's room
        for k in range(len(mine)):
            if mine.names[k].split(":")[0] != q.owner:
                g = box_distance(
                    q.centre,
                    q.half,
                    q.rotation,
                    mine.centre_mm[k],
                    mine.half_mm[k],
                    mine.rotation[k],
                    n,
                )
                if g < -CLASH_MM:
                    rooms.append(Clash(f"{q.why} room of {q.owner}", mine.names[k], -g))
    if thing.space != OUTSIDE:
        space = boat.spaces[thing.space]
        for what, boxes, into in (
            (
                "",
                [
                    (m, c, h)
                    for m, c, h in zip(mine.names, mine.centre_mm, mine.half_mm, strict=True)
                ],
                bodies,
            ),
            (
                "room",
                [(f"{q.why} room of {q.owner}", q.centre, q.half) for q in thing.rooms],
                rooms,
            ),
        ):
            del what
            for label, c, h in boxes:
                over = float(np.max(np.concatenate([space.low - (c - h), (c + h) - space.high])))
                if over > CLASH_MM:
                    into.append(Clash(label, f"the sides of {space.label}", over))
    return _deepest(bodies), _deepest(rooms)


def _arrays(t: Thing) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    b = t.at_rest()
    return b.centre_mm, b.half_mm, b.rotation


def _deepest(clashes: list[Clash]) -> list[Clash]:
    """One line for each pair, its deepest."""
    best: dict[tuple[str, str], Clash] = {}
    for c in clashes:
        key = (c.what, c.other)
        if key not in best or c.depth_mm > best[key].depth_mm:
            best[key] = c
    return sorted(best.values(), key=lambda c: -c.depth_mm)


def fit_one(
    builder: Builder,
    boat: Boat,
    thing: Thing,
    fitted: list[Thing],
    others: list[Thing],
    effort: FitEffort,
) -> ThingFit:
    """Answer for one thing among those already fitted."""
    clashes, rooms = clashes_at_rest(boat, thing, others)
    ways = chains(boat, thing)
    if thing.space == OUTSIDE or not ways:
        text = (
            ""
            if thing.space == OUTSIDE
            else f"no opening leads from outside to {boat.spaces[thing.space].label}: add one to the hull file"
        )
        answer = Answer.THERE if thing.space == OUTSIDE else Answer.NOT_SETTLED
        return ThingFit(
            thing.name,
            thing.label,
            answer,
            None,
            None,
            (),
            None,
            "",
            (),
            None,
            None,
            tuple(clashes),
            tuple(rooms),
            None,
            (),
            text,
            thing.mass_kg,
        )
    at, passage = _best_way(boat, thing, ways, fitted, effort)
    worst, best, deciding = _how_sure(builder, boat, thing, at, passage, fitted, effort)
    answer = _answer(passage.verdict, worst, best)
    moves: tuple[Move, ...] = ()
    least, near = passage.least_clearance_mm, ""
    if passage.verdict is Verdict.GOES_IN:
        moves = tuple(tell(at.problem, passage, at.seat))
        told = list(moves[:-1])
        tight = min(told, key=lambda m: m.least_clearance_mm) if told else None
        near = tight.near_fixed if tight else ""
    elif passage.touch is not None:
        near = passage.touch.fixed
    out, first = _out_again(boat, thing, at, passage, others, effort)
    fit = ThingFit(
        thing.name,
        thing.label,
        answer,
        passage,
        at,
        moves,
        least,
        near,
        tuple(deciding),
        worst,
        best,
        tuple(clashes),
        tuple(rooms),
        out,
        first,
        "",
        thing.mass_kg,
    )
    short = shortfall_share(at.problem, effort.seed) if answer is Answer.NOT_SETTLED else None
    return replace(
        fit,
        advice=_advice(fit, boat, short),
        shortfall_mm=None if short is None else float((1 - short) * thing.size_mm.max()),
    )


def _best_way(
    boat: Boat, thing: Thing, ways: list[WayIn], fitted: list[Thing], effort: FitEffort
) -> tuple[Entry, Passage]:
    """Try each way in; the first that goes in, else the most informative answer."""
    tried: list[tuple[Entry, Passage]] = []
    for way in ways:
        at = entry(boat, thing, way, fitted, Cover.OUTER, boat.clearance_mm)
        passage = _pass(
            at, effort, effort.passage_seconds / len(ways), _looser(boat, thing, way, fitted)
        )
        tried.append((at, passage))
        if passage.verdict is Verdict.GOES_IN:
            return tried[-1]
    unsettled = [t for t in tried if t[1].verdict is Verdict.NOT_SETTLED]
    return unsettled[0] if unsettled else tried[0]


def _looser(boat: Boat, thing: Thing, way: WayIn, fitted: list[Thing]) -> Problem:
    """The same question with corners covered from inside and no clearance asked: for "cannot"."""
    return entry(boat, thing, way, fitted, Cover.INNER, 0.0).problem


def _pass(
    at: Entry,
    effort: FitEffort,
    seconds: float,
    looser: Problem | None,
    like: dict[str, object] | None = None,
) -> Passage:
    """The passage to the hover; a taken resting place needs no search."""
    return find_passage(
        at.problem, Effort(seconds, effort.improve_seconds, effort.seed, effort.stop), looser, like
    )


def _how_sure(
    builder: Builder,
    boat: Boat,
    thing: Thing,
    at: Entry,
    passage: Passage,
    fitted: list[Thing],
    effort: FitEffort,
) -> tuple[Verdict | None, Verdict | None, list[Deciding]]:
    """(verdict at the worst end, at the best end, deciding sizes)."""
    if passage.verdict is Verdict.NOT_SETTLED:
        return None, None, []
    names = [t.name for t in fitted]

    def problem_for(
        nudge: dict[str, float], wanted: float, cover: Cover = Cover.OUTER
    ) -> Entry | None:
        other = builder.boat(nudge)
        way = next(
            (
                w
                for w in chains(other, other.things[thing.name])
                if [o.name for o in w.openings] == [o.name for o in at.way.openings]
            ),
            None,
        )
        if way is None:
            return None
        return entry(
            other, other.things[thing.name], way, [other.things[n] for n in names], cover, wanted
        )

    deciding = deciding_sizes(builder, boat, thing, at, passage, problem_for, effort.seed)
    if not deciding:
        return passage.verdict, passage.verdict, []
    goes = passage.verdict is Verdict.GOES_IN
    end = problem_for(end_nudges(deciding, worst=goes), 0.0)
    if end is None:
        return None, None, deciding
    if goes and follows(end, passage, anchor(end.way) - anchor(at.way)):
        return Verdict.GOES_IN, Verdict.GOES_IN, deciding
    looser = problem_for(end_nudges(deciding, worst=goes), 0.0, Cover.INNER)
    found = _pass(
        end,
        replace(effort, improve_seconds=0.0),
        effort.end_seconds if goes else effort.passage_seconds,
        looser.problem if looser else None,
        passage.proof,
    ).verdict
    return (found, passage.verdict, deciding) if goes else (passage.verdict, found, deciding)


def _answer(nominal: Verdict, worst: Verdict | None, best: Verdict | None) -> Answer:
    if nominal is Verdict.NOT_SETTLED:
        return Answer.NOT_SETTLED
    if nominal is Verdict.GOES_IN:
        return Answer.GOES_IN if worst is Verdict.GOES_IN else Answer.MEASURE_AGAIN
    if best is Verdict.GOES_IN:
        return Answer.MEASURE_AGAIN
    return Answer.CANNOT if best is Verdict.CANNOT else Answer.NOT_SETTLED


def _out_again(
    boat: Boat, thing: Thing, at: Entry, passage: Passage, others: list[Thing], effort: FitEffort
) -> tuple[Verdict | None, tuple[str, ...]]:
    """Does it come out with everything else in place; if not, which others come out first."""
    if passage.verdict is not Verdict.GOES_IN:
        return None, ()
    full = entry(boat, thing, at.way, others, Cover.OUTER, boat.clearance_mm)
    if follows(full, passage, np.zeros(3)):
        return Verdict.GOES_IN, ()
    if (
        full.rest_gap_mm > -SEATED_MM
        and _pass(
            full, replace(effort, improve_seconds=0.0), effort.out_seconds, full.problem
        ).verdict
        is Verdict.GOES_IN
    ):
        return Verdict.GOES_IN, ()
    blocking = [
        t
        for t in others
        if not follows(
            entry(boat, thing, at.way, [t], Cover.OUTER, boat.clearance_mm), passage, np.zeros(3)
        )
    ]
    return Verdict.NOT_SETTLED, tuple(t.name for t in blocking)


def _advice(fit: ThingFit, boat: Boat, short: float | None) -> str:
    """What to do next, in one sentence."""
    if fit.answer is Answer.MEASURE_AGAIN and fit.deciding:
        d = fit.deciding[0]
        return f"Measure {d.label} again ({d.value_mm:.0f} ±{d.plus_minus_mm:g} mm): it is {d.share:.0%} of the doubt."
    if fit.answer is Answer.CANNOT and fit.passage is not None:
        if fit.least_clearance_mm is not None and fit.least_clearance_mm < 0:
            return f"Its place is taken by {fit.nearly_touching} by {-fit.least_clearance_mm:.0f} mm: move one of them."
        return "No way in, and that is proven: see what would make it go with coaming remedy, or choose a larger way in."
    if fit.answer is Answer.NOT_SETTLED:
        if short is None:
            return "Neither a way nor a proof was found: try a card mock-up, or give more time with --seconds."
        least = (1 - short) * boat.things[fit.name].size_mm.max()
        return f"Neither a way nor a proof was found; scaled to {short:.0%} (about {least:.0f} mm less on its longest side) it goes. Try a card mock-up, or give more time with --seconds."
    if fit.clashes:
        return f"Move it clear of {fit.clashes[0].other} by {fit.clashes[0].depth_mm:.0f} mm."
    if fit.rooms_taken:
        c = fit.rooms_taken[0]
        return f"Free the {c.what} from {c.other}: {c.depth_mm:.0f} mm short."
    if fit.out_first:
        return (
            "To take it out again, first take out: "
            + ", ".join(boat.things[n].label for n in fit.out_first)
            + "."
        )
    return ""
