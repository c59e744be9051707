"""A job's texts read and built without touching the files: what an edit would make of them."""

import hashlib
import tempfile
from dataclasses import dataclass
from pathlib import Path

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


def look_at_texts(job_name: str, job: str, hull_name: str, hull: str) -> Look:
    """The same of texts that are not written yet."""
    with tempfile.TemporaryDirectory(prefix="coaming-") as folder:
        root = Path(folder)
        (root / job_name).write_text(job, encoding="utf-8")
        (root / hull_name).write_text(hull, encoding="utf-8")
        return look_at(root / job_name)
