"""The measuring sheet as a table to fill, and read back: the same sizes the page shows."""

import io
from datetime import date
from pathlib import Path
from typing import Any, Final

import xlsxwriter

from layout.errors import CoamingError, Finding, JobError, SizeError, one_line, shown
from viewer.files import write_text
from viewer.page.dimensions import Dimension, Reckoner, dimensions_of, measure_of, written_measure
from viewer.page.drawn import Now, desk_row
from viewer.page.edits.changes import Change, changed_text
from viewer.page.reading import Look, look_at, look_at_texts, tables_of
from viewer.page.wire import DeskRow, DimensionRow, SizeRow
from viewer.work.saved import latest

HEAD: Final = ("number", "key", "size", "now_mm", "plus_minus_mm", "how_taken", "measure_anew",
               "found", "found_plus_minus", "found_how", "by")  # fmt: skip
WIDTHS: Final = (8, 30, 46, 10, 12, 18, 12, 14, 14, 16, 10)
SAME_MM: Final = 0.5
NAMED: Final = "size:"  # a size by its own name in the files
TO_FILL: Final = 7  # the first column a person fills


def desk_of(path: Path) -> DeskRow:
    """Everything the page would show of a job's boat. Raises JobError."""
    look = look_at(path)
    if look.boat is None or look.files is None:
        raise JobError(list(look.findings))
    job, hull = (tables_of(p) for p in (look.files.job_path, look.files.hull_path))
    saved = latest(path)
    pieces = saved.result.pieces if saved is not None else ()
    deciding = frozenset(d.key for p in pieces for d in p.deciding_sizes)
    now = Now(path.name, look.files.hull_path.name, job, hull, "", "", "", "", "", deciding)
    return desk_row(now, look)


def rows_to_fill(row: DeskRow) -> list[list[object]]:
    """The table, the sizes that matter most first."""
    out: list[list[object]] = [list(HEAD)]
    told: list[tuple[str, str, SizeRow | DimensionRow]] = [
        (f"{NAMED}{s.key.partition('.')[2]}", words, s) for words, s in named_sizes(row)
    ]
    drawn = sorted(row.dimensions, key=lambda d: d.rank)
    told += [(d.key, size_words(row, d), d) for d in drawn]
    for n, (key, words, d) in enumerate(told, start=1):
        anew = "" if d.verified or not d.how else "yes"
        out.append([n, key, words, round(d.mm, 1), round(d.plus_minus_mm, 1) or None,
                    d.how or None, anew or None, None, None, None, None])  # fmt: skip
    return out


def _name(row: DeskRow, d: DimensionRow) -> str:
    """The name a distance has in the files: that of a size that is as long as it."""
    mine = (s for s in row.sizes if s.key == f"sizes.{d.size_key}" and abs(s.mm - d.mm) < SAME_MM)
    return d.size_key if next(mine, None) is not None else ""


def size_words(row: DeskRow, d: DimensionRow) -> str:
    """A distance in words, with its name in the files where it has one."""
    name = _name(row, d).replace("_", " ")
    return f"{d.words} ({name})" if name else d.words


def named_sizes(row: DeskRow) -> list[tuple[str, SizeRow]]:
    """Sizes the files name that no distance is by itself: they stand in sums, and may decide."""
    alone = {_name(row, d) for d in row.dimensions}
    out = []
    for s in row.sizes:
        name = s.key.removeprefix("sizes.")
        if name != s.key and not s.worked_out and name not in alone:
            out.append((f"{name.replace('_', ' ')}, as the {s.file} file names it", s))
    return out


def as_workbook(rows: list[list[object]]) -> bytes:
    """The table as a workbook; text is always text."""
    import datetime as dt

    out = io.BytesIO()
    book: Any = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False})
    book.set_properties({"created": dt.datetime(1980, 1, 1), "author": "coaming"})
    bold, fill = book.add_format({"bold": True, "bottom": 1}), book.add_format({"border": 1})
    sheet = book.add_worksheet("Sizes")
    for c, width in enumerate(WIDTHS):
        sheet.set_column(c, c, width)
    for r, row in enumerate(rows):
        for c, cell in enumerate(row):
            style = bold if r == 0 else fill if c >= TO_FILL else None
            if isinstance(cell, int | float):
                sheet.write_number(r, c, cell, style)
            else:
                sheet.write_string(r, c, "" if cell is None else str(cell), style)
    sheet.freeze_panes(1, 3)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    book.close()
    return out.getvalue()


def read_back(path: Path, table: Path, rows: list[dict[str, str]]) -> list[str]:
    """Write what a person filled in into the hull (or the job, for its own sizes); what was
    written, in words. Raises JobError with every problem and nothing written, CoamingError.
    """
    look = look_at(path)
    if look.boat is None or look.files is None or look.builder is None:
        raise JobError(list(look.findings))
    reader = _Reader(look, table)
    for n, row in enumerate(rows, start=2):
        reader.take(n, row)
    if reader.findings:
        raise JobError(reader.findings)
    reader.write()
    return reader.words


def _record(by: str) -> dict[str, str | bool]:
    """Who took a size, and when."""
    return {**({"by": by} if by else {}), "on": date.today().isoformat(), "verified": True}


class _Reader:
    """Takes the filled rows one after the other."""

    def __init__(self, look: Look, table: Path) -> None:
        files = look.files
        if files is None or look.builder is None or look.boat is None:
            raise CoamingError("The files need putting right first")
        self.files, self.builder, self.table = files, look.builder, one_line(table.name)
        self.texts = {
            p: p.read_text(encoding="utf-8-sig") for p in (files.job_path, files.hull_path)
        }
        self.hull = tables_of(files.hull_path)
        self.job = tables_of(files.job_path)
        self.by_key = {d.key: d for d in dimensions_of(look.boat)}
        self.reckoner = Reckoner(self.hull, self.builder.sizes)
        self.hull_changes: list[Change] = []
        self.job_changes: list[Change] = []
        self.findings: list[Finding] = []
        self.words: list[str] = []

    def take(self, n: int, row: dict[str, str]) -> None:
        """One row; what is wrong in it is noted."""
        value = row.get("found", "").strip()
        if not value:
            return
        key = row.get("key", "")
        name = key.removeprefix(NAMED)
        named = name != key and (name in self.hull.get("sizes", {}) or name in self.job.get(
            "sizes", {}))  # fmt: skip
        found = self.by_key.get(key)
        if found is None and not named:
            what = shown(row.get("key", ""))
            self._say(n, "key", what, "a key as the sheet was written", "leave that column alone")
            return
        ways = self.builder.sizes.plus_minus
        try:
            text = written_measure(
                value, row.get("found_plus_minus", ""), row.get("found_how", "").strip(), ways
            )
            measure_of(text, ways)
            if found is None:
                self._named(name, text, row.get("by", "").strip())
            else:
                self._change(found, text, row.get("by", "").strip())
        except (CoamingError, SizeError) as e:
            self._say(n, "found", shown(value), "a length, like 430 or 16 15/16 in", str(e))

    def _named(self, name: str, text: str, by: str) -> None:
        """A size by its name in the job or hull file."""
        if name in self.job.get("sizes", {}):
            self.job_changes.append(Change(path=("sizes", name), value=text))
        else:
            record = Change(path=("measured", name), value=_record(by))
            self.hull_changes += [Change(path=("sizes", name), value=text), record]
        self.words.append(f"{name.replace('_', ' ')}: {text}")

    def _change(self, d: Dimension, text: str, by: str) -> None:
        own = self.reckoner.alone(d, self.reckoner.found(d))
        if own and own in self.job.get("sizes", {}):
            self.job_changes.append(Change(path=("sizes", own), value=text))
        else:
            changes, key = self.reckoner.written(d, text)
            self.hull_changes += [*changes, Change(path=("measured", key), value=_record(by))]
        self.words.append(f"{d.words}: {text}")

    def _say(self, n: int, key: str, found: str, expected: str, hint: str) -> None:
        self.findings.append(Finding(self.table, f"row {n}, {key}", found, expected, hint))

    def write(self) -> None:
        """Write both files, when what they would say can be built."""
        job, hull = self.files.job_path, self.files.hull_path
        after = {
            job: changed_text(self.texts[job], self.job_changes),
            hull: changed_text(self.texts[hull], self.hull_changes),
        }
        look = look_at_texts(job.name, after[job], hull.name, after[hull], job.parent)
        if look.findings:
            raise JobError(list(look.findings))
        for path, text in after.items():
            if text != self.texts[path]:
                write_text(path, text)
