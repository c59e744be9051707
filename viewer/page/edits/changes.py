"""One change to a TOML file: a value set or taken out, all else left as it was written."""

import tomllib
from typing import TYPE_CHECKING, Any, Final

import tomlkit
from pydantic import BaseModel, ConfigDict, Field, JsonValue
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Table

from layout.errors import CoamingError, shown

if TYPE_CHECKING:
    Written = Any  # lists and tables are built up piece by piece; what goes in is checked here
else:
    Written = JsonValue

BOM: Final = "\ufeff"
MOST_STEPS: Final = 12
INLINE_UNDER: Final = ("parts", "terminals", "measured", "boxes", "rooms", "tees")
TABLES: Final = (  # groups whose entries are tables under heads of their own
    *("spaces", "openings", "solids", "hazards", "holes", "pipes", "trays"),
    *("types", "boards", "pieces", "banks", "circuits", "backbones"),
)
LONG_LIST: Final = 4  # a new list of tables longer than this is written over several lines


class Change(BaseModel):
    """Set `value` at `path`, or take out what stands there where it is null."""

    path: tuple[str | int, ...] = Field(min_length=1, max_length=MOST_STEPS)
    value: Written = None

    model_config = ConfigDict(frozen=True, extra="forbid")


def plain(value: Any) -> Any:
    """A value as a file holds it: whole numbers without a point."""
    if isinstance(value, tuple | list):
        return [plain(v) for v in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def changed_text(text: str, changes: list[Change]) -> str:
    """The text with the changes made: comments, order and spacing of the rest as they were.

    Raises CoamingError for a text that is not TOML, or a path there is nothing at.
    """
    mark = BOM if text.startswith(BOM) else ""  # some editors put it there: it stays
    text = text.removeprefix(BOM)
    try:
        doc = tomlkit.parse(text)
        wanted = tomllib.loads(text)
    except (TOMLKitError, ValueError, RecursionError):
        raise CoamingError("The file is not TOML: put it right in an editor first") from None
    for change in changes:
        _apply(doc, change, _written)
        _apply(wanted, change, _plain)
    out = tomlkit.dumps(doc)
    if tomllib.loads(out) != wanted:
        raise CoamingError("This file is written in a way the page cannot change: edit it by hand")
    return mark + out


def _apply(doc: Any, change: Change, made: Any) -> None:
    here: Any = doc
    last: Any
    *steps, last = change.path
    for n, step in enumerate(steps):
        if isinstance(here, dict) and step not in here:
            if change.value is None:
                return
            here[step] = made({}, (*change.path[: n + 1], ""))
        here = _step(here, step, change)
    if change.value is None:
        _step(here, last, change)
        del here[last]
        _prune(doc, steps)
    elif isinstance(here, list):
        if last == len(here):
            here.append(made(change.value, change.path))
        else:
            _step(here, last, change)
            here[last] = made(change.value, change.path)
    elif isinstance(here, dict):
        here[last] = made(change.value, change.path)
    else:
        raise CoamingError(f"Nothing can stand at {_named(change)}")


def _prune(doc: Any, steps: list[str | int]) -> None:
    """Take out the tables that hold nothing any more: a head without keys says nothing."""
    for n in range(len(steps), 0, -1):
        holder = doc
        for step in steps[: n - 1]:
            holder = holder[step]
        if not isinstance(holder, dict) or holder[steps[n - 1]]:
            return
        del holder[steps[n - 1]]


def _step(here: Any, step: str | int, change: Change) -> Any:
    try:
        return here[step]
    except (KeyError, IndexError, TypeError):
        raise CoamingError(f"There is nothing at {_named(change)} any more") from None


def _named(change: Change) -> str:
    return shown(".".join(str(p) for p in change.path))


def _plain(value: Any, path: tuple[str | int, ...]) -> Any:
    return value


def _written(value: Any, path: tuple[str | int, ...]) -> Any:
    """A value as it is written into a file: tables under their heads, small ones on one line."""
    if not isinstance(value, dict):
        return _list(value, path) if isinstance(value, list) else value
    group = len(path) == 2 and path[1] == ""
    inline = not group and any(step in INLINE_UNDER or isinstance(step, int) for step in path)
    table: Table | InlineTable = tomlkit.inline_table() if inline else tomlkit.table()
    if group and path[0] in TABLES:
        table = tomlkit.table(is_super_table=True)
    for key, v in value.items():
        table.append(key, _written(v, (*path, key)))
    if isinstance(table, Table) and len(path) == 2 and not group:
        table.add(tomlkit.nl())  # a line between it and what follows
    return table


def _list(value: list[Any], path: tuple[str | int, ...]) -> Array | AoT:
    out = tomlkit.array()
    for n, v in enumerate(value):
        out.append(_written(v, (*path, n)))
    if len(value) > LONG_LIST and any(isinstance(v, dict | list) for v in value):
        out.multiline(True)
    return out
