"""A job's texts read and built without touching the files: what an edit would make of them."""

import hashlib
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.boat.build import Builder
from layout.boat.parts import Boat
from layout.boat.reader import Reader
from layout.errors import Finding, JobError
from layout.job import JobFiles, read_job
from routing.circuits.circuits import Circuits, find_circuits


@dataclass(frozen=True, slots=True)
class Look:
    """What the texts say: as much of the boat as can be built, and every problem."""

    files: JobFiles | None
    builder: Builder | None
    boat: Boat | None
    circuits: Circuits | None
    findings: tuple[Finding, ...]


def revision_of(hull: str | None, job: str | None) -> str:
    """A name that changes with either text."""
    digest = hashlib.sha256()
    for text in (hull, job):
        digest.update(b"-" if text is None else text.encode("utf-8"))
        digest.update(b"\0")
    return digest.hexdigest()[:12]


def look_at(path: Path) -> Look:
    """Read a job and its hull as they lie, and build what can be built."""
    try:
        files = read_job(path)
    except JobError as e:
        return Look(None, None, None, None, tuple(e.findings))
    builder = Builder(files)
    boat, found = builder.try_boat()
    reader = Reader(files, builder.sizes)
    circuits = find_circuits(files, boat, reader)
    return Look(files, builder, boat, circuits, (*found, *reader.findings))


def tables_of(path: Path) -> dict[str, Any]:
    """The tables of a file as they are written; none where it is not TOML."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return {}


def along(job: str, folder: Path, to: Path) -> None:
    """Copy what a job's text names beside it, the shop's and the shelf's file, for a try of it."""
    try:
        head = tomllib.loads(job).get("job", {})
    except (ValueError, RecursionError):
        return  # told when it is read
    for key in ("shop", "shelf"):
        name = head.get(key) if isinstance(head, dict) else None
        if isinstance(name, str) and name and Path(name).name == name:
            source = folder / name
            if source.is_file():
                (to / name).write_bytes(source.read_bytes())


def look_at_texts(job_name: str, job: str, hull_name: str, hull: str, folder: Path) -> Look:
    """The same of texts that are not written yet; `folder` is where they will lie."""
    with tempfile.TemporaryDirectory(prefix="coaming-") as made:
        root = Path(made)
        (root / job_name).write_text(job, encoding="utf-8")
        (root / hull_name).write_text(hull, encoding="utf-8")
        along(job, folder, root)
        return look_at(root / job_name)
