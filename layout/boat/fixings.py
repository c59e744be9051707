"""The holes a type of gear is fixed by, and the one it is let into a face through."""

from dataclasses import dataclass

from layout.boat.reader import Reader
from layout.job.type_models import TypeModel

LEAST_BORE_MM = 0.5


@dataclass(frozen=True, slots=True)
class Fixing:
    """A hole a type is fixed by, from the middle of its foot."""

    at: tuple[float, float]
    bore_mm: float
    screw: str
    reach_mm: float | None


@dataclass(frozen=True, slots=True)
class LetIn:
    """The hole a type is let into a face through, from the middle of its foot."""

    at: tuple[float, float]
    size_mm: tuple[float, float]
    radius_mm: float


def fixings_of(reader: Reader, model: TypeModel, name: str) -> tuple[Fixing, ...]:
    """The fixings of a type; what makes no sense is noted."""
    out = []
    for i, f in enumerate(model.fixings):
        key = f"types.{name}.fixings[{i + 1}]"
        x, y = reader.vec(f.at, f"{key}.at")
        bore = reader.mm(f.hole, f"{key}.hole", LEAST_BORE_MM)
        reach = None if f.reach is None else reader.mm(f.reach, f"{key}.reach", 0)
        out.append(Fixing((float(x), float(y)), bore, f.screw, reach))
    return tuple(out)


def hole_of(reader: Reader, model: TypeModel, name: str) -> LetIn | None:
    """The hole a type is let in through; None where it stands on its face."""
    c = model.cut_out
    if c is None:
        return None
    key = f"types.{name}.cut_out"
    length, breadth = (float(v) for v in reader.vec(c.size, f"{key}.size", 1))
    x, y = (float(v) for v in reader.vec(c.at, f"{key}.at"))
    radius = reader.mm(c.corner_radius, f"{key}.corner_radius", 0)
    most = min(length, breadth) / 2
    if radius > most + 1e-9:
        wanted = f"at most half the hole's least size, {most:g} mm"
        reader.say(f"{key}.corner_radius", f"{radius:g} mm", wanted, "", model.label)
        radius = most
    return LetIn((x, y), (length, breadth), radius)
