"""A page served for tests on this machine: a folder of demos, the real server, a plain client."""

import contextlib
import socket
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

from viewer.page.folder import Folder
from viewer.page.guard import Guard
from viewer.page.house import House
from viewer.page.server import TURN_SECONDS, server_of

DEMOS = Path(__file__).parents[2] / "demo_hulls"
WAIT_SECONDS = 120.0


def copy_demo(folder: Path, *names: str) -> Path:
    """The files of some demos in a folder of their own."""
    for name in names:
        for end in ("hull", "job"):
            text = (DEMOS / f"{name}.{end}.toml").read_text(encoding="utf-8")
            (folder / f"{name}.{end}.toml").write_text(text, encoding="utf-8")
    return folder


@dataclass
class Served:
    """A running page, and a client that has its token."""

    house: House
    guard: Guard
    client: httpx.Client
    stranger: httpx.Client

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.guard.port}"

    def do(self, command: str, ask: dict[str, Any] | None = None, job: str = "") -> Any:
        """A command; what is told."""
        path = f"/do/{command.replace('.', '/')}"
        answer = self.client.post(path, json={"job": job, "ask": ask or {}})
        assert answer.status_code == 200, answer.text
        return answer.json()

    def refused(self, command: str, ask: dict[str, Any], job: str = "") -> list[str]:
        """The words a command is refused with."""
        path = f"/do/{command.replace('.', '/')}"
        answer = self.client.post(path, json={"job": job, "ask": ask})
        assert answer.status_code == 422, answer.text
        words: list[str] = answer.json()["words"]
        return words

    def answered(self, job: str) -> Any:
        """The answer of the files as they are, waited for."""
        until = time.monotonic() + WAIT_SECONDS
        while time.monotonic() < until:
            revision = self.do("desk.look", job=job)["revision"]
            told = self.client.get("/answer", params={"job": job}).json()
            if told["revision"] == revision:
                return told
            assert told["work"]["state"] not in ("failed", "waiting"), told["work"]
            time.sleep(0.1)
        raise AssertionError("no answer")


@contextlib.contextmanager
def served(folder: Path) -> Iterator[Served]:
    """A page on a folder, until the test is done."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as s:
        s.bind(("127.0.0.1", 0))
        house, guard = House(Folder.at(folder)), Guard(s.getsockname()[1])
        sys.setswitchinterval(TURN_SECONDS)
        server = server_of(house, guard)
        thread = threading.Thread(target=server.run, args=([s],), daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        base = f"http://127.0.0.1:{guard.port}"
        with (
            httpx.Client(base_url=base, timeout=120) as client,
            httpx.Client(base_url=base, timeout=30) as stranger,
        ):
            client.cookies.set(guard.cookie, guard.token)
            yield Served(house, guard, client, stranger)
        server.should_exit = True
        thread.join(timeout=20)
