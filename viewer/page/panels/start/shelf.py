"""How each job of the folder stands, told from its last kept answer without working anything."""

import tomllib
from pathlib import Path
from typing import Any

from layout.errors import CoamingError, one_line
from layout.job import read_job
from viewer.page.wire import Row
from viewer.words.pieces import FINE
from viewer.work.rows import Result
from viewer.work.saved import fingerprint_of, latest, same


class JobCard(Row):
    """A job of the folder and how it stands."""

    file: str
    name: str
    boat: str
    words: str
    state: str
    """`good`, `look`, `bad` or `new`."""


def card_of(path: Path) -> JobCard:
    """A job's card."""
    try:
        files = read_job(path)
    except CoamingError as e:
        first = str(e).splitlines()[0]
        return JobCard(
            file=path.name, name=path.name, boat="", words=f"To put right: {first}", state="bad"
        )
    job, hull = one_line(files.job.job.name), one_line(files.hull.hull.name)
    if files.findings:
        many = len(files.findings)
        words = f"{many} thing{'s' if many > 1 else ''} to put right in its files"
        return JobCard(file=path.name, name=job, boat=hull, words=words, state="bad")
    saved = same(path, fingerprint_of(files, 1.0, 1))
    fresh = saved is not None
    saved = saved or latest(path)
    if saved is None:
        empty = not files.job.pieces and not files.job.boards
        words = "Nothing in it yet" if empty else "Not worked out yet"
        return JobCard(file=path.name, name=job, boat=hull, words=words, state="new")
    words, state = stands(saved.result)
    if not fresh:
        words, state = f"Changed since it was worked out. It was: {words}", "look"
    return JobCard(file=path.name, name=job, boat=hull, words=words, state=state)


def stands(result: Result) -> tuple[str, str]:
    """(how a job stands in words, `good`, `look` or `bad`)."""
    many = len(result.pieces)
    goes = sum(p.verdict in FINE for p in result.pieces)
    must = sum(f.urgency == "must" for f in result.findings)
    words = [f"{goes} of {many} go in" if many else "No gear in it yet"]
    for verdict in ("cannot", "place not free", "measure again", "not settled"):
        n = sum(p.verdict == verdict for p in result.pieces)
        words += [f"{n} {verdict}"] if n else []
    words += [f"{must} must be put right"] if must else []
    if result.in_order:
        return "In order: " + ", ".join(words), "good"
    stuck = goes < many or must
    return ", ".join(words), "bad" if stuck else "look"


def hull_words(path: Path) -> str:
    """What a hull file calls its boat."""
    try:
        head: Any = tomllib.loads(path.read_text(encoding="utf-8-sig")).get("hull", {})
    except (OSError, ValueError, RecursionError):
        return "cannot be read"
    name = head.get("name", path.name) if isinstance(head, dict) else path.name
    copied = head.get("copied_from") if isinstance(head, dict) else None
    return one_line(str(name)) + (f" (copied from {one_line(str(copied))})" if copied else "")
