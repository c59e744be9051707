"""Read a job file and the hull it names; every problem is found before the first is told.

What is wrong in a table is taken out of it and the rest is read on, so that one slip does not hide
the next: neither here nor in what is built from the files.
"""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from layout.errors import Finding, JobError, did_you_mean, nearest, one_line, shown
from layout.job.built import Mark, marks_beside
from layout.job.expected import expected_words, key_words
from layout.job.hull_file import HullFile
from layout.job.job_file import JobFile, SheetModel, StockModel
from layout.job.shop_models import ShelfFile, ShopFile
from layout.job.toml_lines import line_of, lines_of
from layout.job.type_models import TypeModel

SHELF_LABEL: Final = "shelf"  # what lies on the shop's shelf is called so in stock
MAX_BYTES: Final = 2_000_000
MAX_NESTING: Final = 40  # brackets within brackets: no key needs more than five
MAX_ROUNDS: Final = 60  # of taking out what is wrong and reading again
Model = TypeVar("Model", bound=BaseModel)

# what keys were called before, by the table they stand in ("" for the file itself): still read
FORMER_NAMES: Final = {
    "": {"items": "types", "gear": "pieces"},
    "pieces": {"item": "type"},
    "parts": {"item": "type"},
    "circuits": {"head": "plug"},
    "job": {"looms": "share_runs"},
}
# what stands in for a head's key that is missing or wrong, so that the rest can be looked at
HEADS: Final[dict[Any, dict[Any, Any]]] = {
    "job": {"name": "?", "hull": "?"},
    "hull": {"name": "?", "length": 30_000.0, "beam": 10_000.0},
}
# what is told to who names the other kind of file
KIND_WORDS: Final = {
    "a job file": "name the job that goes into that boat",
    "a hull file": "[job] hull names the boat's own file",
}
FORMER_TYPES: Final = {"plotter_9": "plotter_flush"}


@dataclass(frozen=True, slots=True)
class JobFiles:
    """A job, its hull and the types of gear it may use, as read and checked.

    `findings` are problems of the files themselves; `dropped` are the keys that were taken out for
    them, so that what refers to them is not told as a second problem.
    """

    job: JobFile
    hull: HullFile
    types: dict[str, TypeModel]
    job_path: Path
    hull_path: Path
    findings: tuple[Finding, ...] = ()
    dropped: frozenset[str] = frozenset()
    shop: ShopFile = field(default_factory=ShopFile)
    shelf: ShelfFile = field(default_factory=ShelfFile)
    beside: tuple[Path, ...] = ()  # the shop's and the shelf's file, where the job names them
    marks: tuple[Mark, ...] = ()  # what was done and measured on the boat
    lines: dict[str, dict[tuple[str, ...], int]] = field(default_factory=dict)

    def line(self, file: str, key: str) -> int:
        """The line of a file a key stands on; 0 where that is not known."""
        return line_of(self.lines.get(file, {}), key)


@dataclass(slots=True)
class _Raw:
    """The raw tables of one TOML file, and where its keys stand."""

    path: Path
    tables: dict[str, Any]
    lines: dict[tuple[str, ...], int]
    former: list[str] = field(default_factory=list)


def _text_of(path: Path, wanted: str) -> str:
    """The text of a file. Raises JobError."""

    def bad(found: str, hint: str) -> JobError:
        name = one_line(path.name or str(path))
        return JobError([Finding(name, "the file", found, wanted, hint)])

    try:
        if path.is_dir():
            raise bad("a folder", "name the .toml file inside it")
        if not path.exists():
            near = nearest(path.name, _beside(path))
            hint = f"did you mean {one_line(near)}?" if near else "check the name and the folder"
            raise bad("nothing there", hint)
        if not path.is_file():
            raise bad("a device, pipe or socket", "name an ordinary .toml file")
        if path.stat().st_size > MAX_BYTES:
            raise bad(f"{path.stat().st_size:,} bytes", "a job file is far smaller than 2 MB")
        data = path.read_bytes()
    except (OSError, ValueError) as e:
        why = getattr(e, "strerror", None) or "its name is not one a file can have"
        raise bad(f"a file that cannot be read ({why})", "check who may read it") from None
    try:
        text = data.decode("utf-8-sig")  # editors put a mark before the first letter
    except UnicodeDecodeError:
        raise bad("text that is not UTF-8", "save it as UTF-8 in your editor") from None
    if not text.strip():
        raise bad("an empty file", "start from one of the demo files")
    return text


def _nesting(text: str) -> int:
    """How deep brackets stand within brackets, whatever they hold."""
    depth = deepest = 0
    for letter in text:
        if letter in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif letter in "]}":
            depth = max(0, depth - 1)
    return deepest


def _load(path: Path, wanted: str) -> _Raw:
    """The raw tables of a TOML file. Raises JobError."""
    text = _text_of(path, wanted)

    def bad(found: str, hint: str) -> JobError:
        return JobError([Finding(one_line(path.name), "the file", found, wanted, hint)])

    if _nesting(text) > MAX_NESTING:
        raise bad("brackets nested too deep", "no key needs more than a list of lengths")
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as e:
        hint = "look at that line: a quote, bracket or = is out of place"
        raise bad(f"text that is not TOML: {one_line(str(e))}", hint) from None
    except (ValueError, RecursionError):
        raise bad("a number of thousands of digits", "write lengths as people do") from None
    found = "a hull file" if "hull" in tables and "job" not in tables else "a job file"
    if {"hull", "job"} & tables.keys() and found != wanted and wanted in KIND_WORDS:
        raise bad(found, KIND_WORDS[wanted])
    return _Raw(path, tables, lines_of(text))


def _beside(path: Path) -> list[str]:
    return [p.name for p in list(path.parent.glob("*.toml"))[:200]] if path.parent.is_dir() else []


def _rename(raw: _Raw) -> None:
    """Give keys and types that were renamed their present names, in place."""

    def renamed(table: Any, names: dict[str, str]) -> None:
        for old, new in names.items():
            if isinstance(table, dict) and old in table and new not in table:
                table[new] = table.pop(old)
                raw.former.append(f"{old} is now {new}")

    renamed(raw.tables, FORMER_NAMES[""])
    renamed(raw.tables.get("job"), FORMER_NAMES["job"])
    for group in ("pieces", "circuits"):
        for table in _tables(raw.tables.get(group)):
            renamed(table, FORMER_NAMES[group])
    placed = [*_tables(raw.tables.get("pieces"))]
    for board in _tables(raw.tables.get("boards")):
        for part in _tables(board.get("parts")):
            renamed(part, FORMER_NAMES["parts"])
            placed.append(part)
    for table in placed:
        old = table.get("type")
        if isinstance(old, str) and old in FORMER_TYPES:
            table["type"] = FORMER_TYPES[old]
            raw.former.append(f"type {old} is now {FORMER_TYPES[old]}")


def _tables(group: Any) -> Iterator[dict[str, Any]]:
    for table in group.values() if isinstance(group, dict) else ():
        if isinstance(table, dict):
            yield table


def _take_out(tables: dict[str, Any], loc: tuple[int | str, ...]) -> str:
    """Take what is wrong out of the raw tables; the key of what went, empty when nothing did.

    For a key that is missing, what goes is the table that should have held it. The heads of the
    two files stay, with something in place of what is missing.
    """
    if len(loc) == 2 and loc[0] in HEADS and loc[1] in HEADS[loc[0]]:
        head = tables.setdefault(str(loc[0]), {})
        if isinstance(head, dict) and head.get(loc[1]) != HEADS[loc[0]][loc[1]]:
            head[loc[1]] = HEADS[loc[0]][loc[1]]
            return f"{loc[0]}.{loc[1]}"
    steps: list[tuple[Any, int | str]] = []
    here: Any = tables
    for step in loc:
        inside = isinstance(here, dict) and step in here
        if inside or (isinstance(here, list) and isinstance(step, int) and step < len(here)):
            steps.append((here, step))
            here = here[step]
    while steps and isinstance(steps[-1][0], list):
        steps.pop()  # a list with one entry less is another place: the whole list goes
    if not steps:
        return ""
    holder, name = steps[-1]
    del holder[name]
    return ".".join(str(x) for _, x in steps)


def _check(model: type[Model], raw: _Raw) -> tuple[Model | None, list[Finding], set[str]]:
    """(the tables less what is wrong in them, every problem, the keys that were taken out)."""
    found: dict[str, Finding] = {}
    dropped: set[str] = set()
    tables = raw.tables
    for _ in range(MAX_ROUNDS):
        try:
            return model.model_validate(tables), list(found.values()), dropped
        except ValidationError as e:
            gone = False
            for error in e.errors(include_url=False):
                f = _finding(error, raw, model)
                known = found.get(f.key)
                if known is None or ("length" in f.expected and "length" not in known.expected):
                    found[f.key] = f
            for error in e.errors(include_url=False):
                key = _take_out(tables, error["loc"])
                if key:
                    dropped.add(key)
                    gone = True
            if not gone:
                return None, list(found.values()), dropped
        except RecursionError:
            break
    return None, list(found.values()), dropped


def _finding(error: Any, raw: _Raw, model: type[BaseModel]) -> Finding:
    key = key_words(error["loc"])
    expected, hint = expected_words(error)
    value = "nothing" if error["type"] == "missing" else shown(error["input"])
    if error["type"] == "extra_forbidden":
        value = f"the key {shown(str(error['loc'][-1]))}"
        hint = did_you_mean(str(error["loc"][-1]), _all_keys(model))
    file = one_line(raw.path.name)
    label = _label_at(raw.tables, error["loc"])
    return Finding(file, key, value, expected, hint, line_of(raw.lines, key), label)


def _label_at(tables: Any, loc: tuple[int | str, ...]) -> str:
    """The label of the innermost table round a place."""
    label, here = "", tables
    for step in loc:
        if isinstance(here, dict):
            text = here.get("label")
            label = text if isinstance(text, str) and text else label
            here = here.get(step)
        else:
            break
    return label[:60]


@cache
def _all_keys(model: type[BaseModel]) -> tuple[str, ...]:
    schema = model.model_json_schema()
    keys = set(schema.get("properties", {}))
    for d in schema.get("$defs", {}).values():
        keys |= set(d.get("properties", {}))
    return tuple(sorted(keys))


@cache
def standard_types() -> dict[str, TypeModel]:
    """The types of gear that come with coaming."""
    text = resources.files("layout.job").joinpath("gear.toml").read_text(encoding="utf-8")
    return TypeAdapter(dict[str, TypeModel]).validate_python(tomllib.loads(text))


def _path_beside(raw: _Raw, key: str) -> tuple[Path | None, list[Finding]]:
    """(the file a job's head names under a key, what is wrong with that name)."""
    head = raw.tables.get("job")
    name = head.get(key) if isinstance(head, dict) else None
    if not isinstance(name, str) or not name:
        return None, []
    odd = Path(name).is_absolute() or ".." in Path(name).parts or "\x00" in name
    if odd:
        hint = f"copy the {key} file into the job's folder"
        line = line_of(raw.lines, f"job.{key}")
        file = one_line(raw.path.name)
        found = Finding(file, f"job.{key}", shown(name), "a file beside the job file", hint, line)
        return None, [found]
    return raw.path.parent / name, []


@dataclass(slots=True)
class _Beside:
    """The files a job names beside its hull, and what is wrong in them."""

    shop: ShopFile = field(default_factory=ShopFile)
    shelf: ShelfFile = field(default_factory=ShelfFile)
    paths: list[Path] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    lines: dict[str, dict[tuple[str, ...], int]] = field(default_factory=dict)

    def read(self, raw: _Raw) -> None:
        """Read both, where the job names them."""
        self.shop = self._one(raw, "shop", ShopFile) or self.shop
        self.shelf = self._one(raw, "shelf", ShelfFile) or self.shelf

    def _one(self, raw: _Raw, key: str, model: type[Model]) -> Model | None:
        path, wrong = _path_beside(raw, key)
        self.findings += wrong
        if path is None:
            return None
        try:
            there = _load(path, f"a {key} file")
        except JobError as e:
            self.findings += e.findings
            return None
        found, wrong, _ = _check(model, there)
        self.findings += wrong
        self.paths.append(path)
        self.lines[one_line(path.name)] = there.lines
        return found


def _on_shelf(label: str) -> str:
    return f"{SHELF_LABEL}, {label}" if label else SHELF_LABEL


def _with_shelf(job: JobFile, shelf: ShelfFile) -> JobFile:
    """The job with what lies on the shop's shelf among what it can cut from."""
    stock = [
        StockModel(cable=r.cable, length=r.length_mm, count=r.count, label=_on_shelf(r.label))
        for r in shelf.remnants
    ]
    sheets = [
        SheetModel(material=o.material, thickness=o.thickness_mm, size=list(o.size_mm),
                   count=o.count, label=_on_shelf(o.label))
        for o in shelf.offcuts
    ]  # fmt: skip
    update = {"stock": [*job.stock, *stock], "sheets": [*job.sheets, *sheets]}
    return job.model_copy(update=update) if stock or sheets else job


def read_job(path: Path) -> JobFiles:
    """Read a job file and its hull file.

    Raises JobError, with every problem found, when either cannot be used at all. What could be
    read comes back with the problems in `findings`: the builder adds its own and raises them all.
    """
    raw = _load(path, "a job file")
    _rename(raw)
    hull_path, findings = _path_beside(raw, "hull")
    job, found, dropped = _check(JobFile, raw)
    findings = [*found, *findings]
    hull: HullFile | None = None
    lines = {one_line(path.name): raw.lines}
    if hull_path is not None:
        try:
            hull_raw = _load(hull_path, "a hull file")
            hull, found, gone = _check(HullFile, hull_raw)
            findings += found
            dropped |= gone
            lines[one_line(hull_path.name)] = hull_raw.lines
        except JobError as e:
            findings += e.findings
    more = _Beside()
    more.read(raw)
    findings += more.findings
    if job is None or hull is None or hull_path is None:
        raise JobError(findings)
    types = {**standard_types(), **job.types}
    return JobFiles(
        _with_shelf(job, more.shelf),
        hull,
        types,
        path,
        hull_path,
        tuple(findings),
        frozenset(dropped),
        more.shop,
        more.shelf,
        tuple(more.paths),
        marks_beside(path),
        {**lines, **more.lines},
    )
