"""Start the page: on this machine only, say where it is, open the browser."""

import asyncio
import contextlib
import fcntl
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import uvicorn

from layout.errors import CoamingError
from layout.geometry.kernels import kernel_cache
from viewer.page.app import make_app
from viewer.page.folder import Folder
from viewer.page.guard import Guard
from viewer.page.house import House
from viewer.work.warming import warm_beside

TURN_SECONDS: Final = 0.001  # between threads: the page is answered while the engine works
SOON_SECONDS: Final = 2  # for open pages to let go when the server ends


def serve(folder: Path, browser: bool, say: Callable[[str], None], port: int = 0) -> int:
    """Serve a folder until a person ends it; the address on one line. Raises CoamingError."""
    house = House(Folder.at(folder))
    with _alone(house.folder), socket.socket(socket.AF_INET, socket.SOCK_STREAM) as s:
        s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        s.bind(("127.0.0.1", port))
        guard = Guard(s.getsockname()[1])
        sys.setswitchinterval(TURN_SECONDS)
        server = server_of(house, guard)
        say(guard.address)
        if browser:
            threading.Thread(target=_open, args=(guard.address,), daemon=True).start()
        with warm_beside(kernel_cache().cold, _untold):
            _until_ended(server, s)
    return 0


@contextlib.contextmanager
def _alone(folder: Folder) -> Iterator[None]:
    """One page a folder: two would not know of one another's steps. Raises CoamingError."""
    path = folder.inside(".coaming", "page.lock")
    try:
        path.parent.mkdir(exist_ok=True)
        held = path.open("w")
    except OSError:  # nothing can be kept here, so there is nothing to guard
        yield
        return
    with held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise CoamingError(
                f"{folder.root.name}: another page is open on this folder: use that one, or end it"
            ) from None
        yield


def _untold(words: str) -> None:
    """The first answer tells what it waits for itself."""
    del words


class _Server(uvicorn.Server):
    """The server that lets the open pages go before it ends."""

    def __init__(self, config: uvicorn.Config, house: House) -> None:
        super().__init__(config)
        self.house = house

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End: first whoever listens, then the rest."""
        self.house.events.end()
        await super().shutdown(sockets)


def server_of(house: House, guard: Guard) -> uvicorn.Server:
    """The server of a house behind its guard."""
    config = uvicorn.Config(
        make_app(house, guard),
        log_level="critical",  # what goes wrong is told on the page and kept in a file
        access_log=False,
        timeout_graceful_shutdown=SOON_SECONDS,
        server_header=False,
    )
    return _Server(config, house)


def _open(address: str) -> None:
    """Open the person's browser; where there is none, the address was printed."""
    with contextlib.suppress(OSError, webbrowser.Error):
        webbrowser.open(address)


def _until_ended(server: uvicorn.Server, s: socket.socket) -> None:
    """Run the server; Ctrl-C or a polite kill is how a person ends it, and no fault."""
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(server.serve([s]))
