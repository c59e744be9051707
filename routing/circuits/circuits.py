"""Who feeds whom: the circuits of a job with their ends and supplies found; every problem noted."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter
from types import MappingProxyType
from typing import Final

from layout.boat.parts import Boat, Piece, Terminal
from layout.boat.reader import Reader
from layout.errors import did_you_mean, shown
from layout.job.job_file import CircuitModel
from layout.job.reading import JobFiles
from layout.job.type_models import TypeModel
from routing.circuits.banks import Bank
from routing.circuits.named import check_names
from routing.sizes.sizing import CRITICAL_DROP_PERCENT, USUAL_DROP_PERCENT

CRITICAL: Final = frozenset({"fuse panel", "pump", "blower", "navigation light"})
# ISO 10133: panel mains, bilge pumps and blowers, navigation lights drop at most 3 %
BATTERY_SWITCH_AMP: Final = 50.0  # a switch made for less is none for a battery: memory
TWO_SIDED: Final = frozenset({"isolator", "fuse", "switch"})  # with the plus alone
CHARGERS: Final = ("charger", "mains charger", "alternator", "converter", "solar panel")
SOURCES: Final = ("battery", *CHARGERS)


@dataclass(frozen=True, slots=True, eq=False)
class End:
    """One end of a circuit: the piece, its terminal, and the kind and type of the part it is on.

    `name` is its full key, `place` the part of a board ("board.part") or the piece itself: what
    shares a terminal's copper.
    """

    piece: Piece
    terminal: Terminal
    kind: str
    name: str
    type: TypeModel
    place: str


@dataclass(frozen=True, slots=True, eq=False)
class Circuits:
    """The circuits of a job with their ends found.

    `supply` names the circuit that feeds each circuit's feed end, None at a battery or other
    source; `bus_ends` are the pieces and terminals the drop leads of backbones go to. `ends` are
    both terminals of each (circuit, pole), the very studs of rows, once they are dealt.
    """

    files: JobFiles
    boat: Boat
    models: MappingProxyType[str, CircuitModel]
    feeds: MappingProxyType[str, End]
    loads: MappingProxyType[str, End]
    returns: MappingProxyType[str, End | None]
    supply: MappingProxyType[str, str | None]
    bus_ends: tuple[tuple[Piece, str], ...]
    banks: tuple[Bank, ...] = ()
    ends: Mapping[tuple[str, str], tuple[Terminal, Terminal]] = field(default_factory=dict)

    def above(self, number: str) -> list[str]:
        """The circuits that feed one, from the nearest up to the one at the source."""
        out: list[str] = []
        while (up := self.supply.get(out[-1] if out else number)) is not None:
            out.append(up)
        return out

    def root(self, number: str) -> str:
        """The circuit at the source that one hangs on; itself where nothing feeds it."""
        return [number, *self.above(number)][-1]

    def volts(self, number: str) -> float:
        """A circuit's nominal voltage."""
        own = self.models[number].volts
        return own if own is not None else self.files.job.job.volts

    def single(self, number: str) -> bool:
        """True for one sheathed cable, or one conductor, rather than two single conductors."""
        c = self.models[number]
        sheathed = self.boat.lengths[number].outside_diameter is not None
        return c.signal or c.mains or self.one(number) or sheathed

    def one(self, number: str) -> bool:
        """True for one conductor: a link, a plus that ends on an isolator, fuse or switch that
        stands alone, whose minus never goes there, and one over a board to what has a minus link.
        """
        m, load = self.models[number], self.loads[number]
        if self.on_board(number) is not None and self._has_minus_link(load.place):
            return True
        alone = load.kind in TWO_SIDED and (not load.piece.is_board or m.starter)
        return m.link or (alone and not (m.signal or m.mains))

    def _has_minus_link(self, place: str) -> bool:
        """True where a link joins the minus of a part."""
        ends = ((self.feeds[n], self.loads[n]) for n, m in self.models.items() if m.link)
        return any(e.place == place and e.terminal.pole == "minus" for both in ends for e in both)

    def drop_percent(self, number: str) -> float:
        """The most volt drop a circuit may have: its own, and no more than its kind may."""
        own = self.models[number].drop_percent
        most = CRITICAL_DROP_PERCENT if self.loads[number].kind in CRITICAL else USUAL_DROP_PERCENT
        if own is None:
            return most
        return min(own, most) if most < USUAL_DROP_PERCENT else own

    def steady_share(self, number: str) -> float:
        """The share of a feeder's current that flows while what is brief stands still."""
        m = self.models[number]
        behind = [k for k in self.models if number in self.above(k)]
        brief = sum(self.models[k].amps for k in behind if self.models[k].brief)
        if not brief:
            return 1.0
        fed = [self.models[k] for k in behind if self.supply.get(k) == number]
        rest = m.diversity * sum(x.amps for x in fed if not x.brief and not x.link)
        return min(1.0, max(m.amps - brief, rest, 0.0) / m.amps)

    def on_board(self, number: str) -> Piece | None:
        """The board a circuit lies on from end to end; None for everything else."""
        m, board = self.models[number], self.feeds[number].piece
        both = board is self.loads[number].piece and not (m.mains or m.signal)
        return board if both and board.is_board else None

    def guards_of_link(self, number: str) -> list[str]:
        """The circuits whose fuses stand before a link; none are starters' feeds."""
        feed, load = self.feeds[number], self.loads[number]
        plain = [
            k for k, m in self.models.items() if not (m.link or m.signal or m.mains or m.starter)
        ]
        if feed.kind == load.kind == "battery":
            bank = self.bank_of(feed.place).batteries
            return [k for k in plain if self.feeds[k].place in bank]
        if feed.terminal.pole == "minus":
            return [
                k for k in plain if self.loads[k].piece is load.piece is not self.feeds[k].piece
            ]
        return [k for k in self.above(number) if k in plain][:1]

    def isolates(self, end: End) -> bool:
        """True for an isolator, and for a switch made to carry what a battery gives."""
        carries = end.type.carries_amps or 0.0
        return end.kind == "isolator" or (end.kind == "switch" and carries >= BATTERY_SWITCH_AMP)

    def any_isolator(self) -> bool:
        """True when something in the boat isolates a battery."""
        ends = [*self.feeds.values(), *self.loads.values()]
        stands = any("isolator" in p.kinds for p in self.boat.pieces.values())
        return stands or any(self.isolates(e) for e in ends)

    def linked(self, board: Piece) -> bool:
        """True for a board whose links are told."""
        return any(m.link and self.on_board(n) is board for n, m in self.models.items())

    def bank_of(self, battery: str) -> Bank:
        """The bank a battery (its place) is in; a bank of its own where none names it."""
        return next((b for b in self.banks if battery in b.batteries), Bank("", ((battery,),)))

    def bank_volts(self, battery: End) -> float | None:
        """The nominal voltage of the bank a battery is in; None where none is told."""
        own = battery.type.volts
        return None if own is None else own * self.bank_of(battery.place).in_series


def find_circuits(files: JobFiles, boat: Boat, reader: Reader) -> Circuits:
    """The circuits with their ends; problems are noted on the reader."""
    found = _Found(files, boat, reader)
    ends = {number: found.ends_of(number, model) for number, model in files.job.circuits.items()}
    good = {n: e for n, e in ends.items() if e[0] is not None and e[1] is not None}
    feeds = {n: e[0] for n, e in good.items() if e[0] is not None}
    loads = {n: e[1] for n, e in good.items() if e[1] is not None}
    models = {n: files.job.circuits[n] for n in good}
    check_names(files, boat, reader)
    bus_ends = found.backbones()
    banks = found.banks()
    supply = found.supply(models, feeds, loads)
    returns = {n: good[n][2] or found.home(n, models, feeds, loads, supply, banks) for n in good}
    return Circuits(
        files,
        boat,
        MappingProxyType(models),
        MappingProxyType(feeds),
        MappingProxyType(loads),
        MappingProxyType(returns),
        MappingProxyType(supply),
        tuple(bus_ends),
        tuple(banks),
    )


def minus_bar(files: JobFiles, board: Piece) -> End | None:
    """The minus bar of a board, or the load side of its shunt; None where it has neither."""
    ends = [(n.partition(".")[0], n, t) for n, t in board.terminals.items() if t.pole == "minus"]
    bars = [e for e in ends if board.parts[e[0]].kind == "bus bar"]
    bars.sort(key=lambda e: not e[1].endswith(".out"))  # its studs before its feed
    bars += [e for e in ends if board.parts[e[0]].kind == "shunt" and e[1].endswith(".load")]
    if not bars:
        return None
    key, name, terminal = bars[0]
    part = board.parts[key]
    of_type, place = files.types[part.type], f"{board.key}.{key}"
    return End(board, terminal, part.kind, f"{board.key}.{name}", of_type, place)


class _Found:
    """Looks the names of circuits up."""

    def __init__(self, files: JobFiles, boat: Boat, reader: Reader) -> None:
        self.files, self.boat, self.r = files, boat, reader
        self.labels = {piece.key: piece.label for piece in boat.pieces.values()}

    def ends_of(self, n: str, model: CircuitModel) -> tuple[End | None, End | None, End | None]:
        """(feed, load, where it returns to)."""
        key = f"circuits.{n}"
        feed = self.end(model.feed, f"{key}.feed", model.label)
        load = self.end(model.load, f"{key}.load", model.label)
        to = model.returns_to
        back = self.end(to, f"{key}.returns_to", model.label) if to else None
        return feed, load, back

    def end(self, text: str, key: str, label: str) -> End | None:
        """The end a text names; None, and noted, when there is none such."""
        name, _, rest = text.partition(".")
        own = self.r.resolved(name, key, self.labels, "a board or piece, like battery.plus")
        piece = None if own is None else self.boat.pieces.get(own)
        if piece is None:
            return None
        if rest not in piece.terminals:
            near = did_you_mean(rest, list(piece.terminals), 0.5)
            known = ", ".join(list(piece.terminals)[:8]) or "none"
            self.r.say(key, shown(text), f"a terminal of {piece.key}: {known}", near, label)
            return None
        part = rest.partition(".")[0]
        of_type = self.files.types[piece.parts[part].type if piece.is_board else piece.type]
        place = f"{piece.key}.{part}" if piece.is_board else piece.key
        return End(
            piece, piece.terminals[rest], of_type.kind, f"{piece.key}.{rest}", of_type, place
        )

    def backbones(self) -> list[tuple[Piece, str]]:
        """Names in backbones that nothing has are noted; the terminals their drop leads go to."""
        ends = {
            f"{piece.key}.{e}": (piece, e)
            for piece in self.boat.pieces.values()
            for e in piece.terminals
        }
        out = []
        for name, backbone in self.files.job.backbones.items():
            key = f"backbones.{name}"
            self.r.known(backbone.feed, f"{key}.feed", ends, "a terminal that feeds it")
            self.r.known(backbone.feed_tee, f"{key}.feed_tee", backbone.tees, "one of its tees")
            for i, t in enumerate(backbone.terminators):
                self.r.known(t, f"{key}.terminators[{i + 1}]", backbone.tees, "one of its tees")
            for t, tee in backbone.tees.items():
                for i, d in enumerate(tee.devices):
                    on = f"{key}.tees.{t}.devices[{i + 1}].on"
                    if self.r.known(d.on, on, ends, "a terminal of a board or piece"):
                        out.append(ends[d.on])
        return out

    def home(
        self,
        n: str,
        models: dict[str, CircuitModel],
        feeds: dict[str, End],
        loads: dict[str, End],
        supply: dict[str, str | None],
        banks: list[Bank],
    ) -> End | None:
        """Where the minus goes of what hangs on an isolator, fuse or switch that stands alone: to
        the minus of what feeds that; of what lies on one board, to the board's minus bar. None
        where it goes back as its plus came.
        """
        m, here, feed, load = models[n], n, feeds[n], loads[n]
        if m.signal or m.mains or m.link:
            return None
        if feed.piece.is_board and feed.piece is load.piece:
            return minus_bar(self.files, feed.piece)
        while feed.kind in TWO_SIDED and (not feed.piece.is_board or models[here].starter):
            up = supply.get(here)
            if up is None:
                return None
            here, feed = up, feeds[up]
        if here == n:
            return None
        strings = next((b.strings for b in banks if feed.place in b.batteries), None)
        place = feed.place if strings is None else strings[0][0]
        piece = self.boat.pieces[place.partition(".")[0]]
        for name, terminal in piece.terminals.items():
            if terminal.pole == "minus" and f"{piece.key}.{name}".startswith(f"{place}."):
                own = feed.type if piece is feed.piece else self.files.types[piece.type]
                return End(piece, terminal, feed.kind, f"{piece.key}.{name}", own, place)
        return None

    def banks(self) -> list[Bank]:
        """The banks of the job; batteries that are none, or stand in two, are noted."""
        batteries = [p.key for p in self.boat.pieces.values() if p.kind == "battery"]
        out: list[Bank] = []
        seen: set[str] = set()
        for name, bank in self.files.job.banks.items():
            lengths = {len(s) for s in bank.strings}
            if len(lengths) > 1:
                found = ", ".join(str(len(s)) for s in bank.strings)
                wanted = "as many batteries in each string"
                hint = "strings side by side must have one voltage"
                self.r.say(f"banks.{name}.strings", found, wanted, hint, bank.label)
            fine = len(lengths) == 1
            for i, string in enumerate(bank.strings):
                for k, battery in enumerate(string):
                    key = f"banks.{name}.strings[{i + 1}][{k + 1}]"
                    if not self.r.known(battery, key, batteries, "a battery"):
                        fine = False
                    elif battery in seen:
                        fine = False
                        self.r.say(key, shown(battery), "a battery that is in no other string")
                    seen.add(battery)
            if fine:
                out.append(Bank(name, tuple(tuple(s) for s in bank.strings)))
        return out

    def supply(
        self, models: dict[str, CircuitModel], feeds: dict[str, End], loads: dict[str, End]
    ) -> dict[str, str | None]:
        """The circuit that feeds each circuit's feed end; None at a battery or other source."""
        out: dict[str, str | None] = {}
        for number, model in models.items():
            if model.mains:
                continue
            out[number] = None
            if feeds[number].kind in SOURCES or is_minus(model, feeds[number], loads[number]):
                continue
            suppliers = _suppliers(number, models, feeds, loads)
            if not suppliers and not model.signal:
                hint = f"add a circuit whose load is on {feeds[number].piece.key}"
                wanted = "a battery, or something another circuit feeds"
                self.r.say(f"circuits.{number}.feed", shown(model.feed), wanted, hint, model.label)
            out[number] = max(suppliers, key=lambda m: models[m].amps) if suppliers else None
        return self._without_circles(out)

    def _without_circles(self, supply: dict[str, str | None]) -> dict[str, str | None]:
        try:
            TopologicalSorter(
                {number: [up] for number, up in supply.items() if up is not None}
            ).prepare()
        except CycleError:  # one of perhaps several: all of them are told
            return self._circles_told(supply)
        return supply

    def _circles_told(self, supply: dict[str, str | None]) -> dict[str, str | None]:
        import networkx as nx

        graph = nx.DiGraph([(number, up) for number, up in supply.items() if up is not None])
        circles = [sorted(c) for c in nx.strongly_connected_components(graph) if len(c) > 1]
        circles += [[n] for n in nx.nodes_with_selfloops(graph)]
        for circle in circles:
            self.r.say(
                f"circuits.{circle[0]}.feed",
                " -> ".join([*circle, circle[0]]),
                "a feed that leads to a battery",
                "these circuits feed each other in a circle",
            )
        return dict.fromkeys(supply)


def is_minus(model: CircuitModel, feed: End, load: End) -> bool:
    """True for a link on the minus side: it feeds nothing."""
    return model.link and feed.terminal.pole == load.terminal.pole == "minus"


def _suppliers(
    n: str, models: dict[str, CircuitModel], feeds: dict[str, End], loads: dict[str, End]
) -> list[str]:
    """The circuits that may feed one: those to its own part first, then to its board."""

    def fed_apart(load: End, by: str) -> bool:
        """True for a panel fed from its own board: it does not feed the rest of the board."""
        return feeds[by].piece is load.piece

    feed = feeds[n]
    mine = [
        number
        for number, e in loads.items()
        if e.piece is feed.piece
        and number != n
        and not models[number].mains
        and not models[number].signal
        and not is_minus(models[number], feeds[number], e)
    ]
    steady = [m for m in mine if feeds[m].kind not in CHARGERS] or mine  # not always on
    own = [m for m in steady if loads[m].place == feed.place]
    linked = any(
        x.link and feeds[m].piece is loads[m].piece is feed.piece for m, x in models.items()
    )
    if own or linked:  # where a board's links are told, nothing is supposed beside them
        return own
    return [m for m in steady if not fed_apart(loads[m], m)]
