"""A compiled kernel is never an old one: a callee changed in another file changes its caller."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
HEAD = "from layout.geometry.kernels import kernel\n"
CALLER = (
    HEAD + "from layout.geometry.callee import inner\n\n\n"
    "@kernel\ndef outer(x: float) -> float:\n    return inner(x) + 1.0\n"
)


def callee(factor: float) -> str:
    return HEAD + f"\n\n@kernel\ndef inner(x: float) -> float:\n    return {factor} * x\n"


def run(folder: Path, words: str, cache: Path) -> str:
    environment = {**os.environ, "COAMING_CACHE": str(cache), "PYTHONPATH": str(folder)}
    done = subprocess.run(
        [sys.executable, "-c", words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_a_changed_callee_changes_its_caller(tmp_path: Path) -> None:
    for name in ("geometry", "errors.py", "__init__.py"):
        source = ROOT / "layout" / name
        if source.is_dir():
            shutil.copytree(source, tmp_path / "layout" / name)
        elif source.exists():
            (tmp_path / "layout").mkdir(exist_ok=True)
            shutil.copy(source, tmp_path / "layout" / name)
    geometry, cache = tmp_path / "layout" / "geometry", tmp_path / "cache"
    (geometry / "callee.py").write_text(callee(2.0), encoding="utf-8")
    (geometry / "caller.py").write_text(CALLER, encoding="utf-8")
    words = "from layout.geometry.caller import outer; print(outer(10.0))"
    assert run(tmp_path, words, cache) == "21.0"
    assert run(tmp_path, words, cache) == "21.0"  # from the cache
    assert len(list(cache.glob("kernels-*"))) == 1
    (geometry / "callee.py").write_text(callee(3.0), encoding="utf-8")
    assert run(tmp_path, words, cache) == "31.0"


def test_without_a_cache_folder_it_works_and_says_why_it_is_slow(tmp_path: Path) -> None:
    blocked = tmp_path / "a file, no folder"
    blocked.write_text("", encoding="utf-8")
    words = (
        "from layout.geometry.kernels import kernel, kernel_cache\n"
        "k = kernel_cache()\nprint(k.folder, 'compiles them again' in k.why_slow)\n"
        "print(kernel(lambda x: x + 1.0)(1.0))"
    )
    assert run(ROOT, words, blocked).split("\n") == ["None True", "2.0"]
