"""The commands that answer for a job and write its papers."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from layout.errors import one_line
from viewer.command.running import (
    IN_ORDER,
    NOT_IN_ORDER,
    Ended,
    code_of,
    console,
    working,
)

if TYPE_CHECKING:
    from viewer.work.rows import Result
    from viewer.work.session import Asks


def check(args: argparse.Namespace, ended: Ended) -> int:
    """Work a job out and print a short table, or the whole result."""

    kept: list[Result] = []

    def work(asks: "Asks") -> int:
        from viewer.work.session import Session

        kept.append(Session(args.job).answer(asks))
        return code_of(kept[0])

    code = working(args, ended, work)
    if args.json:
        from viewer.work.saved import json_text

        sys.stdout.write(json_text(kept[0]))
    else:
        from viewer.words.terminal import print_result

        print_result(kept[0], console())
    return code


def book(args: argparse.Namespace, ended: Ended) -> int:
    """Write the job's book."""

    def work(asks: "Asks") -> int:
        from viewer.sheets.writing import write_book
        from viewer.work.session import Session

        session = Session(args.job)
        result = session.answer(asks)
        result = session.remedied(session.stuck(result), asks)
        for path in write_book(result, args.out, asks.told, args.moving):
            sys.stdout.write(f"{path}\n")
        return code_of(result)

    return working(args, ended, work)


def bench(args: argparse.Namespace, ended: Ended) -> int:
    """Write every board's bench papers."""

    def work(asks: "Asks") -> int:
        from viewer.sheets.bench.writing import write_bench
        from viewer.work.session import Session

        session = Session(args.job)
        result = session.nested(asks)
        for path in write_bench(result, args.out, asks.told):
            sys.stdout.write(f"{path}\n")
        return code_of(result)

    return working(args, ended, work)


def remedy(args: argparse.Namespace, ended: Ended) -> int:
    """What would make a board or piece go in."""
    lines: list[str] = []

    def work(asks: "Asks") -> int:
        from viewer.words.names import Names
        from viewer.words.pieces import PieceWords
        from viewer.work.session import find_remedies

        result, key = find_remedies(args.job, args.piece, asks, args.up_to)
        row = result.piece(key)
        words = PieceWords(result, row, Names(result))
        if not row.remedies:
            lines.append(
                f"{words.label}: nothing tried makes it go; choose another way in or place."
            )
            return NOT_IN_ORDER
        goes = (
            "goes in. How large it may be, each way alone, with a proven way"
            if row.verdict == "goes in"
            else "goes in with any one of these, each with a proven way"
        )
        lines.append(f"{words.label} {goes}:")
        lines.extend(f"  {words.remedy(r)}" for r in row.remedies)
        return IN_ORDER

    code = working(args, ended, work)
    sys.stdout.write("\n".join(one_line(x) for x in lines) + "\n")
    return code


def compare(args: argparse.Namespace, ended: Ended) -> int:
    """What changed between two jobs or results."""
    from viewer.words.compare import changes
    from viewer.work.saved import load_result

    args.work, args.seconds, args.fresh = 1.0, None, False
    results = []
    for path in (args.before, args.after):
        found = load_result(path)
        if found is None:
            kept: list[Result] = []

            def work(asks: "Asks", path: Path = path, kept: "list[Result]" = kept) -> int:
                from viewer.work.session import Session

                kept.append(Session(path).answer(asks))
                return IN_ORDER

            args.job = path
            working(args, ended, work)
            found = kept[0]
        results.append(found)
    told = changes(*results)
    sys.stdout.write("\n".join(one_line(x) for x in told or ["Nothing changed."]) + "\n")
    return IN_ORDER if not told else NOT_IN_ORDER
