"""What the server tells the pages that are open: a queue each, fed from any thread."""

import asyncio
import json
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from typing import Any, Final

MOST_WAITING: Final = 200  # messages a page may be behind; it then asks for everything anew
QUIET_SECONDS: Final = 15.0  # after which a line tells that the server is still there


@dataclass(slots=True)
class Events:
    """The open pages by the job they show."""

    loop: asyncio.AbstractEventLoop | None = None
    _queues: dict[str, set["asyncio.Queue[str]"]] = field(default_factory=dict)
    _ended: bool = False

    def tell(self, job: str, kind: str, what: dict[str, Any]) -> None:
        """Tell every page that shows a job; from any thread."""
        if self.loop is None or self.loop.is_closed():
            return
        text = json.dumps({"kind": kind, **what})
        self.loop.call_soon_threadsafe(self._put, job, text)

    def _put(self, job: str, text: str) -> None:
        for queue in self._queues.get(job, ()):
            if queue.qsize() >= MOST_WAITING:  # it is behind: it looks at everything anew
                while not queue.empty():
                    queue.get_nowait()
                text = json.dumps({"kind": "changed", "revision": "?"})
            queue.put_nowait(text)

    def end(self) -> None:
        """Let every open page go: the server ends."""
        self._ended = True
        for job in self._queues:
            self._put(job, "")

    @property
    def watched(self) -> list[str]:
        """The jobs some page shows."""
        return [job for job, queues in self._queues.items() if queues]

    async def of(self, job: str) -> AsyncIterator[str]:
        """Server-sent events of a job until the page goes away."""
        queue: asyncio.Queue[str] = asyncio.Queue()
        self._queues.setdefault(job, set()).add(queue)
        try:
            yield ": here\n\n"
            while not self._ended:
                try:
                    text = await asyncio.wait_for(queue.get(), QUIET_SECONDS)
                    yield f"data: {text}\n\n" if text else ": it ends\n\n"
                except TimeoutError:
                    yield ": still here\n\n"
        finally:
            self._queues[job].discard(queue)
