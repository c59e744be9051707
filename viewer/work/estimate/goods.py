"""What is bought for a job: gear, parts, cable, ends, fuses and small things, with prices."""

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final, cast

from layout.job.reading import JobFiles
from routing.network.protection import BLADE_STOPS_AMP
from viewer.work.bench_rows import BenchRow
from viewer.work.described import Described
from viewer.work.estimate.rows import GoodsRow
from viewer.work.estimate.sections import ALL, INSTRUMENTS, Sections
from viewer.work.estimate.tasks import MEDIUM_MM2, NOT_NEW, SMALL_MM2
from viewer.work.wiring_rows import (
    BackboneRow,
    CircuitRow,
    CutRow,
    FixingRow,
    FuseRow,
    LeadRow,
    WireRow,
)

BLADE_AMP: Final = 30.0
HOLDS: Final = {"screw": "stand-off", "bolt": "stand-off with its bolt", "pad": "bonded pad",
                "bracket": "bracket"}  # fmt: skip
IN_LINE: Final = ("in cable", "battery end", "to fit")  # others sit in gear counted as such
POST: Final = "taper post"
NOT_LUGS: Final = ("lead", "clamp", "")


@cache
def usual_prices() -> Mapping[str, Any]:
    """The usual prices of small goods."""
    text = resources.files("routing.estimate").joinpath("goods.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def cents(value: float) -> float:
    """Money as it is written."""
    return round(value + 1e-9, 2)


@dataclass(slots=True)
class Goods:
    """Collects the lines of one job."""

    found: Described
    sections: Sections
    areas: Mapping[str, float]
    """The copper of each circuit, mm²."""
    out: list[GoodsRow]

    @property
    def files(self) -> JobFiles:
        """The files of the job."""
        return self.found.files

    def add(
        self, section: str, kind: str, what: str, about: str, count: float, unit: str,
        each: float | None, basis: str, total: float | None = None,
    ) -> None:  # fmt: skip
        """Note a line, where there is any of it; the shop's own price comes first."""
        if count <= 0:
            return
        own = self.files.shop.prices
        told = own.get(f"{kind} {what}".strip(), own.get(what, own.get(kind)))
        if told is not None:
            each, basis, total = told, "shop", None
        each = None if each is None else round(each, 4)
        count = round(count, 3)
        if total is None and each is not None:
            total = each * count
        supplier, weeks = self._supplier(kind, what)
        self.out.append(
            GoodsRow(
                section=section,
                kind=kind,
                what=what,
                about=about,
                count=count,
                unit=unit,
                each=each,
                total=None if total is None else cents(total),
                basis=basis if total is not None else "none",
                supplier=supplier,
                weeks=weeks,
            )
        )

    def _supplier(self, kind: str, what: str) -> tuple[str, float]:
        suppliers = self.files.shop.suppliers
        of_type = self.files.types.get(what)
        kinds = {kind, of_type.kind if of_type is not None else kind}
        for s in suppliers.values():
            if what in s.types:
                return s.label, s.weeks
        for s in suppliers.values():
            if kinds & set(s.kinds):
                return s.label, s.weeks
        return "", 0.0

    # -- gear --------------------------------------------------------------------------------------

    def _type(self, section: str, key: str, about: str, count: float) -> None:
        model = self.files.types[key]
        self.add(section, "gear", key, about, count, "piece", model.price, "type")

    def gear(self) -> None:
        """All that is new: single pieces, and parts of boards."""
        job = self.files.job
        for key, piece in job.pieces.items():
            model = self.files.types.get(piece.type)
            new = not piece.fixed_already and model is not None and model.kind not in NOT_NEW
            if new:
                section, about = self.sections.piece(key), f"piece:{key}"
                self._type(section, piece.type, about, 1)
                if model is not None and model.kind == "battery":
                    each = usual_prices()["tray"]["each"]
                    self.add(section, "battery tray and strap", "", about, 1, "piece", each,
                             "usual")  # fmt: skip
        for key, board in job.boards.items():
            kinds = Counter(p.type for p in board.parts.values())
            for of_type, n in kinds.items():
                if of_type in self.files.types:
                    self._type(self.sections.board(), of_type, f"piece:{key}", n)

    def boards(self, benches: tuple[BenchRow, ...]) -> None:
        """Plates, screws, stand-offs, holders and labels of boards."""
        u, section = usual_prices(), self.sections.board()
        for b in (b for b in benches if not b.panel):
            about = f"piece:{b.key}"
            area = b.length_mm * b.height_mm * 1e-6 * float(u["plate"]["waste"])
            what = f"{b.material} {b.thickness_mm:g} mm"
            per = float(u["plate"]["per_square_metre"])
            self.add(section, "plate", what, about, round(area, 3), "m²", per, "usual")
            screws = Counter(h.screw or f"ø{h.diameter_mm:g}" for h in b.holes
                             if h.purpose == "fixing")  # fmt: skip
            for screw, n in sorted(screws.items()):
                self.add(section, "screw", screw, about, n, "piece", u["screw"]["each"], "usual")
            held = Counter((HOLDS[s.hold], f"{s.length_mm:.0f} mm") for s in b.stand_offs)
            for (kind, length), n in sorted(held.items()):
                each = u["stand_off"]["each"]
                self.add(section, kind, length, about, n, "piece", each, "usual")
            bars = [w for w in b.links if w.bar_mm]
            self.add(section, "copper bar", "", about, len(bars), "piece",
                     u["copper_bar"]["each"], "usual")  # fmt: skip
            ties = sum(w.ties for w in b.links)
            self.add(section, "tie", "", about, ties, "piece", u["tie"]["each"], "usual")

    # -- wiring ------------------------------------------------------------------------------------

    def cable(self, cuts: tuple[CutRow, ...], circuits: tuple[CircuitRow, ...]) -> None:
        """Each circuit's share of what its size of cable costs, by length."""
        plans: dict[str, dict[str, float]] = {}
        costs: dict[str, dict[str, float]] = {}
        for cut in cuts:
            lengths = plans.setdefault(cut.cable, {})
            costs.setdefault(cut.cable, {})[cut.colour] = cut.plan_cost
            for p in cut.pieces:
                lengths[p.number] = lengths.get(p.number, 0.0) + p.length_mm / 1000
        for cable, lengths in plans.items():
            cost = sum(costs[cable].values())
            each = cost / sum(lengths.values()) if lengths else 0.0
            left = cents(cost)
            for k, (number, metres) in enumerate(lengths.items()):
                last = k == len(lengths) - 1
                share = left if last else cents(each * metres)
                left = cents(left - share)
                self.add(self.sections.circuit(number), "cable", cable, f"circuit:{number}",
                         metres, "m", each, "job", share)  # fmt: skip
        rates = self.files.job.rates
        for c in (c for c in circuits if c.signal and c.out is not None):
            if not self.files.job.circuits[c.number].lead_lengths:
                metres = c.out.cut_mm / 1000 if c.out is not None else 0.0
                self.add(
                    self.sections.circuit(c.number),
                    "signal cable",
                    "",
                    f"circuit:{c.number}",
                    metres,
                    "m",
                    rates.signal_per_metre,
                    "job",
                )

    def leads(self, leads: tuple[LeadRow, ...]) -> None:
        """Leads bought ready made."""
        for lead in leads:
            if lead.length_mm is not None:
                what = f"{lead.length_mm / 1000:g} m"
                self.add(self.sections.circuit(lead.number), "ready-made lead", what,
                         f"circuit:{lead.number}", 1, "piece", None, "none")  # fmt: skip

    def ends(self, wires: tuple[WireRow, ...], benches: tuple[BenchRow, ...]) -> None:
        """Lugs, push-on ends, sleeve and labels, circuit by circuit."""
        u, areas = usual_prices(), self.areas
        bars = {w.mark for b in benches for w in b.links if w.bar_mm}
        lugs: Counter[tuple[str, float, str]] = Counter()
        posts: dict[str, str] = {}  # battery posts, with the circuit that is first on each
        ends: Counter[str] = Counter()
        joints: Counter[tuple[str, str]] = Counter()
        for w in (w for w in wires if w.mark not in bars):
            for end, on in ((w.start, w.start_on), (w.goal, w.goal_on)):
                ends[w.number] += 1
                if on == POST:
                    posts.setdefault(end, w.number)
                if on == "lead":  # to the gear's own lead
                    joints[w.number, w.size] += 1
                if on not in NOT_LUGS:
                    hole = "M8" if on == POST else on  # a lug on the stud of its clamp
                    lugs[w.number, areas[w.number], f"{w.size} {hole}"] += 1
        for (number, area, what), n in lugs.items():
            size = "small" if area <= SMALL_MM2 else "medium" if area <= MEDIUM_MM2 else "heavy"
            self.add(self.sections.circuit(number), "lug", what, f"circuit:{number}", n, "piece",
                     u["lug"][size], "usual")  # fmt: skip
        for (number, size), n in joints.items():
            self.add(self.sections.circuit(number), "butt joint", size, f"circuit:{number}", n,
                     "piece", u["joint"]["each"], "usual")  # fmt: skip
        for end, number in posts.items():
            self.add(
                self.sections.circuit(number),
                "battery clamp with stud",
                "",
                f"piece:{end.partition('.')[0]}",
                1,
                "piece",
                u["clamp"]["each"],
                "usual",
            )
        for number, n in ends.items():
            section, about = self.sections.circuit(number), f"circuit:{number}"
            self.add(section, "sleeve", "", about, n, "piece", u["sleeve"]["each"], "usual")
            self.add(section, "label", "", about, n, "piece", u["label"]["each"], "usual")

    def fuses(self, fuses: tuple[FuseRow, ...], benches: tuple[BenchRow, ...]) -> None:
        """Fuses, and holders in line for those in no panel; a breaker is bought with its panel.

        A single holder takes one fuse, however many circuits leave it, and takes it where the cable
        to it has a fuse of its own as well.
        """
        u = usual_prices()
        single = {f"{b.key}.{p.key}": p for b in benches for p in b.parts if p.kind == "fuse"}
        loose = self._loose_holders()
        filled: set[str] = set()
        for f in (f for f in fuses if f.amp is not None and not f.breaker):
            if f.at not in IN_LINE and f.place in single:
                continue  # counted with its board
            if f.at not in IN_LINE and f.place in loose and f.place in filled:
                continue
            filled.add(f.place)
            holder = f.at in IN_LINE
            self._fuse(f.number, f.amp or 0.0, f.stops_amp if holder else 0.0, holder)
            if holder:
                kind = self._fuse_kind(f.number, f.amp or 0.0, f.stops_amp)
                section, about = self.sections.circuit(f.number), f"circuit:{f.number}"
                each = u["holder"][kind]
                self.add(section, "holder in line", kind, about, 1, "piece", each, "usual")
                each = u["joint"]["each"]
                self.add(section, "end at a holder", "", about, 2, "piece", each, "usual")
        for p in single.values():
            if p.fuse_amp is not None and not p.breaker:
                self._fuse(p.fuse_of, p.fuse_amp, p.fuse_stops_amp, True)

    def _loose_holders(self) -> set[str]:
        """Single holders that stand on no board."""
        pieces, types = self.files.job.pieces.items(), self.files.types
        return {key for key, p in pieces if p.type in types and types[p.type].kind == "fuse"}

    def _fuse_kind(self, number: str, amp: float, stops_amp: float) -> str:
        """Blade, or bolted where a blade is too weak or its holder's leads too thin."""
        area = self.areas.get(number, 0.0)
        small = amp <= BLADE_AMP and stops_amp <= BLADE_STOPS_AMP and area <= SMALL_MM2
        return "blade" if small else "bolted"

    def _fuse(self, number: str, amp: float, stops_amp: float, alone: bool) -> None:
        """One fuse, with what it must stop where that is told; `alone` in a holder of its own."""
        stops = f", {stops_amp / 1000:.1f} kA or more" if stops_amp else ""
        kind = (
            self._fuse_kind(number, amp, stops_amp)
            if alone
            else ("blade" if amp <= BLADE_AMP else "bolted")
        )
        each = usual_prices()["fuse"][kind]
        self.add(self.sections.circuit(number), "fuse", f"{amp:g} A {kind}{stops}",
                 f"circuit:{number}", 1, "piece", each, "usual")  # fmt: skip

    def holding(self, fixings: tuple[FixingRow, ...]) -> None:
        """Clips by the bundle they hold, sleeve outside, edging, glands, battens, pull strings."""
        rates, u = self.files.job.rates, usual_prices()
        clips: Counter[float] = Counter()
        for f in (f for f in fixings if f.kind in ("clip", "outside")):
            clips[f.bundle_mm] += f.count
        for bundle, n in sorted(clips.items()):
            what = f"up to {bundle:.0f} mm" if bundle else "outside"
            self.add(ALL, "clip", what, "", n, "piece", rates.clip, "job")
        metres = sum(f.length_mm for f in fixings if f.kind == "outside") / 1000
        each = u["chafe_sleeve"]["per_metre"]
        self.add(ALL, "chafe sleeve", "", "", metres, "m", each, "usual")
        edging = sum(f.count for f in fixings if f.kind == "edging")
        self.add(ALL, "edging", "", "", edging, "piece", rates.edging, "job")
        for of, kind, price in (("gland", "gland", "gland"), ("string", "pull string", "string"),
                                ("stand-off", "batten for a lead", "batten")):  # fmt: skip
            n = sum(f.count for f in fixings if f.kind == of)
            self.add(ALL, kind, "", "", n, "piece", u[price]["each"], "usual")

    def backbones(self, rows: tuple[BackboneRow, ...]) -> None:
        """Cable, tees, drop leads and terminators of the instrument backbones."""
        for b in rows:
            about = f"backbone:{b.key}"
            for kind, count, unit in (
                ("backbone cable", round(b.length_mm / 1000, 2), "m"),
                ("backbone tee", len(b.devices) + bool(b.feed), "piece"),
                ("backbone power lead", 1 if b.feed else 0, "piece"),
                ("drop lead", len(b.devices), "piece"),
                ("terminator", 2, "piece"),
            ):
                self.add(INSTRUMENTS, kind, "", about, count, unit, None, "none")
            if b.fuse_amp:
                each = usual_prices()["fuse"]["blade"]
                what = f"{b.fuse_amp:g} A blade"
                self.add(INSTRUMENTS, "fuse", what, about, 1, "piece", each, "usual")

    def charges(self) -> None:
        """What others charge."""
        for c in self.files.job.estimate.charges:
            self.add(c.section or ALL, "charge", c.label, "", 1, "lot", c.price or None, "told")


def goods_of(found: Described, sections: Sections, rows: Mapping[str, object]) -> list[GoodsRow]:
    """Every line of goods of the job."""
    benches = cast("tuple[BenchRow, ...]", rows["benches"])
    circuits = cast("tuple[CircuitRow, ...]", rows["circuits"])
    g = Goods(found, sections, {c.number: c.area_mm2 or 0.0 for c in circuits}, [])
    g.gear()
    g.boards(benches)
    g.cable(cast("tuple[CutRow, ...]", rows["cuts"]), circuits)
    g.leads(cast("tuple[LeadRow, ...]", rows["leads"]))
    g.ends(cast("tuple[WireRow, ...]", rows["wires"]), benches)
    g.fuses(cast("tuple[FuseRow, ...]", rows["fuses"]), benches)
    g.holding(cast("tuple[FixingRow, ...]", rows["fixings"]))
    g.backbones(cast("tuple[BackboneRow, ...]", rows["backbones"]))
    g.charges()
    return g.out
