"""Read a job file and the hull it names; every problem is found before the first is told."""

import difflib
import re
import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from layout.errors import Finding, JobError
from layout.job.models import HullFile, ItemModel, JobFile

MAX_BYTES: Final = 2_000_000
MAX_SHOWN: Final = 60  # characters of a bad value repeated in a message
Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class JobFiles:
    """A job, its hull and the gear it may use, as read and checked."""

    job: JobFile
    hull: HullFile
    gear: dict[str, ItemModel]
    job_path: Path
    hull_path: Path


def shown(value: object) -> str:
    """A value as a message may repeat it: short, on one line, no control characters."""
    text = repr(value) if not isinstance(value, str) else f'"{value}"'
    text = re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]", "?", text)
    return text if len(text) <= MAX_SHOWN else text[: MAX_SHOWN - 1] + "…"


def _load(path: Path, wanted: str) -> dict[str, Any]:
    """The raw tables of a TOML file. Raises JobError."""

    def bad(found: str, hint: str) -> JobError:
        return JobError([Finding(path.name or str(path), "the file", found, wanted, hint)])

    if path.is_dir():
        raise bad("a folder", "name the .toml file inside it")
    if not path.exists():
        near = difflib.get_close_matches(path.name, [p.name for p in _beside(path)], n=1)
        raise bad(
            "nothing there", f"did you mean {near[0]}?" if near else "check the name and the folder"
        )
    try:
        if path.stat().st_size > MAX_BYTES:
            raise bad(f"{path.stat().st_size:,} bytes", "a job file is far smaller than 2 MB")
        data = path.read_bytes()
    except OSError as e:
        raise bad(f"a file that cannot be read ({e.strerror})", "check who may read it") from None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise bad("text that is not UTF-8", "save it as UTF-8 in your editor") from None
    if not text.strip():
        raise bad("an empty file", "start from one of the demo files")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as e:
        raise bad(
            f"text that is not TOML: {e}",
            "look at that line: a quote, bracket or = is out of place",
        ) from None
    except RecursionError:
        raise bad("brackets nested too deep", "no key needs more than a list of lengths") from None


def _beside(path: Path) -> list[Path]:
    return list(path.parent.glob("*.toml"))[:200] if path.parent.is_dir() else []


def _key(loc: tuple[int | str, ...]) -> str:
    skip = re.compile(r"^(constrained-str|str|float|int|function-|list\[|literal\[|dict\[)")
    out = ""
    for part in loc:
        if isinstance(part, int):
            out += f"[{part + 1}]"
        elif not skip.match(part) and part != "[key]":
            out += ("." if out else "") + part
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]", "?", out)[:120] or "the file"


def _expected(error: Any) -> tuple[str, str]:
    """(what was expected, a hint) for one pydantic error, in plain words."""
    kind, ctx = error["type"], error.get("ctx", {})
    if kind == "missing":
        return "this key to be there", "it has no usual value: please add it"
    if kind == "extra_forbidden":
        return "no such key here", ""
    if kind == "literal_error":
        return "one of " + str(ctx.get("expected", "")), ""
    if kind in ("too_short", "too_long"):
        return (
            f"{'at least' if kind == 'too_short' else 'at most'} {ctx.get('min_length', ctx.get('max_length'))} entries",
            "",
        )
    if kind == "string_pattern_mismatch":
        return "a name in small letters, digits and _ that begins with a letter (at most 40)", ""
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        word = {
            "greater_than": "more than",
            "greater_than_equal": "at least",
            "less_than": "less than",
            "less_than_equal": "at most",
        }[kind]
        return f"{word} {next(iter(ctx.values()))}", ""
    if kind == "finite_number":
        return "an ordinary number", "nan and inf are not sizes"
    if kind in ("string_type", "float_type", "float_parsing"):
        return 'a length such as "430 mm ±2 tape" or a number of mm' if "constrained-str" in str(
            error["loc"]
        ) or kind != "string_type" else "a text in quotes", ""
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return "a table of keys", ""
    if kind == "list_type":
        return "a list in [ ]", ""
    if kind in ("bool_type", "bool_parsing"):
        return "true or false", ""
    return str(error["msg"]).removeprefix("Input should be "), ""


def _check(
    model: type[Model], raw: dict[str, Any], file: str
) -> tuple[Model | None, list[Finding]]:
    try:
        return model.model_validate(raw), []
    except ValidationError as e:
        return None, _findings(e, file, model)


def _findings(e: ValidationError, file: str, model: type[BaseModel]) -> list[Finding]:
    found: dict[str, Finding] = {}
    for error in e.errors(include_url=False):
        key = _key(error["loc"])
        expected, hint = _expected(error)
        value = "nothing" if error["type"] == "missing" else shown(error["input"])
        if error["type"] == "extra_forbidden":
            value = f"the key {shown(str(error['loc'][-1]))}"
            near = difflib.get_close_matches(str(error["loc"][-1]), _all_keys(model), n=1)
            hint = f"did you mean '{near[0]}'?" if near else ""
        if key not in found or "length" in expected:
            found[key] = Finding(file, key, value, expected, hint)
    return list(found.values())


def _all_keys(model: type[BaseModel]) -> list[str]:
    schema = model.model_json_schema()
    keys = set(schema.get("properties", {}))
    for d in schema.get("$defs", {}).values():
        keys |= set(d.get("properties", {}))
    return sorted(keys)


def standard_gear() -> dict[str, ItemModel]:
    """The gear list that comes with coaming."""
    raw = tomllib.loads(resources.files("layout.job").joinpath("gear.toml").read_text(encoding="utf-8"))
    return TypeAdapter(dict[str, ItemModel]).validate_python(raw)


def read_job(path: Path) -> JobFiles:
    """Read and check a job file and its hull file. Raises JobError with every problem found."""
    raw = _load(path, "a job file")
    findings: list[Finding] = []
    job, found = _check(JobFile, raw, path.name)
    findings += found
    name = raw.get("job", {}).get("hull") if isinstance(raw.get("job"), dict) else None
    hull: HullFile | None = None
    hull_path = path
    if isinstance(name, str):
        if Path(name).is_absolute() or ".." in Path(name).parts or "\x00" in name:
            findings.append(
                Finding(
                    path.name,
                    "job.hull",
                    shown(name),
                    "a file beside the job file",
                    "copy the hull file into the job's folder",
                )
            )
        else:
            hull_path = path.parent / name
            try:
                hull, found = _check(HullFile, _load(hull_path, "a hull file"), hull_path.name)
                findings += found
            except JobError as e:
                findings += e.findings
    if findings or job is None or hull is None:
        raise JobError(findings)
    return JobFiles(job, hull, {**standard_gear(), **job.items}, path, hull_path)
