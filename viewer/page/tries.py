"""Changes tried on a copy: what would the answer be. Nothing of the job is written."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from layout.errors import JobError
from viewer.page.desk import Desk
from viewer.page.edits.changes import Change, changed_text
from viewer.page.reading import along
from viewer.work.rows import Result
from viewer.work.session import Asks, Session


def tried(
    desk: Desk,
    hull: tuple[Change, ...] = (),
    job: tuple[Change, ...] = (),
    told: Callable[[str], None] = lambda _: None,
) -> Result:
    """The answer with some changes made. Raises CoamingError where the files would not do."""
    job_text, hull_text = desk.texts()
    with tempfile.TemporaryDirectory(prefix="coaming-") as folder:
        root = Path(folder)
        (root / desk.job_name).write_text(changed_text(job_text, list(job)), encoding="utf-8")
        (root / desk.hull_name).write_text(changed_text(hull_text, list(hull)), encoding="utf-8")
        along(job_text, desk.path.parent, root)
        path = root / desk.job_name
        known = desk.live.session
        session = Session(path) if known is None else known.beside(path)
        return session.answer(Asks(told=told, stop=desk.live.trying()))


@contextmanager
def beside(desk: Desk) -> Iterator[Asks]:
    """Work beside the answer: its progress is told, a person may stop it; after it what the answer
    does is told again.
    """

    def told(words: str) -> None:
        desk.tell("work", {"state": "working", "revision": desk.live.result_of, "words": words})

    try:
        yield Asks(told=told, stop=desk.live.trying())
    finally:
        desk.tell("work", desk.live.work.model_dump(mode="json"))


def would_read(desk: Desk, hull: tuple[Change, ...], job: tuple[Change, ...]) -> bool:
    """True where the files could be read with some changes made."""
    from viewer.page.reading import look_at_texts

    job_text, hull_text = desk.texts()
    try:
        look = look_at_texts(
            desk.job_name,
            changed_text(job_text, list(job)),
            desk.hull_name,
            changed_text(hull_text, list(hull)),
            desk.path.parent,
        )
    except JobError:
        return False
    return not look.findings
