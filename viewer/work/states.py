"""The states of one job: as quoted, as changed, as built; each a whole result, kept beside the job.

In the folder `JOB.states` lie files `01 quoted.json`, `02 changed.json` and so on: what the
state is called, when and why it was kept, a photo's name, and the result as `coaming check --json`
has it.
"""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from pydantic import BaseModel, ConfigDict, ValidationError

from layout.errors import CoamingError, one_line
from viewer.files import write_bytes
from viewer.work.rows import Result

QUOTED, CHANGED, BUILT = "quoted", "changed", "as built"
STATES: Final = (QUOTED, CHANGED, BUILT)


class StateHead(BaseModel):
    """What a kept state is."""

    number: int
    state: str
    on: str
    why: str
    photo: str

    model_config = ConfigDict(frozen=True, extra="forbid")


@dataclass(frozen=True, slots=True)
class State:
    """A kept state with its result."""

    head: StateHead
    result: Result
    path: Path


def folder_of(job: Path) -> Path:
    """Where a job's states are kept."""
    return job.parent / f"{job.name.removesuffix('.toml')}.states"


def states_of(job: Path) -> list[State]:
    """The states kept of a job, the first first. Raises CoamingError for one not readable."""
    folder = folder_of(job)
    if not folder.is_dir():
        return []
    return [_read(path) for path in sorted(folder.glob("[0-9][0-9] *.json"))]


def state_words(job: Path) -> str:
    """The state a job was kept in last, in words."""
    kept = states_of(job)
    return f"As {kept[-1].head.state}, {kept[-1].head.on}." if kept else "As planned."


def _read(path: Path) -> State:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        result = Result.model_validate(data.pop("result"))
        return State(StateHead.model_validate(data), result, path)
    except (OSError, ValueError, KeyError, ValidationError):
        name = one_line(path.name)
        raise CoamingError(
            f"{name}: not a state this version of coaming can read: take it out of "
            f"{one_line(path.parent.name)}, or keep the state anew"
        ) from None


def keep_state(job: Path, result: Result, state: str, on: str, why: str, photo: str) -> State:
    """Keep the result as a new state of its job. Raises CoamingError."""
    number = len(states_of(job)) + 1
    head = StateHead(number=number, state=state, on=on, why=why, photo=photo)
    data = {**head.model_dump(), "result": json.loads(result.model_dump_json(by_alias=True))}
    path = folder_of(job) / f"{number:02d} {state}.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes(path, (json.dumps(data, indent=1) + "\n").encode("utf-8"))
    return State(head, result, path)
