"""The house itself: imports go one way, room by room and floor by floor; files and functions short.

Limits are the house's own (DEVELOPERS.md draws it).
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parent.parent
ROOMS = ("layout", "routing", "viewer")  # each may use those before it
FLOORS = {
    "layout": (
        "errors",
        "known",
        "geometry",
        "job",
        "boat",
        "passage",
        "verdict",
        "bench",
        "packing",
    ),
    "routing": (
        "errors",
        "ways",
        "sizes",
        "runs",
        "circuits",
        "network",
        "signals",
        "stock",
        "wiring",
        "estimate",
    ),
    "viewer": ("files", "work", "words", "scene", "sheets", "page", "command"),
}
LONGEST_FILE = 400  # lines of at most 100 columns
LONGEST_FUNCTION = 70  # lines: read without scrolling
LONGEST_KERNEL = 130  # a compiled loop is one piece of work: taken apart it is no faster to read


def modules(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(path: Path) -> Iterator[str]:
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""


def dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


@pytest.mark.parametrize("room", ROOMS)
def test_rooms_use_only_the_rooms_before_them(room: str) -> None:
    allowed = ROOMS[: ROOMS.index(room) + 1]
    others = {*ROOMS, "tests", "benchmarks", "demo_hulls"}.difference(allowed)
    for path in modules(room):
        for name in imported(path):
            assert name.split(".")[0] not in others, f"{path.relative_to(ROOT)} imports {name}"


@pytest.mark.parametrize("room", ROOMS)
def test_floors_use_only_the_floors_below_them(room: str) -> None:
    floors = FLOORS[room]
    for path in modules(room):
        here = dotted(path).split(".")
        if len(here) < 2 or here[1] == "recheck":
            continue
        assert here[1] in floors, f"{path.name} stands on no floor"
        for name in imported(path):
            there = name.split(".")
            if there[0] == room and len(there) > 1:
                assert floors.index(there[1]) <= floors.index(here[1]), (
                    f"{dotted(path)} imports {name}"
                )


def test_no_modules_import_each_other_in_a_circle() -> None:
    graph = nx.DiGraph()
    known = {dotted(p) for room in ROOMS for p in modules(room)}
    for room in ROOMS:
        for path in modules(room):
            for name in imported(path):
                if name in known:
                    graph.add_edge(dotted(path), name)
    assert list(nx.simple_cycles(graph)) == []


def test_the_recheckers_share_nothing_with_the_engine() -> None:
    for path in sorted((ROOT / "layout" / "recheck").glob("*.py")):
        for name in imported(path):
            ours = name.split(".")[0] in ROOMS
            assert not ours or name.startswith("layout.recheck"), f"{path.name} imports {name}"


@pytest.mark.parametrize("room", ROOMS)
def test_files_are_short_enough_to_read(room: str) -> None:
    for path in modules(room):
        lines = len(path.read_text(encoding="utf-8").splitlines())
        assert lines <= LONGEST_FILE, f"{path.relative_to(ROOT)} has {lines} lines"


@pytest.mark.parametrize("room", ROOMS)
def test_functions_are_read_without_scrolling(room: str) -> None:
    for path in modules(room):
        for node in ast.walk(tree(path)):
            if not isinstance(node, ast.FunctionDef):
                continue
            compiled = any(
                isinstance(d, ast.Name) and d.id.endswith("kernel") for d in node.decorator_list
            )
            lines = (node.end_lineno or 0) - node.lineno + 1
            most = LONGEST_KERNEL if compiled else LONGEST_FUNCTION
            assert lines <= most, f"{path.relative_to(ROOT)}:{node.name} has {lines} lines"


@pytest.mark.parametrize("room", ROOMS)
def test_no_check_is_an_assert(room: str) -> None:
    for path in modules(room):
        for node in ast.walk(tree(path)):
            assert not isinstance(node, ast.Assert), f"{path.name}:{getattr(node, 'lineno', 0)}"
