"""The bench's tables of conductors: links, what arrives, the legend, torque and tests."""

from math import ceil
from typing import Final

from viewer.words.bench import BenchWords
from viewer.words.circuits import fuse_words
from viewer.words.names import joined
from viewer.words.table import Table
from viewer.work.bench_rows import BoardLinkRow, FuseOfRow

SHORT_MM: Final = 160.0  # a link so short carries one mark, in its middle
LINKS_NOTE: Final = (
    "Cut lengths go from stud to stud with their bends: the conductor ends in its lugs some 10 mm "
    "short of either, the rest is for trimming (studs of a bar count from the end marked 1 in the "
    "view). Strip: about the barrel of a lug of that size, from memory: measure the lug. Sleeve: "
    "before/after in mm, adhesive lined. The mark goes on both ends, 40 to 60 mm back from the "
    f"lug; on a link shorter than {SHORT_MM:.0f} mm once, in its middle. A link with a fuse in "
    "line is cut there: what the holder with its own leads measures comes out of the cut length, "
    "and its lead is the first piece where it is long enough. Copper bar where two lugs have no "
    "room between the studs: its section in the small parts."
)
TORQUE_NOTE: Final = (
    "Torque is the maker's figure for each stud: write it in from the data sheet, tighten, mark "
    "with a line of paint. None is given here."
)
PASSIVE: Final = frozenset({"bus bar", "fuse", "fuse panel", "isolator", "shunt", "switch"})
TEST_NOTE: Final = (
    "On the bench, with no battery joined, what the meter's own leads read taken off. Pull: a "
    "steady hand's pull on each end; a crimp that moves is made again (a figure is its tool "
    "maker's, or that of your standard)."
)


BAR_WIDE_MM: Final = 20.0
BAR_MORE_MM: Final = 30.0  # of a bar beyond its two holes: common practice


def bar_words(w: BoardLinkRow) -> str:
    """A link that is a bar: its section and its whole length."""
    thick = max(ceil(w.area_mm2 / BAR_WIDE_MM * 2) / 2, 1.5)
    return f"flat copper bar {BAR_WIDE_MM:.0f} x {thick:g} mm, {w.bar_mm + BAR_MORE_MM:.0f} mm"


def on_words(on: str, stud: int) -> str:
    """What a conductor ends on: a stud, and which of a row."""
    return f"{on or '-'}, stud {stud}" if stud else on or "-"


def fuse_of_words(words: BenchWords, f: FuseOfRow | None, feed: str) -> str:
    """A conductor's fuse and where it sits."""
    if f is None:
        return "-"
    if f.amp is None:
        return "none: a starter's feed" if f.at == "starter" else "-"
    amp, names = fuse_words(f.amp, f.breaker), words.names
    if f.stops_amp and f.at != "fuse way":
        amp += f" ({f.stops_amp / 1000:.1f} kA)"
    place = f.place.partition(".")
    here = place[0] == words.row.key and place[2] in words.numbers
    part = words.part(place[2]) if here else names.place(f.place)
    return {
        "in cable": f"{amp} in line, {f.along_mm:.0f} mm from {feed}",
        "far end": f"{amp} at {part}, the far end",
        "fuse way": f"{amp} in {part}",
        "battery end": f"{amp} within {f.limit_mm:.0f} mm of {part}, the battery end",
        "to fit": f"{amp}, to fit within {f.limit_mm:.0f} mm of {feed}",
    }.get(f.at, amp)


def links(words: BenchWords) -> Table:
    """The board's own links."""
    rows = tuple(
        (
            w.mark,
            words.side(w.start, w.pole == "minus"),
            on_words(w.start_on, w.start_stud),
            words.side(w.goal, w.pole == "minus"),
            on_words(w.goal_on, w.goal_stud),
            f"copper bar, {w.colour} sleeve" if w.bar_mm else f"{w.size} {w.colour}",
            f"holes {w.bar_mm:.0f} apart" if w.bar_mm else f"{w.cut_mm:.0f}",
            "-" if w.bar_mm else f"{w.strip_mm:.0f}",
            "-" if w.bar_mm else w.sleeve or "-",
            _fuse_of_link(words, w),
            str(w.ties) if w.ties else "-",
        )
        for w in words.row.links
    )
    head = ("Mark", "From", "On", "To", "On", "Size", "Cut mm", "Strip", "Sleeve", "Fuse", "Ties")
    note = LINKS_NOTE + f" Insulation {words.result.size_plan.insulation_degc} °C."
    widths = (6, 17, 9, 17, 9, 11, 7, 6, 8, 17, 5)
    return Table("links", "Links made on the bench", note, head, rows, widths)


def _fuse_of_link(words: BenchWords, w: BoardLinkRow) -> str:
    if w.pole == "minus":
        return "-"
    if w.fuse is None:
        return "as what feeds it"
    feed = words.end(w.start)
    told = fuse_of_words(words, w.fuse, feed)
    inside = w.fuse.at == "in cable" and w.fuse.along_mm < w.cut_mm
    return f"{told}: cut it there" if inside else told


def arrives(words: BenchWords) -> Table:
    """What comes to the board in the boat."""
    rows = []
    for a in words.row.arrives:
        here = a.fuse is not None and a.fuse.place.partition(".")[0] == words.row.key
        feed = words.end(a.end) if here else words.names.terminal(a.other)
        rows.append(
            (
                a.number,
                words.side(a.end, a.number.endswith("-")),
                on_words(a.on, a.stud),
                a.size,
                fuse_of_words(words, a.fuse, feed),
                words.names.terminal(a.other),
            )
        )
    head = ("Mark", "Ends on", "On", "Size", "Fuse", "Comes from")
    note = (
        "Left free on the bench: joined in the boat. In brackets what a fuse must be able to stop. "
        "A fuse in line has a holder of its own in the "
        "cable, made fast near this board."
    )
    return Table("arrives", "Cables that come to it in the boat", note, head, tuple(rows),
                 (7, 24, 12, 10, 28, 36))  # fmt: skip


def _fed(words: BenchWords, number: str) -> str:
    """What a way feeds: a circuit, an instrument backbone, or nothing yet."""
    labels = words.names.labels
    told = labels.get(f"circuit:{number}") or labels.get(f"backbone:{number}")
    return (told or number) if number else "spare"


def legend(words: BenchWords) -> Table:
    """What every way of its fuse panels feeds."""
    rows = tuple(
        (
            words.part(x.part),
            str(x.way),
            (x.side.replace("_", " ") or "-") + (", its own side is full" if x.moved else ""),
            x.number or "-",
            _fed(words, x.number),
            "" if x.amp is None else fuse_words(x.amp, x.breaker),
        )
        for x in words.row.legend
    )
    head = ("Panel", "Way", "Leaves by", "Circuit", "Feeds", "Fuse")
    note = "To stick in the cover. Ways count from the feed down, as the panel is bought: the left "
    note += "side's first, then the right's."
    return Table("legend", "Fuse legend", note, head, rows, (24, 6, 10, 8, 38, 10))


def torque(words: BenchWords) -> Table:
    """A line for every stud, to be filled in."""
    marks: dict[tuple[str, int, bool], list[str]] = {}
    ends = [(e, k, w.mark) for w in words.row.links
            for e, k in ((w.start, w.start_stud), (w.goal, w.goal_stud))]  # fmt: skip
    for end, stud, mark in [*ends, *((a.end, a.stud, a.number) for a in words.row.arrives)]:
        marks.setdefault((end, stud, mark.endswith("-")), []).append(mark)
    rows = []
    for e in (e for p in words.row.parts for e in p.ends if e.on.startswith("M")):
        for stud in range(1, len(e.studs) + 1) if e.studs else (0,):
            mine = marks.get((e.name, stud, e.pole == "minus"), [])
            which = f"{words.end(e.name)}, stud {stud}" if stud else words.end(e.name)
            rows.append((which, e.on, ", ".join(mine) or "-", "", "", ""))
            if e.pole == "plus" and (e.name, stud, True) in marks:
                lugs = ", ".join(marks[e.name, stud, True])
                rows.append((words.side(e.name, True), e.on, lugs, "", "", ""))
    head = ("Stud", "Size", "Lugs", "Maker's Nm", "Tightened", "By")
    return Table("torque", "Torque", TORQUE_NOTE, head, tuple(rows), (30, 8, 30, 12, 12, 8))


def tests(words: BenchWords) -> Table:
    """What is tested before it leaves the bench, to be ticked."""
    own = [
        (f"{w.mark}: {' to '.join(words.both(w))}", "continuity", "below 0.2 Ω")
        for w in words.row.links
    ]
    own += [(f"{w.mark}, both ends", "pull", "nothing moves") for w in words.row.links]
    live = [e for p in words.row.parts for e in p.ends if e.on.startswith("M")]
    plus = [e for e in live if e.pole == "plus"]
    minus = [e for e in live if e.pole == "minus"]
    if plus and minus:
        gear = {p.key for p in words.row.parts if p.kind not in PASSIVE}
        own_ends = [(w.mark, w.start, w.goal) for w in words.row.links]
        lifted = [m for m, *e in own_ends if {x.split(".")[1] for x in e} & gear]
        off = f", {joined(lifted)} lifted off" if lifted else ""
        what = f"each plus stud to each minus stud, fuses in, switches on{off}"
        own.append((f"{what}; studs of chargers and converters left out", "no continuity", "open"))
    if plus:
        own.append(("every plus link: red end to end", "polarity", "as the link list"))
    rows = tuple((*row, "", "") for row in own)
    head = ("What", "Test", "Good when", "Found", "By")
    return Table("tests", "Tests on the bench", TEST_NOTE, head, rows, (46, 14, 16, 14, 10))
