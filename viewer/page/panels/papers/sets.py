"""The paper sets there are: each a name, what it is for, and who makes it into a folder.

A set is added by one line in `SETS`: it gets its place on the page, with progress, by itself.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from layout.errors import CoamingError
from viewer.files import write_folder
from viewer.page.desk import Desk
from viewer.work.rows import Result

FOLDER: Final = "papers"
SHOWN: Final = (
    ".html",
    ".pdf",
    ".png",
    ".csv",
    ".xlsx",
    ".json",
    ".toml",
    ".glb",
    ".gif",
    ".svg",
    ".dxf",
)
Told = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class PaperSet:
    """One set of papers."""

    key: str
    title: str
    what_for: str
    make: Callable[[Desk, Result, Path, Told], list[Path]]


def _book(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    from viewer.sheets.writing import write_book

    session = desk.live.session
    if session is not None and session.stuck(result):
        from viewer.work.session import Asks

        beside = session.beside(desk.path)  # the desk's own goes on with what comes meanwhile
        result = beside.remedied(session.stuck(result), Asks(told=told, stop=desk.live.trying()))
    return write_book(result, out, told)


def _bench(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    from layout.job import read_job
    from viewer.sheets.bench.writing import write_bench
    from viewer.work.nested import nested

    told("the plates from sheet")
    nesting = nested(read_job(desk.path), result.benches)
    return write_bench(result.model_copy(update={"nesting": nesting}), out, told)


def _quote(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    from layout.job import read_job
    from viewer.sheets.quote.writing import write_quote

    files = read_job(desk.path)
    return write_quote(result, files.shop.shop, files.job.estimate.made, out, told)


def _change(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    del result
    from viewer.sheets.variation import write_variation
    from viewer.words.variation import VariationWords
    from viewer.work.states import states_of

    told("the last change")
    kept = states_of(desk.path)
    if len(kept) < 2:
        raise CoamingError("Keep the job as quoted, then as a change: see Estimate")
    return write_variation(VariationWords(kept[-2], kept[0], kept[-1]), kept, out)


def _buying(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    from layout.job import read_job
    from viewer.sheets.buying import write_buying
    from viewer.words.buying import BuyingWords
    from viewer.words.estimate import EstimateWords
    from viewer.words.names import Names
    from viewer.work.nested import nested

    told("the plates from sheet")
    nesting = nested(read_job(desk.path), result.benches)
    whole = result.model_copy(update={"nesting": nesting})
    return write_buying(BuyingWords(whole, EstimateWords(whole, Names(whole))), out)


def _work(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    del desk
    from viewer.sheets.work_order import write_cards
    from viewer.words.estimate import EstimateWords
    from viewer.words.names import Names
    from viewer.words.work_order import WorkWords

    told("the job cards")
    return write_cards(WorkWords(result, EstimateWords(result, Names(result))), out)


def _handover(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    from layout.job import read_job
    from viewer.sheets.handover.writing import write_handover
    from viewer.work.states import state_words

    return write_handover(read_job(desk.path), result, state_words(desk.path), out, told)


def _measuring(desk: Desk, result: Result | None, out: Path, told: Told) -> list[Path]:
    del result
    from viewer.page.panels.papers.blank import sheet_of
    from viewer.sheets.measuring import measuring_pdf

    told("the measuring sheet")
    pdf = measuring_pdf(sheet_of(desk.state()))
    write_folder(out, {"measuring_sheet.pdf": pdf})
    return [out / "measuring_sheet.pdf"]


def _scene(desk: Desk, result: Result, out: Path, told: Told) -> list[Path]:
    del desk
    from viewer.scene.glb import scene_glb

    told("the scene")
    write_folder(out, {"boat.glb": scene_glb(result)})
    return [out / "boat.glb"]


SETS: Final = (
    PaperSet(
        "measuring",
        "Measuring sheet",
        "To take to the boat: every size blank, those that matter most first.",
        _measuring,
    ),
    PaperSet(
        "book",
        "The book",
        "Moves with pictures, circuits, cut list, fuses, wires, rules: to read, print and hand on.",
        _book,
    ),
    PaperSet(
        "bench",
        "Bench papers",
        "Every board to build: drawn from its front, 1:1 template (PDF, DXF, SVG), lists, labels, "
        "card mock-up, plates from sheet.",
        _bench,
    ),
    PaperSet(
        "quote",
        "The quote",
        "For the customer, sections to strike out; for the office, a workbook and lists.",
        _quote,
    ),
    PaperSet(
        "change",
        "The last change",
        "What was changed and why, hours, goods, price, and what else it moved: to be agreed.",
        _change,
    ),
    PaperSet(
        "buying",
        "To buy",
        "Pick lists by who sells it, what takes longest first; drums, sheet, leads.",
        _buying,
    ),
    PaperSet(
        "work",
        "Job cards",
        "By where one lies, in an order that works; hours to write in.",
        _work,
    ),
    PaperSet(
        "handover",
        "The hand-over",
        "Diagrams, circuits, legends, settings to fill, maps, tests: to read, print and hand on.",
        _handover,
    ),
    PaperSet(
        "scene",
        "The boat in 3-D (GLB)",
        "Opens on a phone and in other programs: boat, gear and cables.",
        _scene,
    ),
)


def set_of(key: str) -> PaperSet:
    """A set by its key. Raises CoamingError."""
    found = next((s for s in SETS if s.key == key), None)
    if found is None:
        raise CoamingError("There is no such paper")
    return found


def folder_of(desk: Desk, key: str) -> Path:
    """Where a set of a job is written."""
    stem = desk.job_name.removesuffix(".toml").removesuffix(".job")
    return desk.folder.inside(FOLDER, stem, key)


def paper_path(desk: Desk, rest: str) -> Path:
    """A file of a set that was made, inside its folder. Raises CoamingError."""
    key, _, name = rest.partition("/")
    folder = folder_of(desk, set_of(key).key)
    path = (folder / name).resolve()
    if path.parent != folder.resolve() or path.suffix not in SHOWN or not path.is_file():
        raise CoamingError("That paper is not there: make it again")
    return path
