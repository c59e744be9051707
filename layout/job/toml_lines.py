"""On which line of a TOML file a key stands: the reader of the standard library does not say."""

import re
from typing import Final

_TABLE: Final = re.compile(r"^\s*(\[\[?)\s*([^\]\[#]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY: Final = re.compile(
    r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*="""
)
_WORD: Final = re.compile(r"""[A-Za-z0-9_-]+|"[^"]*"|'[^']*'""")


def _words(text: str) -> tuple[str, ...]:
    return tuple(w.strip("\"'") for w in _WORD.findall(text))


def lines_of(text: str) -> dict[tuple[str, ...], int]:
    """The line of every table and key that stands at the start of a line, by its words.

    Entries of `[[lists]]` count as "name[1]", "name[2]" and so on.
    """
    found: dict[tuple[str, ...], int] = {}
    counts: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    open_text = ""  # the quotes of a text of many lines that is open
    for number, line in enumerate(text.splitlines(), start=1):
        if open_text:
            open_text = "" if open_text in line else open_text
            continue
        head = _TABLE.match(line)
        if head is not None:
            table = _words(head.group(2))
            if head.group(1) == "[[":
                counts[table] = counts.get(table, 0) + 1
                table = (*table[:-1], f"{table[-1]}[{counts[table]}]")
            found.setdefault(table, number)
            continue
        key = _KEY.match(line)
        if key is not None:
            words = (*table, *_words(key.group(1)))
            for n in range(len(table) + 1, len(words) + 1):
                found.setdefault(words[:n], number)
        for quotes in ('"""', "'''"):
            if line.count(quotes) % 2:
                open_text = quotes
    return found


def line_of(lines: dict[tuple[str, ...], int], key: str) -> int:
    """The line of a key such as `boards.helm.parts.fuse.at[2]`, or of the nearest table above."""
    words = tuple(key.split("."))
    while words:
        if words in lines:
            return lines[words]
        bare = (*words[:-1], words[-1].partition("[")[0])
        if bare in lines:
            return lines[bare]
        words = words[:-1]
    return 0
