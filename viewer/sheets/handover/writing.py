"""The hand-over written into a folder: print, screen, and the model itself for the next fitter."""

from collections.abc import Callable
from pathlib import Path

from layout.job.reading import JobFiles
from viewer.files import csv_bytes, write_folder
from viewer.sheets.handover.pages import handover_paper
from viewer.sheets.paper.print import as_print
from viewer.sheets.paper.web import as_web
from viewer.words.lists import lists_of
from viewer.words.names import Names
from viewer.work.rows import Result
from viewer.work.saved import json_text

LISTS = ("circuits", "fuses", "wires")


def write_handover(
    files: JobFiles, result: Result, state: str, out: Path,
    told: Callable[[str], None] = lambda _: None,
) -> list[Path]:  # fmt: skip
    """Write everything, all files or none; the paths written. Raises CoamingError."""
    paper = handover_paper(result, state, told)
    told("the PDF")
    every: dict[str, bytes] = {
        "handover.pdf": as_print(paper),
        "handover.html": as_web(paper).encode("utf-8"),
        "result.json": json_text(result).encode("utf-8"),
    }
    for path in (files.job_path, files.hull_path):
        every[path.name] = path.read_bytes()
    lists = lists_of(result, Names(result))
    every |= {f"{name}.csv": csv_bytes(lists[name]) for name in LISTS}
    write_folder(out, every)
    return [out / name for name in every]
