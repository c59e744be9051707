"""Make the boat from the files for one set of size values, and find what does not make sense.

`Builder(files).boat()` gives the nominal boat or raises JobError with every problem of the files
and of what they describe; `Builder.boat(nudge)` gives the boat with some measured sizes moved,
which is how the deciding sizes are found.
"""

from collections.abc import Mapping
from threading import Lock

from layout.boat.cable_ways import (
    build_cable_ways,
    build_circuit_lengths,
    build_stock,
    build_tees,
)
from layout.boat.hull_parts import build_hazards, build_openings, build_solids, build_spaces
from layout.boat.parts import Boat, Piece
from layout.boat.placing import build_pieces
from layout.boat.reader import Reader, sizes_of
from layout.errors import Finding, JobError, shown
from layout.job.reading import JobFiles


class Builder:
    """Turns checked files into a boat; a boat once built is kept."""

    def __init__(self, files: JobFiles) -> None:
        self.files = files
        self._found: list[Finding] = list(files.findings)
        self.sizes = sizes_of(files, self._found)
        self._lock = Lock()
        self._made: dict[tuple[tuple[str, float], ...], Boat] = {}

    def boat(self, nudge: Mapping[str, float] | None = None) -> Boat:
        """The boat with the measured sizes in `nudge` moved. Raises JobError with every problem."""
        key = tuple(sorted((nudge or {}).items()))
        with self._lock:
            if key not in self._made:
                boat, found = self.try_boat(nudge)
                if (
                    found and not nudge
                ):  # a size moved to its end may make no sense: it still decides
                    raise JobError(found)
                self._made[key] = boat
            return self._made[key]

    def try_boat(self, nudge: Mapping[str, float] | None = None) -> tuple[Boat, list[Finding]]:
        """(the boat as far as it can be built, every problem): for one that may not make sense."""
        r = Reader(self.files, self.sizes if not nudge else self.sizes.nudged(nudge))
        hull = self.files.hull.hull
        length, beam = r.mm(hull.length, "hull.length", 500), r.mm(hull.beam, "hull.beam", 200)
        spaces = build_spaces(r, length)
        solids, openings = build_solids(r, spaces), build_openings(r, spaces)
        hazards, ways = build_hazards(r, spaces), build_cable_ways(r, spaces)
        pieces = build_pieces(r, spaces, openings, solids, length)
        order = _order(r, pieces)
        clearance = r.mm(self.files.job.job.clearance, "job.clearance", 0)
        boat = Boat(
            hull.name,
            length,
            beam,
            spaces,
            openings,
            solids,
            hazards,
            ways.holes,
            ways.pipes,
            ways.trays,
            build_tees(r, spaces),
            pieces,
            order,
            clearance,
            build_circuit_lengths(r),
            build_stock(r),
        )
        return boat, [*self._found, *r.findings]


def _order(reader: Reader, pieces: dict[str, Piece]) -> tuple[str, ...]:
    """The order of fitting the job gives, by keys; labels are taken too."""
    given = reader.files.job.order
    if given is None:
        return ()
    labels = {piece.key: piece.label for piece in pieces.values()}
    found = [
        reader.resolved(n, f"order[{i + 1}]", labels, "a board or piece")
        for i, n in enumerate(given)
    ]
    good = [n for n in found if n is not None]
    for n in sorted({g for g in good if good.count(g) > 1}):
        reader.say("order", f"{shown(n)} more than once", "each name once")
    return tuple(dict.fromkeys(good))
