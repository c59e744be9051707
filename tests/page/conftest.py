"""A browser for each module, and pages on an empty folder and on two demos."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.page.browser import chromium
from tests.page.served import Served, copy_demo, served


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as b:
        yield b


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path) as s:
        yield s


@pytest.fixture
def launch(tmp_path: Path) -> Iterator[Served]:
    with served(copy_demo(tmp_path, "harbour_launch")) as s:
        yield s


@pytest.fixture
def trip(tmp_path: Path) -> Iterator[Served]:
    with served(copy_demo(tmp_path, "trip_boat")) as s:
        yield s
