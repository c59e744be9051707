"""Names in circuits and stock that nothing has."""

from pathlib import Path
from typing import Final

from layout.boat.parts import Boat
from layout.boat.reader import Reader
from layout.errors import Finding, did_you_mean, one_line, shown
from layout.job.reading import JobFiles
from routing.sizes.conductors import catalogue

CATALOGUES: Final = ("mm2", "AWG")


def check_names(files: JobFiles, boat: Boat, reader: Reader) -> None:
    """Note every name of a joint or size in circuits and stock that nothing has."""
    job = files.job
    joints = [*boat.holes, *boat.pipes, *boat.trays]
    sizes = [k.name for k in catalogue(job.job.catalogue)]
    wanted = "a size of the catalogue: " + ", ".join(sizes)
    for number, model in job.circuits.items():
        for field, names in (("via", model.via), ("avoid", model.avoid)):
            for i, name in enumerate(names):
                reader.known(
                    name, f"circuits.{number}.{field}[{i + 1}]", joints, "a hole, pipe or tray"
                )
        if model.cable is not None and model.cable not in sizes:
            hint = did_you_mean(model.cable, sizes)
            reader.say(f"circuits.{number}.cable", shown(model.cable), wanted, hint, model.label)
        if model.lead_lengths and not model.signal:
            reader.say(
                f"circuits.{number}.lead_lengths",
                f"{len(model.lead_lengths)} lengths",
                "ready-made leads only where signal = true",
                "power cable is cut from drums",
                model.label,
            )
    own = len(job.stock) - len(files.shelf.remnants)  # what lies on the shelf comes after
    for i, stock in enumerate(job.stock[:own]):
        if stock.cable not in sizes:
            hint = did_you_mean(stock.cable, sizes, 0.5)
            reader.say(f"stock[{i + 1}].cable", shown(stock.cable), wanted, hint, stock.label)
    _check_shelf(files, reader)


def _check_shelf(files: JobFiles, reader: Reader) -> None:
    """Note sizes no catalogue has: jobs in mm² and in AWG share one shelf, each takes its own."""
    sizes = [k.name for name in CATALOGUES for k in catalogue(name)]
    name = one_line(Path(files.job.job.shelf).name)
    for i, r in enumerate(files.shelf.remnants):
        if r.cable not in sizes:
            key = f"remnants[{i + 1}].cable"
            wanted = "a size of a catalogue: " + ", ".join(sizes)
            hint = did_you_mean(r.cable, sizes, 0.5)
            line = files.line(name, key)
            reader.findings.append(Finding(name, key, shown(r.cable), wanted, hint, line, r.label))
