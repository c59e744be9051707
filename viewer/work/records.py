"""Hours of done jobs, read back from the lists a shop filled in: CSV or xlsx."""

import csv
import io
from pathlib import Path
from typing import Any, Final

from layout.errors import Finding, JobError, one_line, shown
from routing.estimate.learning import Record

WANTED: Final = ("job", "task", "planned_h", "took_h")
MOST_BYTES: Final = 5_000_000


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a table by its head, every cell as text. Raises JobError."""
    name = one_line(path.name)

    def bad(found: str, hint: str) -> JobError:
        return JobError([Finding(name, "the file", found, "a table, CSV or xlsx", hint)])

    try:
        if path.stat().st_size > MOST_BYTES:
            raise bad(f"{path.stat().st_size:,} bytes", "a list of hours is far smaller")
        data = path.read_bytes()
    except OSError as e:
        raise bad(f"a file that cannot be read ({e.strerror})", "check its name") from None
    return _xlsx(data, bad) if path.suffix.lower() == ".xlsx" else _csv(data, bad)


def _csv(data: bytes, bad: Any) -> list[dict[str, str]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = data.decode("cp1252")  # what office programs write
        except UnicodeDecodeError:
            raise bad("text in no known letters", "save it as CSV UTF-8") from None
    head = text.split("\n", 1)[0]
    sign = ";" if head.count(";") > head.count(",") else ","
    rows = list(csv.reader(io.StringIO(text), delimiter=sign))
    return _by_head(rows)


def _xlsx(data: bytes, bad: Any) -> list[dict[str, str]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except (BadZipFile, InvalidFileException, KeyError, ValueError, OSError):
        raise bad("a file that is no workbook", "save it as xlsx or CSV") from None
    sheet = book.worksheets[0]
    rows = [["" if c is None else str(c) for c in row] for row in sheet.iter_rows(values_only=True)]
    return _by_head(rows)


def _by_head(rows: list[list[str]]) -> list[dict[str, str]]:
    if not rows:
        return []
    head = [h.strip() for h in rows[0]]
    return [
        {h: c.strip().lstrip("'") for h, c in zip(head, row, strict=False)}
        for row in rows[1:]
        if any(c.strip() for c in row)
    ]


def records_of(paths: list[Path]) -> list[Record]:
    """Every line whose hours were written in. Raises JobError with every problem of all files."""
    out: list[Record] = []
    findings: list[Finding] = []
    for path in paths:
        name = one_line(path.name)
        try:
            rows = rows_of(path)
        except JobError as e:
            findings += e.findings
            continue
        missing = [w for w in WANTED if not rows or w not in rows[0]]
        if missing:
            wanted = ", ".join(WANTED)
            findings.append(
                Finding(name, "its head", ", ".join(list(rows[0])[:8]) if rows else "nothing",
                        f"the columns {wanted}", "fill in hours.csv as coaming work wrote it")
            )  # fmt: skip
            continue
        for n, row in enumerate(rows, start=2):
            took = row["took_h"].replace(",", ".")
            if not took:
                continue
            try:
                real, planned = float(took), float(row["planned_h"].replace(",", "."))
                if real < 0 or planned < 0 or real > 1000:
                    raise ValueError
            except ValueError:
                findings.append(
                    Finding(name, f"row {n}, took_h", shown(row["took_h"]), "hours, like 1.5", "")
                )
                continue
            out.append(Record(row["job"], row["task"], planned, real))
    if findings:
        raise JobError(findings)
    return out
