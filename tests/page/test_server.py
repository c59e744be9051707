"""The server as a program: its one line, its end, and what a kill at any moment leaves behind."""

import contextlib
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.page.served import copy_demo
from viewer.page.desk import Desk
from viewer.page.folder import Folder

JOB = "harbour_launch.job.toml"
KILLS = 6


@contextlib.contextmanager
def program(folder: Path) -> Iterator[tuple[subprocess.Popen[str], httpx.Client, str]]:
    """`coaming page FOLDER --no-browser`, a client with its token, and the address it printed."""
    command = [sys.executable, "-m", "viewer.command", "page", str(folder), "--no-browser"]
    p = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    assert p.stdout is not None
    line = p.stdout.readline()
    found = re.fullmatch(r"The page: (http://127\.0\.0\.1:\d+)/\?token=\S+\n", line)
    assert found is not None, line
    with httpx.Client(base_url=found[1], timeout=60) as client:
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            with contextlib.suppress(httpx.TransportError):
                client.get(line.split(" ")[2].strip().removeprefix(found[1]))
                break
            time.sleep(0.05)
        try:
            yield p, client, line
        finally:
            if p.poll() is None:
                p.kill()
            p.wait()
            p.stdout.close()
            assert p.stderr is not None
            p.stderr.close()


def test_it_prints_one_line_and_ends_without_a_trace(tmp_path: Path) -> None:
    copy_demo(tmp_path, "harbour_launch")
    with program(tmp_path) as (p, client, _):
        assert client.get("/").status_code == 200
        with client.stream("GET", "/events", params={"job": JOB}) as events:
            next(events.iter_lines())
            begin = time.monotonic()
            os.kill(p.pid, signal.SIGINT)
            p.wait(timeout=20)
        assert time.monotonic() - begin < 10
        assert p.returncode == 0
        assert p.stdout is not None and p.stderr is not None
        assert p.stdout.read() == ""
        assert p.stderr.read() == ""


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "viewer.command", "page", str(tmp_path / "no"), "--no-browser"]
    told = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert told.returncode == 2
    assert "expected a folder to work in" in told.stderr and "Traceback" not in told.stderr


def test_a_second_page_on_one_folder_is_told(tmp_path: Path) -> None:
    copy_demo(tmp_path, "harbour_launch")
    with program(tmp_path):
        command = [sys.executable, "-m", "viewer.command", "page", str(tmp_path), "--no-browser"]
        told = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
        assert told.returncode == 2 and "another page is open" in told.stderr
    with program(tmp_path) as (_, client, _):  # ended, it leaves nothing in the way
        assert client.get("/").status_code == 200


@pytest.mark.parametrize("after_ms", [2 * k * k + 3 for k in range(KILLS)])
def test_killed_during_edits_every_file_is_whole_and_every_step_known(
    tmp_path: Path, after_ms: int
) -> None:
    copy_demo(tmp_path, "harbour_launch")
    with program(tmp_path) as (p, client, _):

        def move(x: float) -> None:
            ask = {"key": "house_battery", "by_mm": [x, 0, 0]}
            client.post("/do/gear/move", json={"job": JOB, "ask": ask})

        move(1)
        end = time.monotonic() + after_ms / 1000
        killed = False
        for n in range(40):
            if time.monotonic() > end and not killed:
                os.kill(p.pid, signal.SIGKILL)
                killed = True
            try:
                move(1 if n % 2 else -1)
            except httpx.TransportError:
                break
        assert killed
    for path in tmp_path.glob("*.toml"):
        tomllib.loads(path.read_text(encoding="utf-8"))
    desk = Desk(Folder.at(tmp_path), JOB, lambda *_: None, lambda *_: {})
    desk.live.end()
    assert not desk.state().problems
    while desk.history.undo_words:
        desk.undo()
    demo = Path(__file__).parents[2] / "demo_hulls" / JOB
    assert (tmp_path / JOB).read_bytes() == demo.read_bytes()
