"""A board of a job as what is to be arranged: its parts, rooms, links and cables, and its site."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.bench.arrange.kit import (
    Box,
    Kit,
    KitLead,
    KitLink,
    KitPart,
    LeadRoom,
    Post,
    lead_box,
    turned_box,
)
from layout.bench.frontier import Site
from layout.bench.wanted import Wanted
from layout.boat.parts import LUG_MM, OUTSIDE, Boat, Piece
from layout.boat.pieces import OUT_WORDS, pole_of
from layout.boat.reader import Reader, sizes_of
from layout.errors import CoamingError, JobError, did_you_mean, nearest
from layout.job.board_models import BoardModel, BoardPart
from layout.job.reading import JobFiles
from layout.job.type_models import TypeModel
from routing.circuits.circuits import Circuits
from routing.circuits.requests import GLAND_MM, Requests
from routing.network.studs import conductors, terminal_of
from routing.sizes.conductors import price_of_od
from routing.sizes.ends import lug_need_mm
from routing.ways.bends import least_radius_mm
from viewer.work.described import Described

HOT_WATTS: Final = 20.0  # from here a part counts as hot: common practice
MINDS_HEAT: Final = frozenset({"battery", "fuse", "fuse panel", "instrument", "radio", "switch"})
NEAR_THE_OPENING: Final = frozenset({"isolator", "fuse", "fuse panel"})
TURNS: Final = {"any way": (0, 90, 180, 270), "on end": (0, 180), "upright": (0,)}
LIE_MM: Final = 4.0  # a cable over its plate lies so far round its own middle
FIELDS: Final = frozenset({"compass", "heading sensor"})  # kept off by rules, not by their box
SPREAD_MM: Final = 20.0


@dataclass(frozen=True, slots=True, eq=False)
class BoardToArrange:
    """A board to be arranged: what is wanted and where it goes."""

    key: str
    label: str
    model: BoardModel
    wanted: Wanted
    site: Site
    upright: bool
    link_marks: tuple[str, ...]  # the circuits of the kit's links


def board_to_arrange(files: JobFiles, name: str) -> BoardToArrange:
    """A board by its key or label. Raises JobError, CoamingError."""
    key = _named(files, name)
    model = files.job.boards[key]
    reader = Reader(files, sizes_of(files, []))
    thick = reader.mm(model.plate[2], f"boards.{key}.plate[3]", 1)
    found = Described.by(_spread(files, key, reader, thick))
    board = found.boat.pieces[key]
    upright = abs(float(board.turn[2, 1])) > 0.7
    maker = _Maker(found, reader, key, model, board, upright)
    kit, marks = maker.kit()
    most = (
        tuple(float(v) for v in reader.vec(model.arrange.most, f"boards.{key}.arrange.most", 1))
        if model.arrange.most is not None
        else _room(found.boat, board)
    )
    if model.arrange.aim == "cable" or model.panel:
        most = tuple(
            reader.mm(v, f"boards.{key}.plate[{k + 1}]", 1) for k, v in enumerate(model.plate[:2])
        )
    size = (most[0], most[1])
    if model.panel:
        kit = replace(
            kit, forbidden=(*kit.forbidden, *_behind(found.boat, board, kit, size, thick))
        )
    wanted = Wanted(replace(kit, most_mm=size), thick, model.arrange.aim, size)
    rest = [p for p in found.boat.there() if p.space != OUTSIDE]  # the order is found with it
    site = Site.of(found.boat, board, rest)
    if reader.findings:
        raise JobError(reader.findings)
    return BoardToArrange(key, board.label, model, wanted, site, upright, marks)


def _named(files: JobFiles, name: str) -> str:
    boards = files.job.boards
    found = [k for k, b in boards.items() if name in (k, b.label)]
    if len(found) == 1:
        return found[0]
    if not boards:
        raise CoamingError("The job has no board: add one under [boards.NAME] with its parts")
    near = nearest(name, [*boards, *(b.label for b in boards.values() if b.label)])
    hint = f"did you mean '{near}'?" if near else f"there are {', '.join(boards)}"
    raise CoamingError(f"{files.job_path.name}: no board is named '{name}': {hint}")


def _spread(files: JobFiles, key: str, reader: Reader, thick: float) -> JobFiles:
    """The files with the board's parts side by side on a plate that holds them: only so that the
    rest can be built; where they stand is what is looked for.
    """
    model = files.job.boards[key]
    parts: dict[str, BoardPart] = {}
    x = high = 0.0
    for name, part in model.parts.items():
        kind = files.types.get(part.type)
        if kind is None:
            parts[name] = part.model_copy(update={"at": [0.0, 0.0]})
            continue  # told when it is built
        boxes = [_box(reader, part.type, kind, i) for i in range(len(kind.boxes))]
        reach = max(max(abs(v) for v in (b.x0, b.x1, b.y0, b.y1)) for b in boxes)
        x += reach + SPREAD_MM
        high = max(high, 2 * reach)
        parts[name] = part.model_copy(update={"at": [x, "MIDDLE"], "turn": 0})
        x += reach
    wide, high = x + SPREAD_MM, high + 2 * SPREAD_MM
    placed = {
        name: p.model_copy(update={"at": [p.at[0], high / 2] if p.at is not None else None})
        for name, p in parts.items()
    }
    update = {"parts": placed, "plate": [max(wide, 50.0), max(high, 50.0), thick]}
    boards = {**files.job.boards, key: model.model_copy(update=update)}
    return replace(files, job=files.job.model_copy(update={"boards": boards}))


def _room(boat: Boat, board: Piece) -> tuple[float, float]:
    """The most a plate may measure there: its space."""
    space = boat.spaces[board.space]
    size = np.abs(board.turn.T) @ (space.high - space.low)
    return float(size[0]), float(size[1])


def _behind(
    boat: Boat, board: Piece, kit: Kit, size: tuple[float, float], thick: float
) -> list[tuple[float, float, float, float]]:
    """What is in the way behind a panel, on its face: structure and gear no deeper than its deepest
    part with its room reaches.
    """
    deep = max((-b.z0 for p in kit.parts for b in (*p.boxes, *p.rooms)), default=0.0)
    r = board.turn
    rest = board.at_rest()
    back = rest.centre_mm[0] - r[:, 2] * (np.abs(r.T @ rest.rotation[0]) @ rest.half_mm[0])[2]
    corner = back - r[:, 0] * size[0] / 2 - r[:, 1] * size[1] / 2 + r[:, 2] * thick
    out = []
    for key, a, b in boat.stands_in((board.space,)):
        kind, _, name = key.partition(":")
        field = kind == "hazard" and boat.hazards[name].kind in FIELDS
        if key == f"piece:{board.key}" or field:
            continue
        mid, reach = r.T @ ((a + b) / 2 - corner), np.abs(r.T) @ ((b - a) / 2)
        low, high = mid - reach, mid + reach
        if high[2] > -deep and low[2] < 0:
            x0, y0, x1, y1 = (float(v) for v in (low[0], low[1], high[0], high[1]))
            if x1 > 0 and y1 > 0 and x0 < size[0] and y0 < size[1]:
                out.append((x0, y0, x1, y1))
    return out


def _meet(p: KitPart, boxes: tuple[Box, ...], q: KitPart, gap_mm: float) -> bool:
    """True where boxes of a pinned part come into another pinned part's body."""
    (px, py, pt), (qx, qy, qt) = p.pinned or (0.0, 0.0, 0), q.pinned or (0.0, 0.0, 0)
    for b in boxes:
        a = turned_box(b, pt // 90)
        for c in q.boxes:
            d = turned_box(c, qt // 90)
            aside = max(qx + d[0] - px - a[2], px + a[0] - qx - d[2])
            above = max(qy + d[1] - py - a[3], py + a[1] - qy - d[3])
            if max(aside, above) < gap_mm - 1e-6 and a[4] < d[5] and d[4] < a[5]:
                return True
    return False


def _box(reader: Reader, name: str, kind: TypeModel, i: int) -> Box:
    """A box of a type's body from the middle of its foot."""
    b = kind.boxes[i]
    return _from(reader, b.size, b.at, f"types.{name}.boxes[{i + 1}]")


def _from(reader: Reader, size: list[str | float], at: list[str | float], key: str) -> Box:
    s = reader.vec(size, f"{key}.size", 0.5)
    x, y, z = (float(v) for v in reader.vec(at, f"{key}.at"))
    w, h, d = (float(v) for v in s)
    return Box(x - w / 2, y - h / 2, z, x + w / 2, y + h / 2, z + d)


class _Maker:
    """Makes the kit of one board."""

    def __init__(
        self, found: Described, reader: Reader, key: str, model: BoardModel, board: Piece,
        upright: bool,
    ) -> None:  # fmt: skip
        self.found, self.reader, self.key = found, reader, key
        self.model, self.board, self.upright = model, board, upright
        self.circuits: Circuits = found.circuits
        self.requests = Requests(found.circuits)
        self.names = list(model.parts)
        self.posts = {name: list(self._type(name).terminals) for name in self.names}

    def _type(self, name: str) -> TypeModel:
        return self.found.files.types[self.model.parts[name].type]

    def kit(self) -> tuple[Kit, tuple[str, ...]]:
        """The kit, and the circuits of its links."""
        a, key = self.model.arrange, f"boards.{self.key}.arrange"
        mm = self.reader.mm
        links, marks = self._links()
        parts = tuple(self._part(name) for name in self.names)
        self._pins_clash(parts, mm(a.gap, f"{key}.gap", 0))
        kit = Kit(
            parts,
            links,
            self._leads(),
            margin_mm=mm(a.margin, f"{key}.margin", 0),
            gap_mm=mm(a.gap, f"{key}.gap", 0),
            corner_mm=mm(a.corner, f"{key}.corner", 0),
            upright=self.upright,
            to_opening=self._to_opening(),
            forbidden=tuple(
                self._zone(z, f"{key}.forbid[{i + 1}]") for i, z in enumerate(a.forbid)
            ),
            spare=tuple(self._pair(s, f"{key}.spare[{i + 1}]") for i, s in enumerate(a.spare)),
        )
        return kit, marks

    def _pair(self, texts: list[str | float], key: str) -> tuple[float, float]:
        a, b = self.reader.vec(texts, key, 1)
        return float(a), float(b)

    def _zone(self, texts: list[str | float], key: str) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = (float(v) for v in self.reader.vec(texts, key))
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def _part(self, name: str) -> KitPart:
        part, kind = self.model.parts[name], self._type(name)
        key = f"types.{part.type}"
        boxes = tuple(_box(self.reader, part.type, kind, i) for i in range(len(kind.boxes)))
        rooms = tuple(
            _from(self.reader, r.size, r.at, f"{key}.rooms[{i + 1}]")
            for i, r in enumerate(kind.rooms)
        )
        pinned = None
        if part.pinned:
            at = f"boards.{self.key}.parts.{name}.at"
            if part.at is None:
                self.reader.say(at, "a pinned part with no place", "where its foot is")
            else:
                x, y = (float(v) for v in self.reader.vec(part.at, at))
                pinned = (x, y, part.turn)
        turns = TURNS[kind.stands] if self.upright else TURNS["any way"]
        return KitPart(
            name,
            boxes,
            rooms,
            tuple(self._post(name, t) for t in self.posts[name]),
            self._lead_rooms(name),
            turns,
            kind.mass_kg,
            kind.kind in NEAR_THE_OPENING,
            kind.heat_watts >= HOT_WATTS,
            kind.kind in MINDS_HEAT,
            pinned,
            self._row(name),
        )

    def _pins_clash(self, parts: tuple[KitPart, ...], gap_mm: float) -> None:
        """Pinned parts that stand in one another, or before one another's terminals, are told."""
        pinned = [p for p in parts if p.pinned is not None]
        for p in pinned:
            at = f"boards.{self.key}.parts.{p.key}.at"
            for q in pinned:
                if q is p:
                    continue
                if q.key < p.key and _meet(p, p.boxes, q, gap_mm):
                    hint = f"keep {gap_mm:g} mm between them, or take a pin away"
                    self.reader.say(at, f"a pin that clashes with {q.key}", "a free place", hint)
                for lead in p.leads:
                    room = lead_box(p.posts[lead.post], lead)
                    if lead.partner < 0 and _meet(p, (room,), q, 0.0):
                        name = self.posts[p.key][lead.post]
                        found = f"terminal {name} with no way out: {q.key} is pinned before it"
                        wanted = f"{lead.long_mm:.0f} mm free for its cable"
                        self.reader.say(at, found, wanted, "turn it, or take a pin away")

    def _row(self, name: str) -> int:
        for k, row in enumerate(self.model.arrange.rows):
            for other in row:
                if other not in self.model.parts:
                    at = f"boards.{self.key}.arrange.rows[{k + 1}]"
                    hint = did_you_mean(other, self.names)
                    self.reader.say(at, f"'{other}'", "a part of the board", hint)
            if name in row:
                return k
        return -1

    def _post(self, name: str, terminal: str) -> Post:
        kind = self._type(name)
        t = kind.terminals[terminal]
        x, y, _ = self.reader.vec(t.at, f"types.{self.model.parts[name].type}.terminals.{terminal}")
        ox, oy, _ = OUT_WORDS[t.out]
        pole = t.pole or pole_of(kind.kind, terminal)
        sign = {"plus": 1, "minus": -1}.get(pole, 0) if t.stud is not None else 0
        return Post(float(x), float(y), float(ox), float(oy), sign)

    # -- cables ------------------------------------------------------------------------------------

    def _ends(self) -> list[tuple[str, str, str]]:
        """(circuit, feed, load) with both ends; the minus of a circuit over the board too."""
        c = self.circuits
        out = [(x.number, x.start, x.goal) for x in conductors(c)]
        told = {n for n, _, _ in out}  # mains and data leads have no conductors to be listed
        return out + [(n, c.feeds[n].name, c.loads[n].name) for n in c.models if n not in told]

    def _mine(self, name: str) -> tuple[int, int] | None:
        """The part and terminal of this board a full name means."""
        board, _, rest = name.partition(".")
        part, _, terminal = rest.partition(".")
        if board != self.key or part not in self.names or terminal not in self.posts[part]:
            return None
        return self.names.index(part), self.posts[part].index(terminal)

    def _links(self) -> tuple[tuple[KitLink, ...], tuple[str, ...]]:
        links, marks = [], []
        for n, feed, load in self._ends():
            a, b = self._mine(feed), self._mine(load)
            if a is not None and b is not None and a[0] != b[0]:
                links.append(KitLink(*a, *b, worth=self._worth(n)))
                marks.append(n)
        return tuple(links), tuple(marks)

    def _worth(self, number: str) -> float:
        """What a millimetre of a circuit's cable is worth beside one of the least: its price."""
        name = self.found.files.job.job.catalogue
        return max(1.0, float(round(price_of_od(self.requests.od_mm(number), name))))

    def _leads(self) -> tuple[KitLead, ...]:
        """Cables that leave the board: by the edge that looks to where they go."""
        out = []
        for _, feed, load in self._ends():
            for mine, there in ((feed, load), (load, feed)):
                here, other = self._mine(mine), terminal_of(self.circuits, there)
                if here is None or other is None or there.startswith(f"{self.key}."):
                    continue
                way = self.board.turn.T @ (other.at - self.board.rest.at_mm)
                k = 0 if abs(way[0]) >= abs(way[1]) else 1
                sign = 1.0 if way[k] > 0 else -1.0
                to = (sign, 0.0) if k == 0 else (0.0, sign)
                out.append(KitLead(*here, *to, worth=1.0))
        return tuple(out)

    def _lead_rooms(self, name: str) -> tuple[LeadRoom, ...]:
        """Out of each terminal the room its thickest cable needs to bend."""
        mine = self.names.index(name)
        thickest: dict[int, tuple[float, tuple[int, int]]] = {}
        for n, feed, load in self._ends():
            a, b = self._mine(feed), self._mine(load)
            for here, there in ((a, b), (b, a)):
                if here is None or here[0] != mine:
                    continue
                od = self.requests.od_mm(n)
                if od > thickest.get(here[1], (0.0, (-1, -1)))[0]:
                    thickest[here[1]] = (od, there or (-1, -1))
        out = []
        for post, (od, partner) in thickest.items():
            terminal = self._type(name).terminals[self.posts[name][post]]
            if terminal.out in ("top", "back"):
                continue
            z = self.reader.mm(terminal.at[2], f"types.{name}.terminals", None)
            lug = LUG_MM if terminal.stud is not None else GLAND_MM
            long = lug + least_radius_mm(od, False) + od / 2
            half = max(od / 2, LIE_MM)
            wide = od + self._row_mm(name, post)
            room = LeadRoom(post, long, wide, max(z - half, 0.0), z + half, *partner)
            out.append(replace(room, lug_mm=lug_need_mm(od)))
        return tuple(out)

    def _row_mm(self, name: str, post: int) -> float:
        """How long the row of studs of a terminal is, 0 for one alone."""
        t = self._type(name).terminals[self.posts[name][post]]
        if t.stud_step is None:
            return 0.0
        step = self.reader.vec(t.stud_step, f"types.{self.model.parts[name].type}.terminals")
        return (t.studs - 1) * float(np.hypot(*step))

    def _to_opening(self) -> tuple[float, float]:
        """Where the nearest opening is, seen from the board, in its own plane."""
        boat, board = self.found.boat, self.board
        mine = [o for o in boat.openings.values() if board.space in (o.inner, o.outer)]
        if not mine:
            return 0.0, 0.0
        at = board.rest.at_mm
        o = min(mine, key=lambda x: float(np.linalg.norm(x.centre - at)))
        way = (board.turn.T @ (o.centre - at))[:2]
        far = float(np.linalg.norm(way))
        return (float(way[0] / far), float(way[1] / far)) if far > 1.0 else (0.0, 0.0)
