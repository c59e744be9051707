"""The command line: check, book, schema, demo."""

import argparse
import json
import signal
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console

from layout.errors import CoamingError, JobError, Stopped
from viewer.files import write_text

if TYPE_CHECKING:
    from viewer.work.result import JobResult

WELL, NOT_WELL, BAD_INPUT, STOPPED = 0, 1, 2, 130


def parser() -> argparse.ArgumentParser:
    """The commands and their options."""
    p = argparse.ArgumentParser(
        prog="coaming",
        description="Will this gear go through that hatch, stand clear, and be wired by cable of known length and size?",
    )
    sub = p.add_subparsers(dest="command", required=True)
    check = sub.add_parser("check", help="work a job out and print a short table")
    check.add_argument("job", type=Path, help="the job file, .toml")
    check.add_argument("--json", action="store_true", help="print the whole result as JSON")
    check.add_argument(
        "--seconds", type=float, default=None, help="most seconds for each way in (usual: 8)"
    )
    check.set_defaults(run=_check)
    book = sub.add_parser("book", help="write the job's book: pictures, moves, circuits, cut list")
    book.add_argument("job", type=Path, help="the job file, .toml")
    book.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    book.add_argument(
        "--seconds", type=float, default=None, help="most seconds for each way in (usual: 8)"
    )
    book.set_defaults(run=_book)
    remedy = sub.add_parser("remedy", help="what would make a board or item go in")
    remedy.add_argument("job", type=Path, help="the job file, .toml")
    remedy.add_argument("thing", help="the board's or item's name in the job file")
    remedy.add_argument(
        "--seconds", type=float, default=0.5, help="most seconds for each try (usual: 0.5)"
    )
    remedy.set_defaults(run=_remedy)
    schema = sub.add_parser(
        "schema", help="write JSON Schemas, so that an editor completes the keys"
    )
    schema.add_argument("-o", "--out", type=Path, required=True, help="the folder to write into")
    schema.set_defaults(run=_schema)
    return p


def main(argv: list[str] | None = None) -> int:
    """Run a command. 0: all is well, 1: something does not go or is not settled, 2: bad input."""
    args = parser().parse_args(argv)
    err = Console(stderr=True, highlight=False)
    stopping = threading.Event()

    def stop(_signal: int, _frame: object) -> None:
        stopping.set()
        raise KeyboardInterrupt

    before = (
        signal.signal(signal.SIGTERM, stop)
        if threading.current_thread() is threading.main_thread()
        else None
    )
    try:
        return int(args.run(args, err, stopping.is_set))
    except JobError as e:
        err.print(
            f"{len(e.findings)} thing{'s' if len(e.findings) != 1 else ''} to put right:",
            markup=False,
        )
        for f in e.findings:
            err.print("  " + f.line(), markup=False, soft_wrap=True)
        return BAD_INPUT
    except Stopped as e:
        err.print(str(e), markup=False, soft_wrap=True)
        return STOPPED
    except CoamingError as e:
        err.print(str(e), markup=False, soft_wrap=True)
        return BAD_INPUT
    except KeyboardInterrupt:
        err.print("Stopped; nothing half-written was left behind.", markup=False)
        return STOPPED
    except OSError as e:
        err.print(
            f"{e.filename or 'a file'}: {e.strerror or e}: check the folder and who may write there.",
            markup=False,
        )
        return BAD_INPUT
    finally:
        if before is not None:
            signal.signal(signal.SIGTERM, before)


def _work(
    args: argparse.Namespace,
    err: Console,
    stop: Callable[[], bool],
    then: "Callable[[JobResult, Callable[[str], None]], int]",
    with_remedies: bool = False,
) -> int:
    """Work the job out with its progress shown, then do `then` with the result, still showing it."""
    from viewer.work.result import work_out

    with err.status("reading the files", spinner="line") as status:

        def told(what: str) -> None:
            status.update(f"working on {what}".replace("[", "("))

        return then(work_out(args.job, told, args.seconds, stop, with_remedies), told)


def _check(args: argparse.Namespace, err: Console, stop: Callable[[], bool]) -> int:
    from viewer.words.table import print_result
    from viewer.work.result import JobResult, as_json

    kept: list[JobResult] = []

    def keep(result: JobResult, _told: Callable[[str], None]) -> int:
        kept.append(result)
        return WELL if result.well else NOT_WELL

    code = _work(args, err, stop, keep)
    if args.json:
        sys.stdout.write(json.dumps(as_json(kept[0]), ensure_ascii=False, indent=1) + "\n")
    else:
        print_result(kept[0], Console(highlight=False, width=None if sys.stdout.isatty() else 140))
    return code


def _book(args: argparse.Namespace, err: Console, stop: Callable[[], bool]) -> int:
    from viewer.sheets.book import write_book
    from viewer.work.result import JobResult

    def write(result: JobResult, told: Callable[[str], None]) -> int:
        for p in write_book(result, args.out, told):
            print(p)
        return WELL if result.well else NOT_WELL

    return _work(args, err, stop, write, with_remedies=True)


def _remedy(args: argparse.Namespace, err: Console, stop: Callable[[], bool]) -> int:
    from viewer.work.result import find_remedies

    del stop
    with err.status("reading the files", spinner="line") as status:
        label, found = find_remedies(
            args.job,
            args.thing,
            args.seconds,
            lambda what: status.update(f"trying {what}".replace("[", "(")),
        )
    if not found:
        print(f"{label}: nothing tried makes it go; choose another way in or another place.")
        return NOT_WELL
    print(f"{label} goes in with any one of these, each with a proven way:")
    for r in found:
        print(f"  {r.what}")
    return WELL


def _schema(args: argparse.Namespace, err: Console, stop: Callable[[], bool]) -> int:
    from layout.job import HullFile, JobFile

    del err, stop
    args.out.mkdir(parents=True, exist_ok=True)
    for name, model in (("hull.schema.json", HullFile), ("job.schema.json", JobFile)):
        path = args.out / name
        write_text(path, json.dumps(model.model_json_schema(by_alias=True), indent=1) + "\n")
        print(path)
    return WELL


if __name__ == "__main__":
    sys.exit(main())
