"""The house itself: imports go one way, files stay short, words stay ours."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ALLOWED = {
    "layout": {"layout"},
    "routing": {"routing", "layout"},
    "viewer": {"viewer", "routing", "layout"},
}
LONGEST_FILE = 800


def modules(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


@pytest.mark.parametrize("room", ALLOWED)
def test_imports_go_one_way(room: str) -> None:
    rooms = {*ALLOWED, "tests", "benchmarks", "demo_hulls"}
    for path in modules(room):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = (
                [a.name for a in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else []
            )
            for name in names:
                top = name.split(".")[0]
                assert top not in rooms or top in ALLOWED[room], (
                    f"{path.relative_to(ROOT)} imports {name}"
                )


def test_the_recheckers_share_nothing_with_the_engine() -> None:
    theirs = {"layout.recheck.turns", "layout.recheck.tilt"}
    for module in theirs:
        for node in ast.walk(
            ast.parse((ROOT / (module.replace(".", "/") + ".py")).read_text(encoding="utf-8"))
        ):
            if isinstance(node, ast.ImportFrom):
                assert node.module in theirs or (node.module or "").split(".")[0] not in ALLOWED


@pytest.mark.parametrize("room", ALLOWED)
def test_files_are_short_enough_to_read(room: str) -> None:
    for path in modules(room):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE, path.name


@pytest.mark.parametrize("room", ALLOWED)
def test_no_check_is_an_assert(room: str) -> None:
    for path in modules(room):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            assert not isinstance(node, ast.Assert), f"{path.name}:{getattr(node, 'lineno', 0)}"
