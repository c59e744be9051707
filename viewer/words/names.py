"""What people call things: keys into words, and lengths as every sheet shows them."""

from collections.abc import Mapping
from typing import Final, Protocol

from layout.job.sizes import inches

SIDES: Final = {
    "aft": "aft side",
    "forward": "forward side",
    "starboard": "starboard side",
    "port": "port side",
    "bottom": "floor",
    "top": "top",
}
EDGES: Final = {
    **SIDES,
    "aft": "aft",
    "forward": "forward",
    "starboard": "starboard",
    "port": "port",
    "bottom": "lower",
    "top": "upper",
}
SIZE_TABLES: Final = ("spaces", "openings", "solids", "hazards", "pieces", "boards", "sizes")


def mm(value: float) -> str:
    """A length: mm first, inches after."""
    return f"{value:.0f} mm ({inches(value)})"


def metres(value_mm: float) -> str:
    """A length in metres."""
    return f"{value_mm / 1000:.2f} m"


def times(*values_mm: float) -> str:
    """Sizes side by side."""
    return " x ".join(f"{v:.0f}" for v in values_mm) + " mm"


def joined(words: list[str], last: str = "and") -> str:
    """Words as a list in a sentence."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + f" {last} {words[-1]}"


def short(label: str) -> str:
    """The short form of a label: what stands before its first comma."""
    return label.split(",", maxsplit=1)[0]


class Labelled(Protocol):
    """Anything that carries what people call every key: a result, or a part of one."""

    @property
    def labels(self) -> Mapping[str, str]:
        """By key with its kind."""


class Names:
    """The words for the keys of one result."""

    def __init__(self, result: Labelled) -> None:
        self.labels = result.labels

    def of(self, key: str) -> str:
        """What people call a thing by its key with its kind; the bare key where it has no label."""
        kind, _, name = key.partition(":")
        if kind == "wall":
            space, _, face = name.rpartition(".")
            return f"{self.space(space)}, {SIDES[face]}"
        if kind == "rim":
            opening, _, face = name.rpartition(".")
            return f"{EDGES[face]} edge of {self.opening(opening)}"
        if kind == "corner":
            return f"rounded corner of {self.opening(name)}"
        if kind == "space":
            return f"the sides of {self.space(name)}"
        if kind == "circuit":
            return f"circuit {name}, {self.labels.get(key, '')}"
        if kind == "bank" and key not in self.labels:
            return self.piece(name)
        return self.labels.get(key, name or key)

    def terminal(self, name: str) -> str:
        """A terminal by its full name: what it is on, and which of them."""
        place, _, own = name.rpartition(".")
        return f"{self.place(place)}, {own.replace('_', ' ')}"

    def box(self, key: str) -> str:
        """A box of a body: the part and its board, a piece, or a part of the boat."""
        if ":" in key.partition("/")[0]:
            return self.of(key)
        own, _, what = key.partition("/")
        piece, _, part = own.partition(".")
        label = self.piece(piece) if not part else f"{self.part(own)} of {self.piece(piece)}"
        return f"{label} ({what})" if what else label

    def piece(self, key: str) -> str:
        """A board or piece."""
        return self.labels.get(f"piece:{key}", key)

    def part(self, key: str) -> str:
        """A part of a board by `BOARD.PART`, or a piece."""
        return self.labels.get(f"piece:{key}", key)

    def place(self, key: str) -> str:
        """A part with its board, where it is one."""
        piece, _, part = key.partition(".")
        return self.piece(piece) if not part else f"{self.part(key)} on {self.piece(piece)}"

    def space(self, key: str) -> str:
        """A space."""
        return self.labels.get(f"space:{key}", key)

    def opening(self, key: str) -> str:
        """An opening."""
        return self.labels.get(f"opening:{key}", key)

    def joint(self, key: str) -> str:
        """A hole, pipe or tray, in short."""
        return short(self.labels.get(f"joint:{key}", key))

    def joint_whole(self, key: str) -> str:
        """A hole, pipe or tray, in full."""
        return self.labels.get(f"joint:{key}", key)

    def circuit(self, number: str) -> str:
        """A circuit's label."""
        return self.labels.get(f"circuit:{number}", number)

    def face(self, key: str) -> str:
        """A face by `SPACE.FACE`."""
        space, _, face = key.rpartition(".")
        return f"{self.space(space)}, {SIDES[face]}"

    def where(self, kind: str, key: str, face: str | None) -> str:
        """Where a run lies."""
        if face is not None:
            return self.face(face)
        return self.joint_whole(key) if kind in ("hole", "pipe", "tray") else self.space(key)

    def about(self, keys: tuple[str, ...]) -> str:
        """What a finding is about; circuits as a list of numbers where there are several."""
        circuits = [k.partition(":")[2] for k in keys if k.startswith("circuit:")]
        if len(circuits) > 1 and len(circuits) == len(keys):
            return f"Circuits {joined(circuits)}"
        words = {
            "job:network": "The DC network",
            "job:batteries": "The batteries",
            "boat:sizes": "The boat's sizes",
        }
        out = [
            words.get(k) or (f"Cable {k[6:]}" if k.startswith("cable:") else self.of(k))
            for k in keys
        ]
        text = joined(out)
        return text[:1].upper() + text[1:]


def size_label(key: str) -> str:
    """A size's key in the files as a person reads it."""
    text = key.replace("[1]", "").replace("[2]", " 2").replace("[3]", " 3")
    parts = text.split(".")
    words = parts[1:] if parts[0] in SIZE_TABLES else parts
    return " ".join(words).replace("_", " ")
