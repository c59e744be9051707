"""The commands that look for a place: parts on a board, things in the boat."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layout.errors import CoamingError, one_line
from viewer.command.running import IN_ORDER, NOT_IN_ORDER, Ended, working

if TYPE_CHECKING:
    from viewer.work.arranged_rows import ArrangedRow
    from viewer.work.session import Asks

Command = Callable[[str, str, Callable[..., int]], argparse.ArgumentParser]


def add(command: Command) -> None:
    """Add these commands to the line."""
    a = command("arrange", "find where each part goes on a board that goes in", _arrange)
    _job(a)
    a.add_argument("board", help="the board's key or label")
    a.add_argument(
        "--aim",
        choices=("plate", "cable", "both"),
        help="what is to be least (usual: as the job says, else both)",
    )
    a.add_argument("--plates", action="store_true", help="only which plates go in, with anything")
    a.add_argument("--write", action="store_true", help="put what was found into the job file")

    p = command("place", "find where things can stand, and that they go in there", _place)
    _job(p)
    p.add_argument("things", nargs="+", help="pieces or boards of the job, or types of gear")
    p.add_argument(
        "--in", dest="spaces", action="append", default=[], metavar="SPACE",
        help="look in this space only (may be told several times)",
    )  # fmt: skip
    p.add_argument(
        "--write",
        type=int,
        metavar="N",
        help="put place N into the job file; of several things, any number puts all",
    )


def _job(c: argparse.ArgumentParser) -> None:
    c.add_argument("job", type=Path, help="the job file, .toml")
    c.add_argument("--json", action="store_true", help="print what was found as JSON")
    c.set_defaults(work=1.0, seconds=None, fresh=False)


def _place(args: argparse.Namespace, ended: Ended) -> int:
    lines: list[str] = []

    def work(asks: "Asks") -> int:
        from layout.job import read_job
        from viewer.words.placed import PlacedWords
        from viewer.work.placing import placed

        row = placed(read_job(args.job), args.things, args.spaces, asks)
        lines.extend([row.model_dump_json(indent=1)] if args.json else PlacedWords(row).lines())
        if args.write is not None:
            chosen = row.places if row.together else row.places[args.write - 1 : args.write]
            if not chosen or args.write < 1:
                raise CoamingError(f"There is no place {args.write}: nothing was written")
            lines.append(write_sets(args.job, [s for p in chosen for s in p.sets]))
        return IN_ORDER if row.places and not row.left else NOT_IN_ORDER

    code = working(args, ended, work)
    _print(lines, args.json)
    return code


def _arrange(args: argparse.Namespace, ended: Ended) -> int:
    lines: list[str] = []

    def work(asks: "Asks") -> int:
        from layout.job import read_job
        from viewer.words.arranged import ArrangedWords
        from viewer.work.arranged import arranged, called

        files = read_job(args.job)
        row = arranged(files, args.board, asks, args.aim)
        words = ArrangedWords(row, *called(files, row))
        if args.json:
            lines.append(row.model_dump_json(indent=1))
            return IN_ORDER if row.boards else NOT_IN_ORDER
        if args.plates:
            lines.extend(words.plates())
            return IN_ORDER if row.plates else NOT_IN_ORDER
        lines.extend([words.heading(), *words.lines()])
        if args.write:
            lines.append(_written(args.job, row))
        return IN_ORDER if row.boards else NOT_IN_ORDER

    code = working(args, ended, work, whole=False)
    _print(lines, args.json)
    return code


def _print(lines: list[str], plainly: bool) -> None:
    """What was found, on the output; JSON as it is."""
    sys.stdout.write("\n".join(x if plainly else one_line(x) for x in lines) + "\n")


def _written(path: Path, row: "ArrangedRow") -> str:
    """Put an arrangement into the job file; what is told of it."""
    if len(row.boards) > 1:
        return "Nothing was written: two boards are yours to name; move the parts told above."
    if not row.boards:
        return "Nothing was written: there is nothing that goes in."
    if row.boards[0].afterwards:
        return "Nothing was written: make the parts told above pieces of their own first."
    return write_sets(path, row.sets)


def write_sets(path: Path, sets: Any) -> str:
    """Put some values into a job file, all or none, where the file then still reads."""
    from viewer.files import write_bytes
    from viewer.page.edits.changes import Change, changed_text, plain

    text = path.read_text(encoding="utf-8")
    changes = [Change(path=tuple(p), value=plain(v)) for p, v in sets]
    after = changed_text(text, changes)
    if path.read_text(encoding="utf-8") != text:
        raise CoamingError(f"{path.name}: it was changed meanwhile, and is left alone: try again")
    write_bytes(path, after.encode("utf-8"))
    return f"Written into {path.name}. Now: coaming check {path.name}"
