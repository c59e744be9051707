"""Who feeds whom: the circuits of a job with their ends and supplies found, every problem told at once."""

import difflib
from dataclasses import dataclass

from layout.boat.parts import Boat, Terminal, Thing
from layout.errors import Finding, JobError
from layout.job.models import ItemModel
from layout.job.reading import JobFiles, shown
from routing.sizes.conductors import catalogue


@dataclass(frozen=True, slots=True, eq=False)
class End:
    """One end of a circuit: the thing, its terminal, and the kind and gear of the part it is on.

    `place` is the part of a board ("board.part") or the thing itself: what shares a terminal's copper.
    """

    thing: Thing
    terminal: Terminal
    kind: str
    name: str
    item: ItemModel
    place: str


CHARGERS = ("charger", "mains charger", "converter")
SOURCES = ("battery", *CHARGERS)


class Circuits:
    """The circuits of a job with their ends found. Raises JobError with every problem."""

    def __init__(self, files: JobFiles, boat: Boat) -> None:
        self.files, self.boat = files, boat
        self.findings: list[Finding] = []
        self.models = files.job.circuits
        self.feeds = {n: self._end(c.feed, f"circuits.{n}.feed") for n, c in self.models.items()}
        self.loads = {n: self._end(c.load, f"circuits.{n}.load") for n, c in self.models.items()}
        self.returns = {
            n: self._end(c.returns_to, f"circuits.{n}.returns_to") if c.returns_to else None
            for n, c in self.models.items()
        }
        self._names()
        self._backbones()
        self.supply = self._supply()
        if self.findings:
            raise JobError(self.findings)

    def _say(self, key: str, found: str, expected: str, hint: str = "") -> None:
        self.findings.append(Finding(self.files.job_path.name, key, found, expected, hint))

    def _end(self, text: str, key: str) -> End | None:
        thing_name, _, rest = text.partition(".")
        thing = self.boat.things.get(thing_name)
        if thing is None:
            near = difflib.get_close_matches(thing_name, list(self.boat.things), n=1)
            self._say(
                key,
                shown(text),
                "a board or gear and its terminal, like battery.plus",
                f"did you mean '{near[0]}'?" if near else "",
            )
            return None
        if rest not in thing.terminals:
            near = difflib.get_close_matches(rest, list(thing.terminals), n=1, cutoff=0.3)
            known = ", ".join(list(thing.terminals)[:8]) or "none"
            self._say(
                key,
                shown(text),
                f"a terminal of {thing_name}: {known}",
                f"did you mean '{thing_name}.{near[0]}'?" if near else "",
            )
            return None
        part = rest.partition(".")[0]
        job = self.files.job
        on_board = thing.kind == "board"
        item = self.files.gear[
            job.boards[thing_name].parts[part].item if on_board else job.gear[thing_name].item
        ]
        return End(
            thing,
            thing.terminals[rest],
            item.kind,
            text,
            item,
            f"{thing_name}.{part}" if on_board else thing_name,
        )

    def _fed_apart(self, end: End) -> bool:
        """True for a panel fed from its own board: it does not feed the rest of the board."""
        return any(
            f is not None and load is end and f.thing is end.thing
            for f, load in zip(self.feeds.values(), self.loads.values(), strict=True)
        )

    def _names(self) -> None:
        joints = [*self.boat.holes, *self.boat.pipes, *self.boat.trays]
        for n, c in self.models.items():
            for field, names in (("via", c.via), ("avoid", c.avoid)):
                for i, name in enumerate(names):
                    if name not in joints:
                        near = difflib.get_close_matches(name, joints, n=1)
                        self._say(
                            f"circuits.{n}.{field}[{i + 1}]",
                            shown(name),
                            "the name of a hole, pipe or tray",
                            f"did you mean '{near[0]}'?" if near else "",
                        )
            if c.cable is not None and c.cable not in [
                k.name for k in catalogue(self.files.job.job.catalogue)
            ]:
                sizes = [k.name for k in catalogue(self.files.job.job.catalogue)]
                near = difflib.get_close_matches(c.cable, sizes, n=1)
                self._say(
                    f"circuits.{n}.cable",
                    shown(c.cable),
                    "a size of the catalogue: " + ", ".join(sizes),
                    f"did you mean '{near[0]}'?" if near else "",
                )

        sizes = [k.name for k in catalogue(self.files.job.job.catalogue)]
        for i, stock in enumerate(self.files.job.stock):
            if stock.cable not in sizes:
                near = difflib.get_close_matches(stock.cable, sizes, n=1, cutoff=0.3)
                self._say(
                    f"stock[{i + 1}].cable",
                    shown(stock.cable),
                    "a size of the catalogue: " + ", ".join(sizes),
                    f"did you mean '{near[0]}'?" if near else "",
                )
        for n, c in self.models.items():
            if c.lead_lengths and not c.signal:
                self._say(
                    f"circuits.{n}.lead_lengths",
                    f"{len(c.lead_lengths)} lengths",
                    "ready-made leads only where signal = true",
                    "power cable is cut from drums",
                )

    def _backbones(self) -> None:
        """Names in backbones that nothing in the job has; `bus_ends` are the terminals their drops go to."""
        self.bus_ends: list[tuple[Thing, Terminal]] = []
        ends = {
            f"{t.name}.{e}": (t, x)
            for t in self.boat.things.values()
            for e, x in t.terminals.items()
        }

        def known(key: str, word: str, names: list[str], what: str) -> None:
            if word not in names:
                near = difflib.get_close_matches(word, names, n=1, cutoff=0.4)
                self._say(
                    f"backbones.{key}",
                    shown(word),
                    what,
                    f"did you mean '{near[0]}'?" if near else "",
                )

        for name, m in self.files.job.backbones.items():
            known(
                f"{name}.feed",
                m.feed,
                list(ends),
                "a terminal that feeds it, like helm_board.fuses.out",
            )
            known(f"{name}.feed_tee", m.feed_tee, list(m.tees), "one of its tees")
            for i, t in enumerate(m.terminators):
                known(f"{name}.terminators[{i + 1}]", t, list(m.tees), "one of its tees")
            for t, tee in m.tees.items():
                for i, d in enumerate(tee.devices):
                    known(
                        f"{name}.tees.{t}.devices[{i + 1}].on",
                        d.on,
                        list(ends),
                        "a board or gear and its terminal",
                    )
                    if d.on in ends:
                        self.bus_ends.append(ends[d.on])

    def _supply(self) -> dict[str, str | None]:
        """The circuit that feeds each circuit's feed end; None at a battery or other source."""
        out: dict[str, str | None] = {}
        for n, c in self.models.items():
            feed = self.feeds[n]
            if feed is None or c.mains:
                continue
            if feed.kind in SOURCES:
                out[n] = None
                continue
            mine = [
                (m, e)
                for m, e in self.loads.items()
                if e is not None
                and e.thing.name == feed.thing.name
                and m != n
                and not self.models[m].mains
                and not self.models[m].signal
            ]
            steady = [
                (m, e) for m, e in mine if (f := self.feeds[m]) is None or f.kind not in CHARGERS
            ] or mine  # a charger is not always on
            suppliers = [m for m, e in steady if e.place == feed.place] or [
                m for m, e in steady if not self._fed_apart(e)
            ]
            if not suppliers and not c.signal:
                self._say(
                    f"circuits.{n}.feed",
                    shown(c.feed),
                    "a battery, or something another circuit feeds",
                    f"add a circuit whose load is on {feed.thing.name}",
                )
            out[n] = max(suppliers, key=lambda m: self.models[m].amps) if suppliers else None
        for n in out:
            seen = [n]
            while out.get(seen[-1]) is not None:
                following = out[seen[-1]]
                if following is None:
                    break
                if following in seen:
                    self._say(
                        f"circuits.{n}.feed",
                        " -> ".join([*seen, following]),
                        "a feed that leads to a battery",
                        "these circuits feed each other in a circle",
                    )
                    return dict.fromkeys(out)
                seen.append(following)
        return out
