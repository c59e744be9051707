"""Results kept beside the job: one file each, whole or not there, found again by fingerprint.

In the folder `.coaming` beside the job lie files `JOB.FINGERPRINT.result`: zip archives that hold
`result.json` (the result as `coaming check --json` prints it) and `proofs/PIECE.npz` (the data of
each proof that a piece cannot go in, as numpy arrays). A few of the latest are kept.
"""

import hashlib
import io
import json
import zipfile
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Final

import numpy as np
from pydantic import ValidationError

from layout.errors import CoamingError
from layout.geometry.kernels import fingerprint as kernels_fingerprint
from layout.job.reading import JobFiles
from viewer.files import write_bytes
from viewer.work.rows import SCHEMA, Result

FOLDER: Final = ".coaming"
RESULT_ROOMS: Final = ("layout", "routing", "viewer/work")
QUICKLY: Final = 1  # how hard the file is squeezed: people wait for it
KEPT: Final = 8
LONG_AGO: Final = (1980, 1, 1, 0, 0, 0)  # of every entry: the same input gives the same bytes
Proof = dict[str, object]


@dataclass(frozen=True, slots=True)
class Saved:
    """A result and the proofs it rests on, by piece."""

    result: Result
    proofs: dict[str, Proof] = field(default_factory=dict)


@cache
def program_version() -> str:
    """The version of coaming and a mark of the sources that work a result out.

    A rule or table that changed makes another result of the same files: nothing worked out by
    other sources is used again.
    """
    try:
        number = version("coaming")
    except PackageNotFoundError:
        number = "0"
    return f"{number}+{sources_mark(Path(__file__).parents[2])}"


def sources_mark(root: Path) -> str:
    """A mark of every source and table under `root` that a result depends on."""
    digest = hashlib.sha256(kernels_fingerprint(root).encode())  # the libraries, too
    for room in RESULT_ROOMS:
        for path in sorted((root / room).rglob("*")):
            if path.suffix in (".py", ".toml"):
                digest.update(path.relative_to(root).as_posix().encode() + b"\0")
                digest.update(path.read_bytes() + b"\0")
    return digest.hexdigest()[:12]


def fingerprint_of(files: JobFiles, work: float, seed: int) -> str:
    """A name that changes with the files, the program and the work asked for."""
    digest = hashlib.sha256()
    words = [str(SCHEMA), program_version(), f"{work:g}", str(seed)]
    digest.update("\0".join(words).encode())
    for path in (files.job_path, files.hull_path, *files.beside):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    digest.update(repr(files.marks).encode())
    return digest.hexdigest()[:24]


def json_text(result: Result) -> str:
    """The result as it is printed and kept."""
    return result.model_dump_json(by_alias=True, indent=1) + "\n"


def canonical(result: Result) -> Result:
    """The result as it comes back from a file: what is shown is what is kept."""
    return Result.model_validate_json(result.model_dump_json(by_alias=True))


def _place(job: Path, fingerprint: str) -> Path:
    return job.parent / FOLDER / f"{job.name.removesuffix('.toml')}.{fingerprint}.result"


def _proof_bytes(proof: Proof) -> bytes:
    """A proof as arrays; what is no array goes along as JSON."""
    flat: dict[str, Any] = {}
    words = json.dumps(_flatten(proof, "", flat))
    out = io.BytesIO()
    np.savez(out, words=np.frombuffer(words.encode(), dtype=np.uint8), **flat)
    return out.getvalue()


def _flatten(value: Any, at: str, flat: dict[str, Any]) -> Any:
    """Plain data with its arrays taken out into `flat` and named in their place."""
    if isinstance(value, np.ndarray):
        flat[f"a{len(flat)}"] = value
        return {"array": f"a{len(flat) - 1}"}
    if isinstance(value, dict):
        return {k: _flatten(v, f"{at}.{k}", flat) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_flatten(v, at, flat) for v in value]
    if isinstance(value, np.generic):
        return value.item()
    return value


def _proof_of(data: bytes) -> Proof:
    with np.load(io.BytesIO(data), allow_pickle=False) as arrays:
        words = json.loads(arrays["words"].tobytes())

        def back(value: Any) -> Any:
            if isinstance(value, dict):
                if set(value) == {"array"}:
                    return arrays[value["array"]]
                return {k: back(v) for k, v in value.items()}
            return [back(v) for v in value] if isinstance(value, list) else value

        out: Proof = back(words)
    return out


def save(job: Path, saved: Saved) -> Path | None:
    """Keep a result beside its job; None where that cannot be written: it is only a cache."""
    path = _place(job, saved.result.inputs.fingerprint)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as z:
        entries = {"result.json": json_text(saved.result).encode("utf-8")}
        entries |= {f"proofs/{k}.npz": _proof_bytes(p) for k, p in saved.proofs.items()}
        for name, data in entries.items():
            z.writestr(zipfile.ZipInfo(name, LONG_AGO), data, zipfile.ZIP_DEFLATED, QUICKLY)
    try:
        path.parent.mkdir(exist_ok=True)
        write_bytes(path, out.getvalue())
    except OSError:
        return None
    for old in _of(job)[KEPT:]:
        old.unlink(missing_ok=True)
    return path


def _of(job: Path) -> list[Path]:
    """The results kept of a job, the latest first."""
    stem = job.name.removesuffix(".toml")
    found = (job.parent / FOLDER).glob(f"{stem}.*.result")
    return sorted(found, key=lambda p: (-p.stat().st_mtime_ns, p.name))


def read(path: Path) -> Saved | None:
    """A kept result; None for one that is not there, not whole or of another schema."""
    try:
        with zipfile.ZipFile(path) as z:
            result = Result.model_validate_json(z.read("result.json"))
            proofs = {
                n.removeprefix("proofs/").removesuffix(".npz"): _proof_of(z.read(n))
                for n in z.namelist()
                if n.startswith("proofs/")
            }
    except (OSError, KeyError, ValueError, zipfile.BadZipFile, ValidationError):
        return None
    return Saved(result, proofs) if result.schema_number == SCHEMA else None


def same(job: Path, fingerprint: str) -> Saved | None:
    """The result kept for exactly these inputs."""
    return read(_place(job, fingerprint))


def latest(job: Path) -> Saved | None:
    """The last result this coaming kept of a job, whatever its files were then."""
    for path in _of(job):
        found = read(path)
        if found is not None and found.result.inputs.coaming == program_version():
            return found
    return None


def load_result(path: Path) -> Result | None:
    """A result from a file: one printed by `check --json`, or one kept. None for anything else."""
    if path.suffix == ".result":
        found = read(path)
        return found.result if found is not None else None
    if path.suffix != ".json":
        return None
    try:
        return Result.model_validate_json(path.read_bytes())
    except ValidationError:
        raise CoamingError(
            f"{path.name}: not a result of this coaming: print one with coaming check --json"
        ) from None
