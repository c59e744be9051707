"""Make the boat from the files for one set of size values, and find what does not make sense.

`Builder(files).boat()` gives the nominal boat or raises JobError with every problem;
`Builder.boat(nudge)` gives the boat with some measured sizes moved, which is how the deciding
sizes are found.
"""

import difflib
from collections.abc import Iterable, Mapping
from threading import Lock
from typing import Final

import numpy as np

from layout.boat.cable_ways import CableWays, title
from layout.boat.parts import (
    DIRECTIONS,
    FACES,
    OUTSIDE,
    Boat,
    Hazard,
    Opening,
    RoomNeeded,
    Solid,
    Space,
    Terminal,
    Thing,
)
from layout.errors import Finding, JobError, SizeError
from layout.geometry.frames import Array
from layout.job.models import BoardModel, GearModel, ItemModel, Length
from layout.job.reading import JobFiles, shown
from layout.job.sizes import PLUS_MINUS_MM, Measure, Sizes, looks_measured, parse_measure
from layout.passage.problem import BoxSet, Pose

OUT_WORDS: Final = {
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "down": (0, -1, 0),
    "up": (0, 1, 0),
    "top": (0, 0, 1),
    "back": (0, 0, -1),
}
PLATE_KG_PER_MM3: Final = 650e-9  # marine ply, 650 kg/m3: common practice
MEETS_MM: Final = (
    30.0  # how far apart two faces joined by an opening may be from its throat's depth
)


class Builder:
    """Turns checked files into a boat; collects findings on the first, nominal, build."""

    def __init__(self, files: JobFiles) -> None:
        self.files = files
        self.findings: list[Finding] = []
        self.sizes = self._sizes()
        self._lock = Lock()
        self._made: dict[tuple[tuple[str, float], ...], Boat] = {}

    # -- sizes -------------------------------------------------------------------------------------

    def _sizes(self) -> Sizes:
        allowed = dict(PLUS_MINUS_MM)
        measured: dict[str, Measure] = {}
        derived: dict[str, str] = {}
        for model, path in (
            (self.files.hull, self.files.hull_path),
            (self.files.job, self.files.job_path),
        ):
            for how, text in model.plus_minus.items():
                try:
                    allowed[how] = (
                        float(text) if not isinstance(text, str) else parse_measure(text).value_mm
                    )
                    if allowed[how] < 0:
                        raise SizeError(
                            f"{shown(text)} is below nothing", "a plus or minus is 0 or more"
                        )
                except SizeError as e:
                    self.say(f"plus_minus.{how}", shown(text), "a length", e.hint, path.name)
            for name, text in model.sizes.items():
                if name in measured or name in derived:
                    self.say(
                        f"sizes.{name}",
                        shown(text),
                        "a name not used in the hull file",
                        "",
                        path.name,
                    )
                elif not isinstance(text, str):
                    measured[name] = Measure(float(text))
                elif looks_measured(text):
                    try:
                        measured[name] = parse_measure(text, allowed)
                    except SizeError as e:
                        self.say(f"sizes.{name}", shown(text), f"a length: {e}", e.hint, path.name)
                else:
                    derived[name] = text
        self.allowed = allowed
        try:
            return Sizes(measured, derived)
        except SizeError as e:
            self.say(
                "sizes", str(e), "sizes that can be worked out", e.hint, self.files.hull_path.name
            )
            return Sizes(measured, {})

    def say(self, key: str, found: str, expected: str, hint: str = "", file: str = "") -> None:
        """Note a problem; all are told at once."""
        self.findings.append(Finding(file or self._file(key), key, found, expected, hint))

    def _file(self, key: str) -> str:
        table = key.split(".", maxsplit=1)[0]
        on_hull = table in (
            "hull",
            "spaces",
            "openings",
            "solids",
            "hazards",
            "holes",
            "pipes",
            "trays",
        )
        return (self.files.hull_path if on_hull else self.files.job_path).name

    def mm(self, text: Length, key: str, least: float | None = None) -> float:
        """A field's length in mm; a bad one is noted and stands as `least`."""
        try:
            value = self._now.mm(text, key)
        except SizeError as e:
            self.say(key, shown(text), f"a length: {e}", e.hint)
            return least if least is not None else 0.0
        if least is not None and value < least:
            self.say(
                key,
                f"{shown(text)} = {value:g} mm",
                f"at least {least:g} mm",
                "a size cannot be less",
            )
            return least
        return value

    def vec(self, texts: Iterable[Length], key: str, least: float | None = None) -> Array:
        """Several lengths at once, (n,)."""
        return np.array([self.mm(t, f"{key}[{i + 1}]", least) for i, t in enumerate(texts)])

    def known(self, name: str, key: str, known: Iterable[str], what: str) -> bool:
        """True when a name is known; an unknown one is noted with the nearest that is."""
        names = list(known)
        if name in names:
            return True
        near = difflib.get_close_matches(name, names, n=1)
        self.say(
            key,
            shown(name),
            f"the name of {what}",
            f"did you mean '{near[0]}'?" if near else "known: " + ", ".join(names[:8]),
        )
        return False

    # -- the boat ----------------------------------------------------------------------------------

    def boat(self, nudge: Mapping[str, float] | None = None) -> Boat:
        """The boat with the measured sizes in `nudge` moved. Raises JobError listing every problem."""
        key = tuple(sorted((nudge or {}).items()))
        with self._lock:
            if key not in self._made:
                self._made[key] = self._make(nudge)
            return self._made[key]

    def _make(self, nudge: Mapping[str, float] | None) -> Boat:
        before = list(self.findings)
        self._now = self.sizes if not nudge else self.sizes.nudged(nudge)
        hull = self.files.hull
        length = self.mm(hull.hull.length, "hull.length", 500)
        beam = self.mm(hull.hull.beam, "hull.beam", 200)
        spaces = self._spaces(length)
        solids = self._solids(spaces)
        openings = self._openings(spaces)
        hazards = self._hazards(spaces)
        cable_ways = CableWays(self, spaces)
        things = self._things(spaces, openings, length)
        order = self._order(things)
        clearance = self.mm(self.files.job.job.clearance, "job.clearance", 0)
        if self.findings:
            found, self.findings = self.findings, before
            raise JobError(found)
        return Boat(
            hull.hull.name,
            length,
            beam,
            spaces,
            openings,
            solids,
            hazards,
            cable_ways.holes,
            cable_ways.pipes,
            things,
            order,
            clearance,
            cable_ways.trays,
            cable_ways.tees,
        )

    def _spaces(self, length: float) -> dict[str, Space]:
        out = {}
        for name, m in self.files.hull.spaces.items():
            key = f"spaces.{name}"
            low, high = self.vec(m.from_, f"{key}.from"), self.vec(m.to, f"{key}.to")
            for k, word in enumerate(("x", "y", "z")):
                if high[k] - low[k] < 1:
                    self.say(
                        f"{key}.to",
                        f"{word} from {low[k]:g} to {high[k]:g} mm",
                        "'to' beyond 'from' in x, y and z",
                        "x is forward, y to port, z up",
                    )
                    high[k] = low[k] + 1
            if np.max(high - low) > 1.5 * length:
                self.say(
                    f"{key}.to",
                    f"{np.max(high - low):g} mm long",
                    "a space smaller than the boat",
                    "check the units",
                )
            closed: dict[str, str] = {c.face: c.why for c in m.closed}
            out[name] = Space(
                name,
                m.label or title(name),
                low,
                high,
                self.mm(m.wall, f"{key}.wall", 1),
                closed,
                m.site,
                m.petrol,
                self.mm(m.clip, f"{key}.clip", 1),
            )
        return out

    def _origin(
        self, space: str, key: str, spaces: dict[str, Space], outside: bool = True
    ) -> Array:
        known = [*spaces, OUTSIDE] if outside else list(spaces)
        if space == OUTSIDE and outside:
            return np.zeros(3)
        if self.known(space, key, known, "a space"):
            return spaces[space].low
        return np.zeros(3)

    def _corners(self, a: Array, b: Array, key: str) -> tuple[Array, Array]:
        if np.any(b - a < 0.5):
            self.say(
                f"{key}.to",
                f"{_mm_list(b)} after {_mm_list(a)}",
                "'to' beyond 'from' in x, y and z",
                "x is forward, y to port, z up",
            )
            b = np.maximum(b, a + 1)
        return a, b

    def _solids(self, spaces: dict[str, Space]) -> dict[str, Solid]:
        out = {}
        for name, m in self.files.hull.solids.items():
            key = f"solids.{name}"
            o = self._origin(m.space, f"{key}.space", spaces)
            a, b = self._corners(
                o + self.vec(m.from_, f"{key}.from"), o + self.vec(m.to, f"{key}.to"), key
            )
            r = (
                np.eye(3)
                if m.tilt_about is None
                else axis_turn("xyz".index(m.tilt_about), np.deg2rad(m.tilt_degrees))
            )
            out[name] = Solid(
                name,
                m.label or title(name),
                m.space,
                m.kind,
                (a + b) / 2,
                (b - a) / 2,
                r,
                m.removable_minutes,
            )
        return out

    def _openings(self, spaces: dict[str, Space]) -> dict[str, Opening]:
        out = {}
        for name, m in self.files.hull.openings.items():
            key = f"openings.{name}"
            inner, outer = m.between
            if not self.known(inner, f"{key}.between[1]", spaces, "a space") or not self.known(
                outer, f"{key}.between[2]", [*spaces, OUTSIDE], "a space"
            ):
                continue
            s = spaces[inner]
            axis, sign = FACES[m.face]
            u, v = (k for k in range(3) if k != axis)
            centre = np.empty(3)
            centre[axis] = s.high[axis] if sign > 0 else s.low[axis]
            c2, size = self.vec(m.centre, f"{key}.centre"), self.vec(m.size, f"{key}.size", 1)
            centre[u], centre[v] = s.low[u] + c2[0], s.low[v] + c2[1]
            radius = self.mm(m.corner_radius, f"{key}.corner_radius", 0)
            throat = self.mm(m.throat, f"{key}.throat", 1)
            inner_size = (
                size if m.inner_size is None else self.vec(m.inner_size, f"{key}.inner_size", 1)
            )
            if 2 * radius > min(size.min(), inner_size.min()) + 1e-9:
                self.say(
                    f"{key}.corner_radius",
                    f"{radius:g} mm",
                    f"at most half the opening's least size, {size.min() / 2:g} mm",
                )
            for k, c, w in ((u, c2[0], size[0]), (v, c2[1], size[1])):
                room = s.high[k] - s.low[k]
                if c - w / 2 < -1e-6 or c + w / 2 > room + 1e-6:
                    self.say(
                        f"{key}.size",
                        f"{w:g} mm wide about {c:g} mm along {'xyz'[k]}",
                        f"an opening inside its wall, 0 to {room:g} mm",
                        "measure from the aft, starboard, bottom corner",
                    )
            if outer != OUTSIDE:
                o = spaces[outer]
                gap = (o.low[axis] - s.high[axis]) if sign > 0 else (s.low[axis] - o.high[axis])
                for k, w in ((u, size[0]), (v, size[1])):
                    beyond = max(o.low[k] - (centre[k] - w / 2), (centre[k] + w / 2) - o.high[k])
                    if beyond > MEETS_MM:
                        self.say(
                            f"{key}.centre",
                            f"an opening {beyond:.0f} mm beyond {o.label} along {'xyz'[k]}",
                            "an opening that lies on both spaces' faces",
                            "check where it is, or where the spaces are",
                        )
                if abs(gap - throat) > MEETS_MM:
                    self.say(
                        f"{key}.between",
                        f"spaces {gap:g} mm apart with a throat of {throat:g} mm",
                        "two spaces as far apart as the throat is deep",
                        "check the face, or where the spaces are",
                    )
            out[name] = Opening(
                name,
                m.label or title(name),
                inner,
                outer,
                axis,
                sign,
                centre,
                size,
                radius,
                throat,
                inner_size,
            )
        return out

    def _hazards(self, spaces: dict[str, Space]) -> dict[str, Hazard]:
        out = {}
        for name, m in self.files.hull.hazards.items():
            key = f"hazards.{name}"
            o = self._origin(m.space, f"{key}.space", spaces)
            a, b = self._corners(
                o + self.vec(m.from_, f"{key}.from"), o + self.vec(m.to, f"{key}.to"), key
            )
            keep = None if m.keep_off is None else self.mm(m.keep_off, f"{key}.keep_off", 0)
            out[name] = Hazard(name, m.label or title(name), m.kind, m.space, a, b, keep)
        return out

    # -- things ------------------------------------------------------------------------------------

    def _things(
        self, spaces: dict[str, Space], openings: dict[str, Opening], length: float
    ) -> dict[str, Thing]:
        out: dict[str, Thing] = {}
        job = self.files.job
        for bname, board in job.boards.items():
            t = self._board(bname, board, spaces, openings)
            if t is not None:
                out[bname] = t
        for gname, gear in job.gear.items():
            if gname in out:
                self.say(f"gear.{gname}", "a name a board has already", "a name of its own")
            elif self.known(
                gear.item, f"gear.{gname}.item", self.files.gear, "an item in the gear list"
            ):
                t = self._gear(gname, gear, spaces, openings)
                if t is not None:
                    out[gname] = t
        for name, t in out.items():
            if t.size_mm.max() > length:
                table = "boards" if t.kind == "board" else "gear"
                self.say(
                    f"{table}.{name}",
                    f"{t.size_mm.max():g} mm long",
                    f"something smaller than the boat, {length:g} mm",
                    "check the units",
                )
        return out

    def _way(
        self, way: list[str] | None, key: str, openings: dict[str, Opening]
    ) -> tuple[str, ...] | None:
        if way is None:
            return None
        good = [
            self.known(w, f"{key}.way[{i + 1}]", openings, "an opening") for i, w in enumerate(way)
        ]
        return tuple(way) if all(good) else None

    def _frame(self, x_word: str, z_word: str, key: str, x_key: str, z_key: str) -> Array | None:
        x, z = np.array(DIRECTIONS[x_word], float), np.array(DIRECTIONS[z_word], float)
        if abs(x @ z) > 0.5:
            self.say(
                f"{key}.{x_key}", shown(x_word), f"a direction square to {z_key} = {shown(z_word)}"
            )
            return None
        return np.column_stack([x, np.cross(z, x), z])

    def _board(
        self, name: str, m: BoardModel, spaces: dict[str, Space], openings: dict[str, Opening]
    ) -> Thing | None:
        key = f"boards.{name}"
        plate = self.vec(m.plate, f"{key}.plate", 1)
        at = self._origin(m.space, f"{key}.space", spaces, outside=False) + self.vec(
            m.at, f"{key}.at"
        )
        way = self._way(m.way, key, openings)
        r = self._frame(m.along, m.front, key, "along", "front")
        if r is None or m.space not in spaces:
            return None
        rows = [(np.array([0, 0, plate[2] / 2]), plate / 2, "plate")]
        rooms: list[RoomNeeded] = []
        terminals: dict[str, Terminal] = {}
        kinds: dict[str, str] = {}
        part_rows: dict[str, slice] = {}
        plate_kg = (
            m.plate_kg if m.plate_kg is not None else float(np.prod(plate)) * PLATE_KG_PER_MM3
        )
        mass, moment = plate_kg, plate_kg * np.array([0, 0, plate[2] / 2])
        for pname, part in m.parts.items():
            pkey = f"{key}.parts.{pname}"
            if not self.known(
                part.item, f"{pkey}.item", self.files.gear, "an item in the gear list"
            ):
                continue
            item = self.files.gear[part.item]
            foot = np.array([*(self.vec(part.at, f"{pkey}.at") - plate[:2] / 2), plate[2]])
            spin = axis_turn(2, np.deg2rad(part.turn))
            label = part.label or item.label
            part_rows[pname] = slice(len(rows), len(rows) + len(item.boxes))
            self._place_item(item, pkey, foot, spin, label, rows, rooms, terminals, f"{pname}.")
            low, high = _extent(rows[-len(item.boxes) :])
            if np.any(low[:2] < -plate[:2] / 2 - 1e-6) or np.any(high[:2] > plate[:2] / 2 + 1e-6):
                self.say(
                    f"{pkey}.at",
                    f"a part that overhangs the plate by {_overhang(low, high, plate):.0f} mm",
                    "parts inside the plate's edges",
                    "'at' is the middle of its foot from the lower left corner",
                )
            kinds[pname] = item.kind
            mass += item.mass_kg
            moment = moment + item.mass_kg * (
                foot
                + spin
                @ np.array(
                    [0, 0, self.vec(item.boxes[0].size, f"items.{part.item}.boxes", 0.5)[2] / 2]
                )
            )
        return self._assemble(
            name,
            m.label or title(name),
            "board",
            rows,
            rooms,
            terminals,
            r,
            at,
            m.space,
            way,
            mass,
            moment,
            np.pi,
            False,
            kinds,
            part_rows,
        )

    def _gear(
        self, name: str, m: GearModel, spaces: dict[str, Space], openings: dict[str, Opening]
    ) -> Thing | None:
        key = f"gear.{name}"
        item = self.files.gear[m.item]
        at = self._origin(m.space, f"{key}.space", spaces) + self.vec(m.at, f"{key}.at")
        way = self._way(m.way, key, openings)
        r = self._frame(m.along, m.top, key, "along", "top")
        if r is None or (m.space not in spaces and m.space != OUTSIDE):
            return None
        rows: list[tuple[Array, Array, str]] = []
        rooms: list[RoomNeeded] = []
        terminals: dict[str, Terminal] = {}
        label = m.label or item.label
        self._place_item(item, key, np.zeros(3), np.eye(3), label, rows, rooms, terminals, "")
        middle = np.mean(_extent(rows), axis=0)
        return self._assemble(
            name,
            label,
            item.kind,
            rows,
            rooms,
            terminals,
            r,
            at,
            m.space,
            way,
            item.mass_kg,
            item.mass_kg * middle,
            np.deg2rad(item.max_tilt_degrees),
            m.fixed_already or m.space == OUTSIDE,
            {},
            {},
        )

    def _place_item(
        self,
        item: ItemModel,
        key: str,
        foot: Array,
        spin: Array,
        label: str,
        rows: list[tuple[Array, Array, str]],
        rooms: list[RoomNeeded],
        terminals: dict[str, Terminal],
        prefix: str,
    ) -> None:
        """Add an item's boxes, rooms and terminals to a thing, in the thing's mounting frame."""
        turn = np.abs(spin)
        for i, b in enumerate(item.boxes):
            size = self.vec(b.size, f"{key}.boxes[{i + 1}].size", 0.5)
            c = self.vec(b.at, f"{key}.boxes[{i + 1}].at") + [0, 0, size[2] / 2]
            rows.append(
                (
                    foot + spin @ c,
                    turn @ size / 2,
                    label if len(item.boxes) == 1 else f"{label}: {b.what}",
                )
            )
        for i, room in enumerate(item.rooms):
            size = self.vec(room.size, f"{key}.rooms[{i + 1}].size", 0.5)
            c = self.vec(room.at, f"{key}.rooms[{i + 1}].at") + [0, 0, size[2] / 2]
            rooms.append(RoomNeeded(room.why, label, foot + spin @ c, turn @ size / 2, np.eye(3)))
        for tname, t in item.terminals.items():
            p = foot + spin @ self.vec(t.at, f"{key}.terminals.{tname}.at")
            terminals[prefix + tname] = Terminal(
                p, spin @ np.array(OUT_WORDS[t.out], float), t.stud, t.blade
            )

    def _assemble(
        self,
        name: str,
        label: str,
        kind: str,
        rows: list[tuple[Array, Array, str]],
        rooms: list[RoomNeeded],
        terminals: dict[str, Terminal],
        r: Array,
        at: Array,
        space: str,
        way: tuple[str, ...] | None,
        mass: float,
        moment: Array,
        tilt: float,
        fixed: bool,
        kinds: dict[str, str],
        part_rows: dict[str, slice],
    ) -> Thing:
        """Place a thing: its body frame is the hull frame moved to its middle, so rest is unturned."""
        low, high = _extent(rows)
        middle = at + r @ ((low + high) / 2)
        size = np.abs(r) @ (high - low)
        c = np.array([at + r @ row[0] - middle for row in rows])
        h = np.array([np.abs(r) @ row[1] for row in rows])
        body = BoxSet.checked(c, h, None, tuple(row[2] for row in rows))
        placed = tuple(
            RoomNeeded(q.why, q.owner, at + r @ q.centre, np.abs(r) @ q.half, np.eye(3))
            for q in rooms
        )
        ends = {
            k: Terminal(at + r @ t.at, r @ t.out, t.stud, t.blade) for k, t in terminals.items()
        }
        balance = at + r @ (moment / mass if mass > 0 else np.zeros(3))
        return Thing(
            name,
            label,
            kind,
            body,
            Pose.checked(middle),
            space,
            way,
            mass,
            tilt,
            np.array([0.0, 0.0, 1.0]),
            placed,
            ends,
            balance,
            fixed,
            kinds,
            size,
            part_rows,
        )

    def _order(self, things: dict[str, Thing]) -> tuple[str, ...]:
        given = self.files.job.order
        if given is None:
            return ()
        good = [
            n
            for i, n in enumerate(given)
            if self.known(n, f"order[{i + 1}]", things, "a board or gear")
        ]
        for n in sorted({g for g in good if good.count(g) > 1}):
            self.say("order", f"{shown(n)} more than once", "each name once")
        return tuple(dict.fromkeys(good))


def axis_turn(axis: int, angle_rad: float) -> Array:
    """Rotation matrix about x (0), y (1) or z (2); exact at the quarter turns."""
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    c, s = (
        (round(c) if abs(c - round(c)) < 1e-12 else c),
        (round(s) if abs(s - round(s)) < 1e-12 else s),
    )
    r = np.eye(3)
    u, v = (axis + 1) % 3, (axis + 2) % 3
    r[u, u], r[u, v], r[v, u], r[v, v] = c, -s, s, c
    return r


def _extent(rows: list[tuple[Array, Array, str]]) -> tuple[Array, Array]:
    return np.min([c - h for c, h, _ in rows], axis=0), np.max([c + h for c, h, _ in rows], axis=0)


def _overhang(low: Array, high: Array, plate: Array) -> float:
    return float(max((-plate[:2] / 2 - low[:2]).max(), (high[:2] - plate[:2] / 2).max()))


def _mm_list(x: Array) -> str:
    return "[" + ", ".join(f"{v:g}" for v in x) + "]"
