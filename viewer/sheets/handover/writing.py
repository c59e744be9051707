"""The hand-over written into a folder: print, screen, and the model itself for the next fitter."""

from collections.abc import Callable
from pathlib import Path

import tomlkit

from layout.job.reading import JobFiles
from viewer.files import csv_bytes, write_folder
from viewer.sheets.handover.pages import handover_paper
from viewer.sheets.paper.print import as_print
from viewer.sheets.paper.web import as_web
from viewer.words.lists import lists_of
from viewer.words.names import Names
from viewer.work.rows import Result
from viewer.work.saved import json_text
from viewer.work.states import states_of

LISTS = ("circuits", "fuses", "wires")


def write_handover(
    files: JobFiles, result: Result, state: str, out: Path,
    told: Callable[[str], None] = lambda _: None,
) -> list[Path]:  # fmt: skip
    """Write everything, all files or none; the paths written. Raises CoamingError."""
    paper = handover_paper(result, state, told, tuple(states_of(files.job_path)))
    told("the PDF")
    every: dict[str, bytes] = {
        "handover.pdf": as_print(paper),
        "handover.html": as_web(paper).encode("utf-8"),
        "result.json": json_text(result).encode("utf-8"),
    }
    every[files.job_path.name] = _alone(files.job_path).encode("utf-8")
    every[files.hull_path.name] = files.hull_path.read_bytes()
    lists = lists_of(result, Names(result))
    every |= {f"{name}.csv": csv_bytes(lists[name]) for name in LISTS}
    write_folder(out, every)
    return [out / name for name in every]


def _alone(job: Path) -> str:
    """The job without the shop's own files, whose prices are not the boat's: it opens by itself."""
    tables = tomlkit.parse(job.read_text(encoding="utf-8-sig"))
    head = tables.get("job")
    for key in ("shop", "shelf"):
        if isinstance(head, dict):
            head.pop(key, None)
    return tomlkit.dumps(tables)
