"""Everything the page has open: the folder and a desk for each job someone looks at."""

import threading
from dataclasses import dataclass, field
from typing import Any

from viewer.page.desk import Desk
from viewer.page.events import Events
from viewer.page.folder import Folder
from viewer.page.panels import shown_of


@dataclass(slots=True)
class House:
    """The folder, its desks, and what is told to the pages."""

    folder: Folder
    events: Events = field(default_factory=Events)
    _desks: dict[str, Desk] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _edits: "threading.RLock" = field(default_factory=threading.RLock)  # jobs may share a hull

    def desk(self, job: str) -> Desk:
        """The desk of a job. Raises CoamingError where there is no such job."""
        self.folder.job(job)
        with self._lock:
            if job not in self._desks:

                def tell(kind: str, what: dict[str, Any], job: str = job) -> None:
                    self.events.tell(job, kind, what)

                self._desks[job] = Desk(self.folder, job, tell, shown_of, self._edits)
            return self._desks[job]

    def opened(self, job: str) -> Desk | None:
        """The desk of a job where it is open."""
        return self._desks.get(job)

    def close(self) -> None:
        """Stop everything."""
        for desk in self._desks.values():
            desk.close()
