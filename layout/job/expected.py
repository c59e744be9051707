"""What should have stood in a file, in plain words, for each kind of slip the border finds."""

import re
from typing import Any, Final

from layout.errors import one_line

_NO_KEY: Final = re.compile(r"^(constrained-str|str|float|int|function-|list\[|literal\[|dict\[)")
_LIMITS: Final = {
    "greater_than": "more than",
    "greater_than_equal": "at least",
    "less_than": "less than",
    "less_than_equal": "at most",
}
_PLAIN: Final = {
    "missing": ("this key to be there", "it has no usual value: please add it"),
    "extra_forbidden": ("no such key here", ""),
    "finite_number": ("an ordinary number", "nan and inf are not sizes"),
    "model_type": ("a table of keys", ""),
    "dict_type": ("a table of keys", ""),
    "model_attributes_type": ("a table of keys", ""),
    "list_type": ("a list in [ ]", ""),
    "bool_type": ("true or false", ""),
    "bool_parsing": ("true or false", ""),
    "int_type": ("a whole number", ""),
    "int_parsing": ("a whole number", ""),
    "int_from_float": ("a whole number", ""),
    "int_parsing_size": ("a whole number of a usual size", ""),
    "string_pattern_mismatch": (
        "a name in small letters, digits and _ that begins with a letter (at most 40)",
        "",
    ),
}


def key_words(loc: tuple[int | str, ...]) -> str:
    """A place in a file as a person reads it: `boards.helm.at[2]`."""
    out = ""
    for part in loc:
        if isinstance(part, int):
            out += f"[{part + 1}]"
        elif not _NO_KEY.match(part) and part != "[key]":
            out += ("." if out else "") + part
    return one_line(out)[:120] or "the file"


def expected_words(error: Any) -> tuple[str, str]:
    """(what was expected, a hint) for one slip, in plain words."""
    kind, ctx = error["type"], error.get("ctx", {})
    if kind in _PLAIN:
        return _PLAIN[kind]
    if kind == "literal_error":
        return "one of " + str(ctx.get("expected", "")), ""
    if kind in ("too_short", "too_long"):
        least = "at least" if kind == "too_short" else "at most"
        return f"{least} {ctx.get('min_length', ctx.get('max_length'))} entries", ""
    if kind in _LIMITS:
        return f"{_LIMITS[kind]} {next(iter(ctx.values()))}", ""
    if kind == "string_too_long":
        return f"at most {ctx.get('max_length')} letters", ""
    if kind in ("string_type", "float_type", "float_parsing"):
        if "constrained-str" in str(error["loc"]):
            return 'a length such as "430 mm ±2 tape" or a number of mm', ""
        return ("a text in quotes", "") if kind == "string_type" else ("a number", "")
    words = one_line(str(error["msg"]))
    return words.removeprefix("Value error, ").removeprefix("Input should be "), ""
