"""Make a paper set, with progress, and list what there is."""

import threading
from datetime import datetime
from typing import Final

from pydantic import Field

from layout.errors import CoamingError
from viewer.page.desk import Desk
from viewer.page.panels.papers.sets import SETS, SHOWN, PaperSet, folder_of, set_of
from viewer.page.panels.ways.commands import current
from viewer.page.wire import Ask, Nothing, Panel, Row

PANEL = Panel("papers")
NEEDS_NO_ANSWER: Final = ("measuring",)
_MAKING = threading.Lock()  # pictures are drawn one set at a time


class FileRow(Row):
    """A paper to open."""

    name: str
    href: str


class SetRow(Row):
    """A set and what was made of it."""

    key: str
    title: str
    what_for: str
    files: tuple[FileRow, ...]
    made: str
    """When, in words; empty where it was not."""


class SetsRow(Row):
    """Every set."""

    sets: tuple[SetRow, ...]


class MakeSet(Ask):
    """The set to make."""

    key: str = Field(max_length=40)


@PANEL.command("look", Nothing, SetsRow)
def look(desk: Desk, ask: Nothing) -> SetsRow:
    """What there is."""
    del ask
    return SetsRow(sets=tuple(_row(desk, s) for s in SETS))


def _row(desk: Desk, s: PaperSet) -> SetRow:
    folder = folder_of(desk, s.key)
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    papers = [p for p in files if p.suffix in SHOWN and p.is_file()]
    papers.sort(key=lambda p: (SHOWN.index(p.suffix), p.name))
    made = ""
    if papers:
        made = datetime.fromtimestamp(papers[0].stat().st_mtime).strftime("%Y-%m-%d %H:%M")
    return SetRow(
        key=s.key,
        title=s.title,
        what_for=s.what_for,
        files=tuple(
            FileRow(name=p.name, href=f"/paper/{desk.job_name}/{s.key}/{p.name}") for p in papers
        ),
        made=made,
    )


@PANEL.command("make", MakeSet, SetsRow)
def make(desk: Desk, ask: MakeSet) -> SetsRow:
    """Make a set; progress is told as it goes. Raises CoamingError without a fresh answer."""
    s = set_of(ask.key)
    result = None if s.key in NEEDS_NO_ANSWER else current(desk)
    if not _MAKING.acquire(blocking=False):
        raise CoamingError("Another paper is being made: wait for it, then try again")
    try:
        folder = folder_of(desk, s.key)
        folder.parent.mkdir(parents=True, exist_ok=True)

        def told(words: str) -> None:
            desk.tell("paper", {"set": s.key, "words": words})

        s.make(desk, result, folder, told)  # type: ignore[arg-type]
    finally:
        _MAKING.release()
    return look(desk, Nothing())
