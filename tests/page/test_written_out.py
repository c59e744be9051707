"""What is written out beside the page's scripts is what it was written from."""

import hashlib
from pathlib import Path

from viewer.page.typing_out import OUT, wire_types

VENDOR = Path(__file__).parents[2] / "viewer" / "page" / "web" / "vendor" / "three"


def test_the_types_of_the_wire_are_what_the_models_say() -> None:
    assert OUT.read_text(encoding="utf-8") == wire_types(), (
        "run python -m viewer.page.typing_out: the scripts' types are not the models'"
    )


def test_the_vendored_library_is_the_one_whose_sums_are_kept() -> None:
    rows = [line.split() for line in (VENDOR / "SHA256SUMS").read_text().splitlines()]
    assert {Path(name).name for _, name in rows} >= {"three.module.js", "three.core.js"}
    for digest, name in rows:
        found = hashlib.sha256((VENDOR / name).read_bytes()).hexdigest()
        assert found == digest, name
