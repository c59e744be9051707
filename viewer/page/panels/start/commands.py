"""What the folder holds, and how a boat or a job begins."""

from typing import Any, Literal

from pydantic import Field

from layout.errors import CoamingError, one_line
from viewer.files import write_text
from viewer.page.edits.changes import Change, changed_text
from viewer.page.folder import HULL_END, JOB_END, Folder
from viewer.page.panels.start.begin import copied_hull, first_hull, first_job
from viewer.page.panels.start.shelf import JobCard, card_of, hull_words
from viewer.page.reading import look_at_texts
from viewer.page.wire import Ask, Nothing, Panel, Row

PANEL = Panel("start")


class HullCard(Row):
    """A boat of the folder."""

    file: str
    words: str


class FolderRow(Row):
    """The folder as it is."""

    name: str
    jobs: tuple[JobCard, ...]
    hulls: tuple[HullCard, ...]


class Opened(Row):
    """The job that was begun, to be opened."""

    job: str
    words: str


class NewBoat(Ask):
    """A first space and its hatch, as a person told them beside the boat."""

    boat: str = Field(min_length=1, max_length=80)
    place: str = Field(min_length=1, max_length=80)
    site: Literal["open", "locker", "lining", "duct", "bilge", "engine"] = "locker"
    length: str = Field(max_length=60)
    breadth: str = Field(max_length=60)
    height: str = Field(max_length=60)
    hatch: str = Field(min_length=1, max_length=80)
    face: Literal["top", "bottom", "port", "starboard", "forward", "aft"] = "top"
    hatch_first: str = Field(max_length=60)
    """Its clear size fore and aft (athwart for a hatch in the forward or aft side)."""
    hatch_second: str = Field(max_length=60)
    from_first: str = Field(default="", max_length=60)
    """From the aft (or starboard) side to its edge; left out, it is in the middle."""
    from_second: str = Field(default="", max_length=60)
    corner_radius: str = Field(default="0", max_length=60)
    throat: str = Field(max_length=60)
    how: str = Field(default="tape", max_length=40)
    by: str = Field(default="", max_length=40)


class Named(Ask):
    """A file and the name of what is made of it."""

    file: str
    name: str = Field(min_length=1, max_length=80)


@PANEL.of_house("look", Nothing, FolderRow)
def look(folder: Folder, ask: Nothing) -> FolderRow:
    """The jobs with how they stand, and the boats."""
    del ask
    return FolderRow(
        name=one_line(folder.root.name),
        jobs=tuple(card_of(folder.root / name) for name in folder.jobs()),
        hulls=tuple(
            HullCard(file=name, words=hull_words(folder.root / name)) for name in folder.hulls()
        ),
    )


@PANEL.of_house("new_boat", NewBoat, Opened)
def new_boat(folder: Folder, ask: NewBoat) -> Opened:
    """A hull file with one space and its hatch, and a first job on it."""
    hull_name = folder.free_name(ask.boat, HULL_END)
    hull = first_hull(ask.model_dump())
    return _begun(folder, hull_name, hull, f"What goes into {ask.boat}")


@PANEL.of_house("copy_boat", Named, Opened)
def copy_boat(folder: Folder, ask: Named) -> Opened:
    """A sister boat: the same sizes, each unverified until it is measured there."""
    text = folder.job(ask.file).read_text(encoding="utf-8")
    hull_name = folder.free_name(ask.name, HULL_END)
    return _begun(folder, hull_name, copied_hull(text, ask.name), f"What goes into {ask.name}")


@PANEL.of_house("new_job", Named, Opened)
def new_job(folder: Folder, ask: Named) -> Opened:
    """An empty job on a boat."""
    folder.job(ask.file)
    name = folder.free_name(ask.name, JOB_END)
    write_text(folder.file(name), first_job(ask.name, ask.file))
    return Opened(job=name, words=f"{ask.name}: begun")


@PANEL.of_house("variant", Named, Opened)
def variant(folder: Folder, ask: Named) -> Opened:
    """A copy of a job to try something else on; the job itself stays as it is."""
    text = folder.job(ask.file).read_text(encoding="utf-8")
    name = folder.free_name(ask.name, JOB_END)
    write_text(
        folder.file(name),
        changed_text(text, [Change(path=("job", "name"), value=ask.name)]),
    )
    return Opened(job=name, words=f"{ask.name}: a copy to try things on")


def _begun(folder: Folder, hull_name: str, hull: str, job: str) -> Opened:
    job_name = hull_name.removesuffix(HULL_END) + JOB_END
    if (folder.root / job_name).exists():
        job_name = folder.free_name(job, JOB_END)
    text = first_job(job, hull_name)
    found: Any = look_at_texts(job_name, text, hull_name, hull, folder.root).findings
    if found:
        raise CoamingError(" ".join(f.sentence().partition(": ")[2] for f in found))
    write_text(folder.file(hull_name), hull)
    write_text(folder.file(job_name), text)
    return Opened(job=job_name, words="The boat is begun: put gear in, or measure more of it.")
