"""Where a board is fixed and how, and the small parts to have at hand before it is begun."""

from collections import Counter
from math import ceil
from typing import Final

from viewer.words.bench import BenchWords
from viewer.words.bench_ends import BAR_WIDE_MM, SHORT_MM, bar_words
from viewer.words.circuits import fuse_words
from viewer.words.names import joined
from viewer.words.pieces import PLAINLY
from viewer.words.table import Table
from viewer.work.bench_rows import StandOffRow

HOLDS_LEAST_MM: Final = 15.0  # of a screw in wood or laminate: common practice
NUT_OF_THREAD: Final = 0.8  # a nut's height beside its thread: ISO 4032
WASHER_MM: Final = 2.0  # a washer and a turn of thread: common practice
LUG_SLEEVE_MM: Final = 50
FLAT_MM: Final = 3.0  # nearer than this there is no stand-off: it lies on what is behind
SLOPE_DEG: Final = 2.0
BRACKET: Final = "angle bracket 40 x 40 mm, as long as it has to be"
POINT_MM: Final = 4.0  # a screw in a pad ends so far short of the skin: common practice
INSERT_MM: Final = 12.0  # a pad thinner than this holds no insert: common practice
PAD_MM: Final = 45.0  # thicker than this it is a batten or a frame: common practice
PUSH_ON: Final = "blade "
FIXING_NOTE: Final = (
    "Look behind before every hole. Lengths are from the model: try each place with a rule before "
    "cutting. A screw goes through the plate and the stand-off; its length is under the head. "
    "A bonded pad is ply 40 mm square, as thick as the length told, in place of a stand-off, "
    "glued to the skin by its own system; the insert is in the pad. Stand-offs are no wider than "
    "24 mm. A bolt right through: look at what is beyond first, and add its thickness."
)


def thread(bore_mm: float) -> int:
    """The metric thread a stand-off's hole is drilled for: half a millimetre under its bore."""
    return max(round(bore_mm - 0.5), 3)


def where_fixed(words: BenchWords) -> Table:
    """Every stand-off: its length, what it stands on, and how it is held."""
    rows = tuple(
        (
            f"S{s.number}",
            f"{s.x_mm:.1f}, {s.y_mm:.1f}",
            _length(s),
            words.names.of(s.on) if s.on else "nothing near",
            _held(words, s),
        )
        for s in words.row.stand_offs
    )
    note = FIXING_NOTE
    natures: dict[str, set[str]] = {}
    for s in words.row.stand_offs:
        natures.setdefault(s.on, set()).add(s.hold)
    for on in (k for k, holds in natures.items() if len(holds) > 1):
        note += (
            f" {words.names.of(on)} is a hull's skin in places and an inner wall in others: as "
            "told for each, and looked at from beyond before any hole."
        )
    if words.row.bare_corners:
        note += (
            f" Nothing holds the {joined(list(words.row.bare_corners))} corner: parts, links or "
            "what is behind leave no place; shift one, or hold that corner by a bracket."
        )
    head = ("No.", "At mm", "Stand-off", "Stands on", "How")
    title = "How it is fixed in the boat"
    return Table("fixed", title, note, head, rows, (6, 12, 18, 26, 50))


def _length(s: StandOffRow) -> str:
    if not s.on:
        return "bracket"
    if s.length_mm < FLAT_MM:
        return "none: lies on it"
    lean = f" at its middle, end cut to {s.slope_deg:.0f}°" if s.slope_deg > SLOPE_DEG else ""
    return f"{s.length_mm:.0f} mm{lean}"


def _held(words: BenchWords, s: StandOffRow) -> str:
    what, fastener = _hold(words, s)
    told = {
        "screw": "",
        "pad": "hull's skin, never drilled: ",
        "bolt": "too thin for a screw: ",
        "bracket": "measured in the boat: ",
    }[s.hold]
    return told + ", ".join(x for x in (what, fastener) if x)


def _hold(words: BenchWords, s: StandOffRow) -> tuple[str, str]:
    """(what takes the place of a stand-off or holds it, the screw or bolt)."""
    m, plate = thread(s.bore_mm), words.row.thickness_mm
    through = plate + s.length_mm
    if s.hold == "screw":
        most = through + s.screw_most_mm
        least = through + min(HOLDS_LEAST_MM, s.screw_most_mm)
        span = f"{least:.0f} to {most:.0f} mm long"
        return "", f"wood screw of {m} mm, {span}, pilot {0.7 * m:.0f} mm"
    if s.hold == "bolt":
        long = through + m + 2 * WASHER_MM
        return "", f"M{m} bolt right through, {long:.0f} mm and what is there, large washers"
    if s.hold == "bracket":
        return BRACKET, f"M{m} bolt, {plate + m + WASHER_MM:.0f} mm and the bracket"
    if s.length_mm < INSERT_MM:
        long = through + m + WASHER_MM
        return f"M{m} stud with a flange, {long:.0f} mm, bonded", f"M{m} nut and washer"
    long = through - POINT_MM
    if s.length_mm > PAD_MM:
        return (
            f"batten 45 mm wide, as deep as told, bonded, M{m} insert",
            f"M{m} screw, {plate + 12:.0f} mm",
        )
    return f"bonded pad 40 mm square, M{m} insert", f"M{m} screw, at most {long:.0f} mm"


def minded(words: BenchWords) -> list[str]:
    """That it does not go in yet, that its stand-offs were not on it on the way that was tried;
    links that stand past the plate's edge, in the way when it is carried in, and those that lie
    over a part.
    """
    over = [*_way_in(words)]
    over += [
        f"{w.mark} has to lie over {joined([words.part(k) for k in w.over])}: there is no room for "
        "it beside; move the part, or ask for the board to be arranged"
        for w in words.row.links
        if w.over
    ]
    return over + [
        f"{w.mark} stands {w.past_mm:.0f} mm past the {w.past} edge: turn or move its part, or "
        "join it in the boat"
        for w in words.row.links
        if w.past_mm >= 1.0
    ]


def _way_in(words: BenchWords) -> list[str]:
    """What the way in says of making the board."""
    row = words.result.piece(words.row.key)
    if row.verdict in PLAINLY:
        return [f"it {_it(PLAINLY[row.verdict])}: do not make it before that is settled (the book)"]
    high = max((s.length_mm for s in words.row.stand_offs), default=0.0)
    least = row.least_clearance_mm
    if words.row.panel or least is None or least >= high:
        return []
    return [
        f"its way in was tried without stand-offs ({high:.0f} mm) and comes as near as "
        f"{least:.1f} mm: fix stand-offs and pads when the board is inside, not before"
    ]


def _it(plainly: str) -> str:
    """The end of a sentence that begins with it."""
    return plainly if plainly.startswith("does") else f"is not settled, {plainly}"


def small_parts(words: BenchWords) -> Table:
    """Screws, stand-offs, lugs, sleeve, ties, fuses and holders for this board."""
    rows = [
        *_screws(words),
        *_stands(words),
        *_lugs(words),
        *_fuses(words),
    ]
    head = ("What", "Count", "For")
    note = "For what is made on the bench; cables of the boat have lists of their own."
    return Table("small", "Small parts", note, head, tuple(rows), (44, 10, 50))


def _screws(words: BenchWords) -> list[tuple[str, str, str]]:
    r = words.row
    count = Counter(h.screw or f"for ø{h.diameter_mm:g}" for h in r.holes if h.purpose == "fixing")
    out = []
    for screw, n in sorted(count.items()):
        m = int(screw[1:]) if screw[1:].isdigit() else 5
        beyond = r.thickness_mm + ceil(NUT_OF_THREAD * m + WASHER_MM)
        if beyond <= r.reach_most_mm:
            how = f"its part's foot and {beyond:.0f} mm: through the plate, nut and washer behind"
        else:  # no room for a nut: the plate itself is threaded
            how = (
                f"its part's foot and {r.thickness_mm - 1:.0f} mm: no room for nuts behind, so an "
                f"M{m} insert in the plate; drill its hole for the insert ({m + 2} mm or as its "
                "maker says) instead"
            )
        out.append((f"screw {screw}, length {how}", str(n), "fixing the parts"))
    return out


def _stands(words: BenchWords) -> list[tuple[str, str, str]]:
    r = words.row
    kinds = Counter((_length(s), *_hold(words, s), s.hold) for s in r.stand_offs)
    out = []
    for (length, what, fastener, hold), n in sorted(kinds.items()):
        if hold in ("screw", "bolt"):
            what = "washer" if length.startswith("none") else f"stand-off {length}"
        elif hold == "pad":
            what = f"{what}, {length}"
        out.append((f"{what}; {fastener}", str(n), "fixing the board"))
    if r.straps or r.carry_by:
        by = "its strap holes" if r.straps else "its stand-off holes"
        out.append(("lifting strap or line, 6 mm", "1", f"carrying it by {by}"))
    return out


def _lugs(words: BenchWords) -> list[tuple[str, str, str]]:
    lugs: Counter[tuple[float, str, str]] = Counter()
    sleeves: Counter[tuple[str, int]] = Counter()
    used: dict[tuple[float, str, str], list[str]] = {}
    for w in (w for w in words.row.links if not w.bar_mm):
        for on in (w.start_on, w.goal_on):
            key = (w.area_mm2, w.size, on)
            lugs[key] += 1
            used.setdefault(key, []).append(w.mark)
    out = []
    for key, n in sorted(lugs.items()):
        _, size, on = key
        what = (
            f"push-on end {on.removeprefix(PUSH_ON)} mm, {size}"
            if on.startswith(PUSH_ON)
            else f"lug {size}, hole {on}"
        )
        if on in ("lead", "clamp", ""):
            what = f"joint or clamp for {size}"
        out.append((what, str(n), ", ".join(dict.fromkeys(used[key]))))
    for w in (w for w in words.row.links if w.sleeve and not w.bar_mm):
        if w.cut_mm < SHORT_MM:
            sleeves[w.sleeve, round(w.cut_mm - 20)] += 1  # one over all
        else:
            sleeves[w.sleeve, LUG_SLEEVE_MM] += 2
    for (s, long), n in sleeves.items():
        over = "over lugs" if long == LUG_SLEEVE_MM else "over the whole link, its mark under it"
        out.append((f"sleeve {s} mm, {long} mm", str(n), over))
    for w in (w for w in words.row.links if w.bar_mm):
        what = f"{bar_words(w)}, holes {w.start_on} and {w.goal_on} {w.bar_mm:.0f} mm apart"
        out.append((what, "1", w.mark))
        sleeved = max(w.bar_mm - 5, 10)
        what = f"{w.colour} sleeve, bore {BAR_WIDE_MM + 5:.0f} mm or more, {sleeved:.0f} mm"
        out.append((what, "1", w.mark))
    marks = sum(1 if w.cut_mm < SHORT_MM else 2 for w in words.row.links)
    if marks:
        out.append(("clear sleeve over a label", str(marks), "both ends of each link"))
    ties = sum(w.ties for w in words.row.links)
    if ties:
        what = f"tie with a screwed foot, screw 3 x {words.row.thickness_mm - 1:.0f} mm"
        out.append((what, str(ties), "links, no farther apart than 300 mm"))
    return out


def _fuses(words: BenchWords) -> list[tuple[str, str, str]]:
    out = []
    for p in words.row.parts:
        if p.fuse_amp is not None and not p.breaker:
            by = f"by circuit {p.fuse_of}"
            out.append((f"fuse {fuse_words(p.fuse_amp)}, of {words.part(p.key)}'s kind", "1", by))
    panel = Counter((x.part, x.amp, x.breaker) for x in words.row.legend if x.amp is not None)
    for (part, amp, breaker), n in sorted(panel.items()):
        what = f"{fuse_words(amp, True)}, with its panel" if breaker else f"fuse {fuse_words(amp)}"
        out.append((what, str(n), words.part(part)))
    for w in words.row.links:
        if w.fuse is not None and w.fuse.at == "in cable" and w.fuse.amp:
            out.append((f"in-line holder and fuse {fuse_words(w.fuse.amp)}", "1", w.mark))
            out.append((f"joint for {w.size}, holder to link", "2", w.mark))
    return out
