"""The job's book: pictures, moves, circuits, cut list; as one HTML file, a PDF and CSV lists."""

import base64
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from layout.boat.parts import Thing
from layout.verdict.fit import Answer, ThingFit
from viewer.files import csv_text, write_bytes
from viewer.scene.pictures import inside, strip, whole_boat
from viewer.words.table import clearance_words, decides_words
from viewer.words.wiring import Section, sections
from viewer.work.result import JobResult, full_words, mm_and_inches

CAUTIONS = (
    "Batteries: disconnect before work, cover terminals while lifting, keep metal tools clear, ventilate; heavy ones need two people or a strap.",
    "Lengths, sizes and fuses here are a plan, not a certificate: local codes and licensed practice decide.",
    "Edges of cut holes are sharp until dressed and edged. Petrol and its vapour: no sparks; ventilate before any work.",
    "Mains (AC) wiring is for a licensed person: its space and route are shown, nothing about it is sized or approved.",
)


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG with its words."""

    png: bytes
    words: str
    note: str = ""

    @property
    def data_uri(self) -> str:
        """The picture as it stands inside the HTML."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode("ascii")


@dataclass(frozen=True, slots=True, eq=False)
class ThingPage:
    """One board's or item's page."""

    fit: ThingFit
    facts: tuple[tuple[str, str], ...]
    pictures: tuple[Picture, ...]
    doubts: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """Everything the HTML and the PDF show, already worded."""

    title: str
    hull: str
    result: JobResult
    boat: Picture
    spaces: tuple[Picture, ...]
    things: tuple[ThingPage, ...]
    summary: tuple[tuple[str, ...], ...]
    circuits: tuple[tuple[str, ...], ...]
    lengths: tuple[tuple[str, ...], ...]
    fills: tuple[tuple[str, ...], ...]
    cuts: tuple[tuple[str, ...], ...]
    wiring: tuple[Section, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


SUMMARY_HEAD = ("Board or item", "Goes in?", "Least clearance", "What decides", "At rest", "Mass")
CIRCUIT_HEAD = ("No.", "Circuit", "Amps", "Out", "Back", "Size", "Drop", "Limit", "Fuse", "Through")
LENGTH_HEAD = (
    "No.",
    "Circuit",
    "Route",
    "Tail at feed",
    "Tail at load",
    "Service loop",
    "Wander",
    "Bends",
    "Cut",
)
FILL_HEAD = ("Hole or pipe", "Bore", "Cables", "Full", "Allowed", "To do")
CUT_HEAD = ("What", "From", "Size", "Pieces", "Each", "Total")


CSV_TOO = (
    "fuses",
    "fixings",
    "drums",
    "costs",
    "rules",
)  # tables a shop takes on into its own lists


def bind(result: JobResult, told: Callable[[str], None] = lambda _: None) -> Book:
    """Draw all pictures and word all tables. Long work: `told` is called before each picture."""
    boat = result.boat
    told("picture of the boat")
    whole = Picture(whole_boat(boat, result.cables), f"{boat.name}: spaces, gear and cables")
    spaces = []
    for s in boat.spaces.values():
        told(f"picture of {s.label}")
        png = inside(boat, s.name, result.wiring)
        if png is not None:
            spaces.append(Picture(png, f"{s.label}: cables with their numbers, trunks dark"))
    pages, fitted = [], [t for t in boat.things.values() if t.fixed_already]
    for fit in result.fits:
        told(f"pictures of {fit.label}")
        pages.append(_thing_page(result, fit, list(fitted)))
        fitted.append(boat.things[fit.name])
    return Book(
        result.files.job.job.name,
        boat.name,
        result,
        whole,
        tuple(spaces),
        tuple(pages),
        _summary(result),
        circuit_rows(result),
        _lengths(result),
        _fills(result),
        cut_list(result),
        sections(result.wiring),
        result.next_steps,
        CAUTIONS,
    )


def _thing_page(result: JobResult, fit: ThingFit, fitted: list[Thing]) -> ThingPage:
    thing = result.boat.things[fit.name]
    x, y, z = thing.size_mm
    facts = [
        ("Verdict", fit.answer.value),
        ("Least clearance on the way", clearance_words(fit)),
        (
            "Size over all",
            f"{mm_and_inches(x)} fore and aft, {mm_and_inches(y)} athwart, {mm_and_inches(z)} high",
        ),
        ("Mass", f"{thing.mass_kg:.1f} kg"),
    ]
    if fit.entry:
        facts.append(("Way in", fit.entry.way.label))
    if fit.passage:
        facts.append(("Evidence", fit.passage.evidence))
    if fit.out_again is not None:
        facts.append(
            (
                "Out again",
                "yes, with all else in place"
                if not fit.out_first
                else "after " + ", ".join(result.boat.things[n].label for n in fit.out_first),
            )
        )
    for c in (*fit.clashes, *fit.rooms_taken):
        facts.append(("Clash", f"{c.what} with {c.other}, {c.depth_mm:.0f} mm"))
    if fit.advice:
        facts.append(("Next", fit.advice))
    for k, remedy in enumerate(result.remedies.get(fit.name, ()), start=1):
        facts.append((f"Would go, {k}", f"{remedy.what} (with a proven way)"))
    shots = strip(result.boat, fit, fitted)
    pictures = tuple(
        Picture(png, f"{n}. {m.text}.", _note(m.least_clearance_mm, m.near_fixed))
        for n, (png, m) in enumerate(zip(shots, fit.moves, strict=False), start=1)
    )
    doubts = tuple(
        (
            d.label,
            f"{d.value_mm:.0f} ±{d.plus_minus_mm:g} mm {d.how}".strip(),
            f"{abs(d.effect_mm):.1f} mm",
            f"{d.share:.0%}",
        )
        for d in fit.deciding[:4]
    )
    return ThingPage(fit, tuple(facts), pictures, doubts)


def _note(clearance: float, near: str) -> str:
    if clearance > 60:
        return "plenty of room"
    return f"{clearance:.1f} mm from {near}" if near and clearance > 0.05 else "on to its seat"


def _summary(result: JobResult) -> tuple[tuple[str, ...], ...]:
    rows = []
    for f in result.fits:
        rest = "clash" if f.clashes else ("room taken" if f.rooms_taken else "clear")
        rows.append(
            (
                f.label,
                f.answer.value,
                clearance_words(f),
                decides_words(f),
                rest,
                f"{f.mass_kg:.1f} kg",
            )
        )
    return tuple(rows)


def circuit_rows(result: JobResult) -> tuple[tuple[str, ...], ...]:
    """The circuit table."""
    rows = []
    for c in result.cables:
        plain = c.mains or c.signal or c.conductor is None
        rows.append(
            (
                c.number,
                c.label,
                f"{c.amps:g}",
                f"{c.length.cut_mm / 1000:.2f} m" if c.length else "no way",
                f"{c.back_length.cut_mm / 1000:.2f} m" if c.back_length else "-",
                "licensed person"
                if c.mains
                else ("lead" if c.signal else (c.conductor.name if c.conductor else "-")),
                "-" if plain else f"{c.drop_volt:.2f} V, {c.drop_percent:.1f} %",
                "-" if plain else f"{c.drop_limit_percent:g} %",
                f"{c.fuse_amp:g} A" if c.fuse_amp else "-",
                ", ".join(result.boat.joint_label(j) for j in c.route.joints) if c.route else c.why,
            )
        )
    return tuple(rows)


def _lengths(result: JobResult) -> tuple[tuple[str, ...], ...]:
    rows = []
    for c in result.cables:
        if c.length:
            x = c.length
            rows.append(
                (
                    c.number,
                    c.label,
                    *(
                        f"{v / 1000:.2f}"
                        for v in (
                            x.route_mm,
                            x.tail_feed_mm,
                            x.tail_load_mm,
                            x.loop_mm,
                            x.wander_mm,
                            x.bends_mm,
                            x.cut_mm,
                        )
                    ),
                )
            )
    return tuple(rows)


def _fills(result: JobResult) -> tuple[tuple[str, ...], ...]:
    rows = []
    for f in result.fills:
        todo = [
            t
            for t in (
                "fit edging" if f.needs_edging else "",
                f"too full: {f.least_bore_mm:.0f} mm bore would do" if f.too_full else "",
            )
            if t
        ]
        if f.may_jam:
            todo.append("three like cables may wedge: pull them together")
        rows.append(
            (
                f.label,
                f"{f.bore_mm:.0f} mm",
                str(f.cables),
                full_words(f),
                f"{f.limit:.0%}",
                "; ".join(todo) or "-",
            )
        )
    return tuple(rows)


def cut_list(result: JobResult) -> tuple[tuple[str, ...], ...]:
    """Plates and cable to cut, the longest first within each size."""
    rows: list[tuple[str, ...]] = []
    for name, board in result.files.job.boards.items():
        thing = result.boat.things[name]
        size = " x ".join(f"{v:.0f}" for v in sorted(2 * thing.body.half_mm[0], reverse=True))
        del board
        rows.append((thing.label, "plate", f"{size} mm", "1", "-", "-"))
    order = sorted(
        result.cables,
        key=lambda c: (
            -(c.conductor.area_mm2 if c.conductor else 0),
            -(c.length.cut_mm if c.length else 0),
        ),
    )
    for c in order:
        if c.length is None or c.back_length is None or c.mains:
            continue
        size = c.conductor.name if c.conductor else "lead"
        if c.length.cut_mm == c.back_length.cut_mm:
            each, pieces, total = (
                c.length.cut_mm,
                2 if c.conductor else 1,
                c.length.cut_mm * (2 if c.conductor else 1),
            )
            rows.append(
                (
                    f"{c.number} {c.label}",
                    "cable",
                    size,
                    str(pieces),
                    f"{each / 1000:.2f} m",
                    f"{total / 1000:.2f} m",
                )
            )
        else:
            for pole, x in (("+", c.length.cut_mm), ("-", c.back_length.cut_mm)):
                rows.append(
                    (
                        f"{c.number} {c.label} ({pole})",
                        "cable",
                        size,
                        "1",
                        f"{x / 1000:.2f} m",
                        f"{x / 1000:.2f} m",
                    )
                )
    return tuple(rows)


def write_book(
    result: JobResult, out: Path, told: Callable[[str], None] = lambda _: None
) -> list[Path]:
    """Write the book into a folder, all files or none; the paths written, the HTML first."""
    from viewer.sheets.html import as_html
    from viewer.sheets.pdf import as_pdf

    book = bind(result, told)
    told("the PDF")
    files = {
        "book.html": as_html(book).encode("utf-8"),
        "book.pdf": as_pdf(book),
        "boat.png": book.boat.png,
        "circuits.csv": csv_text([CIRCUIT_HEAD, *book.circuits]).encode("utf-8"),
        "cut_list.csv": csv_text([CUT_HEAD, *book.cuts]).encode("utf-8"),
        **{
            f"{x.key}.csv": csv_text([x.head, *x.rows]).encode("utf-8")
            for x in book.wiring
            if x.key in CSV_TOO
        },
    }
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=out, prefix=".book-") as room:
        for name, data in files.items():
            (Path(room) / name).write_bytes(
                data
            )  # proves there is room before anything is replaced
        for name, data in files.items():
            write_bytes(out / name, data)
    return [out / name for name in files]


def needs_help(fit: ThingFit) -> bool:
    """True for a thing that does not simply go in."""
    return fit.answer not in (Answer.GOES_IN, Answer.THERE)
