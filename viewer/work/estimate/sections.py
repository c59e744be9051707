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
        if not model.section and of_type is not None and of_type.kind in ("switch", "other"):
            return self._by_use(key)
        return model.section or OF_KIND.get(of_type.kind if of_type else "", GEAR)

    def _by_use(self, key: str) -> str:
        """Of a switch the section of what it feeds; of what ends a data lead, the instruments."""
        c = self.circuits
        for n, m in c.models.items():
            feed, load = c.feeds[n].piece, c.loads[n].piece
            if m.signal and key in (feed.key, load.key):
                return INSTRUMENTS
            if feed.key == key and load.key != key and not load.is_board:
                kind = c.loads[n].kind
                return OF_KIND.get(kind, GEAR) if kind not in ("switch", "other") else GEAR
        return GEAR

    def circuit(self, number: str) -> str:
        """A circuit's section: its own, else that of what it feeds; a data lead's is its gear's."""
        model = self.circuits.models[number]
        if model.section:
            return model.section
        load = self.circuits.loads[number]
        if model.signal:
            return INSTRUMENTS
        if not load.piece.is_board:
            return self.piece(load.piece.key)
        return OF_KIND.get(load.kind, POWER)
