"""A result put together from its parts: rows of pieces, of wiring, of boards, and the estimate."""

import re
from collections.abc import Callable
from typing import Any, Protocol

from layout.job import JobFiles
from layout.verdict.measured import not_measured_here
from viewer.work.described import Described
from viewer.work.estimate.estimating import estimated
from viewer.work.fitting import Fits
from viewer.work.gather_bench import bench_rows, boat_hole_rows
from viewer.work.gather_boat import boat_row, labels_of
from viewer.work.gather_wiring import with_findings
from viewer.work.rows import InputsRow, Result
from viewer.work.saved import Saved, program_version
from viewer.work.unlabelled import standing_mark, unlabelled_mark
from viewer.work.wiring_rows import BuiltRow

_NUMBER = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|V|)\s*$")


class Asked(Protocol):
    """What was asked for, as far as a result tells it."""

    @property
    def work(self) -> float:
        """How many times the usual work."""

    @property
    def seed(self) -> int:
        """Where chance begins."""

    @property
    def clocked(self) -> Callable[[], bool] | None:
        """Whether a clock a person set has run out."""


def fitted_now(before: Saved, found: Described, fits: Fits) -> Result:
    """The result before with the boat and the pieces of now: its wiring is that of before."""
    return before.result.model_copy(
        update={
            "labels": labels_for(found),
            "boat": boat_row(found.boat),
            "pieces": tuple(fits.rows),
        }
    )


def labels_for(found: Described) -> dict[str, str]:
    """What people call every key."""
    job = found.files.job
    labels = labels_of(found.boat)
    labels |= {f"circuit:{number}": model.label for number, model in job.circuits.items()}
    labels |= {f"type:{key}": found.files.types[key].label for key in sorted(found.types_used())}
    labels |= {f"bank:{name}": bank.label or name for name, bank in job.banks.items()}
    return labels | {
        f"backbone:{name}": backbone.label or name for name, backbone in job.backbones.items()
    }


def differ_in_labels_only(before: Result, files: JobFiles, asks: Asked) -> bool:
    """True when the files differ from those of the result before in nothing but labels."""
    asked = before.inputs
    same_work = (asked.work, asked.seed) == (asks.work, asks.seed) and not before.clocked
    return same_work and asked.unlabelled == unlabelled_mark(files)


def relabelled(before: Result, found: Described, fingerprint: str) -> Result:
    """The result before under the labels of the files as they are now."""
    labels = labels_for(found)
    circuits = tuple(
        circuit.model_copy(update={"label": labels[f"circuit:{circuit.number}"]})
        for circuit in before.circuits
    )
    return before.model_copy(
        update={
            "inputs": before.inputs.model_copy(update={"fingerprint": fingerprint}),
            "job": found.files.job.job.name,
            "hull": found.boat.name,
            "labels": labels,
            "circuits": circuits,
        }
    )


def _built(files: JobFiles) -> tuple[BuiltRow, ...]:
    """What was found and done, as the marks beside the job tell."""
    return tuple(BuiltRow.of(m, figure=_figure(m.value)) for m in files.marks)


def _figure(text: str) -> float | None:
    """The number a person wrote: volts, or metres for a length; None where it is none."""
    found = _NUMBER.match(text)
    if found is None:
        return None
    value = float(found[1].replace(",", "."))
    return value / 1000 if found[2] == "mm" else value / 100 if found[2] == "cm" else value


def assembled(
    found: Described,
    fits: Fits,
    wiring: dict[str, object],
    fingerprint: str,
    asks: Asked,
    kept_from: str | None,
) -> Result:
    """The whole result; `wiring` holds the rows of the cables."""
    files = found.files
    inputs = InputsRow(
        job_file=files.job_path.name,
        hull_file=files.hull_path.name,
        fingerprint=fingerprint,
        unlabelled=unlabelled_mark(files),
        standing=standing_mark(files),
        coaming=program_version(),
        seed=asks.seed,
        work=asks.work,
    )
    rows: dict[str, Any] = {**wiring, "pieces": tuple(fits.rows)}
    rows |= {"benches": bench_rows(found, wiring), "boat_holes": boat_hole_rows(found)}
    draft = Result(
        inputs=inputs,
        clocked=fits.clocked or (asks.clocked is not None and asks.clocked()),
        kept_from=kept_from,
        job=files.job.job.name,
        hull=found.boat.name,
        in_order=True,
        labels=labels_for(found),
        boat=boat_row(found.boat),
        pieces=tuple(fits.rows),
        benches=rows["benches"],
        boat_holes=rows["boat_holes"],
        built=_built(files),
        estimate=estimated(found, rows),
        **with_findings(wiring, not_measured_here(found.builder)),  # type: ignore[arg-type]
    )
    good = (
        all(piece.in_order for piece in draft.pieces)
        and all(circuit.in_order for circuit in draft.circuits)
        and not any(pipe.too_full for pipe in draft.holes_and_pipes)
        and not any(finding.urgency == "must" for finding in draft.findings)
    )
    return draft.model_copy(update={"in_order": good})
