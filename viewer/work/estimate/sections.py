"""Which section of the quote a thing belongs to: as the job tells, else by what it is for."""

from types import MappingProxyType
from typing import Final

from layout.job.reading import JobFiles
from routing.circuits.circuits import Circuits

ALL: Final = "all"
POWER, INSTRUMENTS, LIGHTS, GEAR = "power", "instruments", "lights", "gear"
OF_KIND: Final = MappingProxyType(
    {
        **dict.fromkeys(
            ("battery", "charger", "mains charger", "alternator", "converter", "solar panel",
             "isolator", "fuse", "fuse panel", "bus bar", "shunt", "shore inlet", "starter"),
            POWER,
        ),
        **dict.fromkeys(("instrument", "radio", "sensor"), INSTRUMENTS),
        **dict.fromkeys(("light", "navigation light"), LIGHTS),
    }
)  # fmt: skip


class Sections:
    """The sections of one job."""

    def __init__(self, files: JobFiles, circuits: Circuits) -> None:
        self.files, self.circuits = files, circuits

    def board(self) -> str:
        """Boards are part of the power."""
        return POWER

    def piece(self, key: str) -> str:
        """A piece's section."""
        model = self.files.job.pieces[key]
        of_type = self.files.types.get(model.type)
        return model.section or OF_KIND.get(of_type.kind if of_type else "", GEAR)

    def circuit(self, number: str) -> str:
        """A circuit's section: its own, else that of what it feeds; a data lead's is its gear's."""
        model = self.circuits.models[number]
        if model.section:
            return model.section
        load = self.circuits.loads[number]
        if not load.piece.is_board:
            return self.piece(load.piece.key)
        if model.signal:
            return INSTRUMENTS
        return OF_KIND.get(load.kind, POWER)
