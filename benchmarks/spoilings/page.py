"""Spoilings of the page."""

from benchmarks.spoilings.spoiling import Spoiling

EDITS = "tests/page/test_edits.py"
HISTORY = "tests/page/test_history.py"
GUARD = "tests/page/test_guard.py"
DIMENSIONS = "tests/page/test_dimensions.py"
SESSIONS = "tests/page/test_sessions.py"
PAGE = "viewer/page/"
PAGE_SPOILINGS = (
    Spoiling(
        "page: another page may ask",
        PAGE + "guard.py",
        'if origin is not None and origin != f"http://{host}":',
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: any host name is this machine",
        PAGE + "guard.py",
        'if host not in {f"{name}:{self.port}" for name in LOOPBACK}:',
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: links lead out of the folder",
        PAGE + "folder.py",
        "if path.resolve().parent != self.root:",
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: a half-done step is left half done",
        PAGE + "edits/history.py",
        "            put_text(self.root / name, text)\n        self._point(self.at + 1)\n",
        "            pass\n        self._point(self.at + 1)\n",
        HISTORY,
    ),
    Spoiling(
        "page: a change elsewhere is not taken in",
        PAGE + "edits/history.py",
        "        if other:\n            before = ",
        "        if False:\n            before = ",
        EDITS,
    ),
    Spoiling(
        "page: the later of two windows wins in silence",
        PAGE + "desk.py",
        "                    if path[:n] == change.path[:n]:",
        "                    if False:",
        EDITS,
    ),
    Spoiling(
        "page: an edit that breaks the files is written",
        PAGE + "desk.py",
        "            if not e.with_users or not users:\n                raise JobError(new)",
        "            if not e.with_users or not users:\n                break",
        EDITS,
    ),
    Spoiling(
        "page: a typed edge forgets half the hatch",
        PAGE + "dimensions.py",
        'edge = (((*path, "centre", i), 1.0), ((*path, "size", i), -0.5))',
        'edge = (((*path, "centre", i), 1.0), ((*path, "size", i), -1.0))',
        DIMENSIONS,
    ),
    Spoiling(
        "page: a size in two distances is not told",
        PAGE + "panels/measure/commands.py",
        "if d.key != mine and reckoner.alone(d, reckoner.found(d)) == key:",
        "if False:",
        DIMENSIONS,
    ),
    Spoiling(
        "page: a mend that harms is offered",
        PAGE + "panels/findings/commands.py",
        "    if id_ in now:\n        return False\n",
        "    if id_ in now:\n        return True\n",
        "tests/page/test_mends.py",
    ),
    Spoiling(
        "page: the tightest place is where it is set down",
        PAGE + "panels/ways/commands.py",
        "free = [n for n, r in enumerate(rows) if not r.seat and r.near not in held]",
        "free = [n for n, r in enumerate(rows)]",
        SESSIONS + " -k empty_folder_to_the_verdict",
    ),
)
