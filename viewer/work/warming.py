"""A first start on a machine: kernels compiled beside the work, in a process of their own.

The compiler takes one function at a time, so a second process halves the wait; both leave what they
compiled in the same folder. What is compiled is the same whoever did it: no answer depends on it.
"""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

WORDS = "the kernels (the first start on a machine compiles them)"


@contextmanager
def warm_beside(cold: bool, told: Callable[[str], None]) -> Iterator[None]:
    """Compile the proof's and the wiring's kernels beside what is done, on a cold start."""
    if not cold or (os.cpu_count() or 1) < 2:
        yield
        return
    told(WORDS)
    helper = subprocess.Popen(
        [sys.executable, "-c", "from layout.passage.warm import warm; warm()"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield
    finally:
        if helper.poll() is None:
            helper.terminate()
        helper.wait()
