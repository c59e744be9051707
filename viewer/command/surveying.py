"""The survey: a sheet and a table to take to the boat, read back; what to measure again."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from viewer.command.running import BAD_INPUT, IN_ORDER, Ended, say, working

if TYPE_CHECKING:
    from viewer.work.session import Asks

Command = Callable[..., argparse.ArgumentParser]


def add(command: Command) -> None:
    """Add the command to the line."""
    c = command("survey", "a measuring sheet to take to the boat, and read back", survey)
    c.add_argument(
        "job", type=Path, nargs="?", help="the hull or job file, .toml; none for a blank sheet"
    )
    c.add_argument("-o", "--out", type=Path, help="the folder to write into")
    c.add_argument("--read", type=Path, metavar="TABLE", help="a table filled in, CSV or xlsx")
    c.add_argument("--again", action="store_true", help="which few sizes to measure again")
    c.add_argument(
        "--blank", nargs="+", metavar="KIND", default=[],
        help="kinds of space of a boat not seen yet: locker, door, pedestal, dash, duct, engine, "
        "bilge, mast",
    )  # fmt: skip
    c.set_defaults(work=1.0, seconds=None, fresh=False)


def survey(args: argparse.Namespace, ended: Ended) -> int:
    """Write, read back, or say what to measure again."""
    if args.blank:
        return _blank(args)
    if args.job is None:
        return say("Name the hull or job file, or the kinds of space after --blank.", BAD_INPUT)
    if args.read is None and args.out is None and not args.again:
        return say("Name the folder to write into: -o DIR.", BAD_INPUT)
    from viewer.work.hull_alone import is_hull, job_for, jobs_on

    if args.again and is_hull(args.job) and not jobs_on(args.job):
        text = "What to measure again follows from a job on this boat: there is none beside it."
        return say(text, BAD_INPUT)
    with job_for(args.job) as job:
        if args.read is not None:
            return _read(job, args.read)
        return _again(job, args, ended) if args.again else _write(job, args.out)


def _write(job: Path, out: Path) -> int:
    from viewer.files import csv_bytes, write_folder
    from viewer.page.panels.papers.blank import sheet_of
    from viewer.page.survey import as_workbook, desk_of, rows_to_fill
    from viewer.sheets.measuring import measuring_pdf

    row = desk_of(job)  # what decides is known once the job has been worked out
    rows = rows_to_fill(row)
    files = {
        "measuring_sheet.pdf": measuring_pdf(sheet_of(row)),
        "sizes.csv": csv_bytes(rows),
        "sizes.xlsx": as_workbook(rows),
    }
    write_folder(out, files)
    sys.stdout.write("".join(f"{out / name}\n" for name in files))
    return IN_ORDER


def _blank(args: argparse.Namespace) -> int:
    from layout.errors import CoamingError, nearest, one_line
    from viewer.files import write_folder
    from viewer.sheets.blank import KINDS, blank_sheet
    from viewer.sheets.measuring import measuring_pdf

    wrong = [k for k in args.blank if k not in KINDS]
    if wrong:
        near = nearest(wrong[0], list(KINDS))
        hint = f"did you mean {near}? " if near else ""
        raise CoamingError(
            f"--blank: found {one_line(', '.join(wrong))}; {hint}there are {', '.join(KINDS)}"
        )
    if args.out is None:
        return say("Name the folder to write into: -o DIR.", BAD_INPUT)
    write_folder(args.out, {"measuring_sheet.pdf": measuring_pdf(blank_sheet(args.blank))})
    sys.stdout.write(f"{args.out / 'measuring_sheet.pdf'}\n")
    return IN_ORDER


def _read(job: Path, table: Path) -> int:
    from layout.errors import one_line
    from viewer.page.survey import read_back
    from viewer.work.records import rows_of

    told = read_back(job, table, rows_of(table))
    told = told or ["Nothing is filled in: write what was found into the column found."]
    sys.stdout.write("".join(f"{one_line(t)}\n" for t in told))
    return IN_ORDER


def _again(job: Path, args: argparse.Namespace, ended: Ended) -> int:
    lines: list[str] = []

    def work(asks: "Asks") -> int:
        from layout.boat.reader import Reader, sizes_of
        from layout.job import read_job
        from viewer.words.measure_again import again_lines, again_of
        from viewer.words.names import Names
        from viewer.work.session import Session

        result = Session(job).answer(asks)
        files = read_job(job)
        wanted = Reader(files, sizes_of(files, [])).mm(files.job.job.clearance, "job.clearance", 0)
        lines.extend(again_lines(result, Names(result), again_of(result, wanted)))
        return IN_ORDER

    code = working(args, ended, work)
    sys.stdout.write("\n".join(lines) + "\n")
    return code
