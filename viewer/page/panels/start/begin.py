"""The first text of a hull or a job, from what a person told."""

import contextlib
from typing import Any, Final

import tomlkit

from layout.boat.faces import FACES, across
from layout.errors import CoamingError
from layout.job.sizes import PLUS_MINUS_MM, looks_measured, parse_measure
from viewer.page.dimensions import LOWS, SPANS, measure_of, written_measure
from viewer.page.edits.changes import Change, changed_text
from viewer.page.folder import key_from

USUAL_LENGTH: Final = "8 m"  # of a boat whose own length is not told yet
USUAL_BEAM: Final = "2.6 m"
SISTER: Final = "sister boat"
NO_SIZE: Final = ("0", "0 mm", "")


def first_job(name: str, hull: str) -> str:
    """A job with nothing in it yet."""
    doc = tomlkit.document()
    doc.add("job", tomlkit.item({"name": name, "hull": hull, "clearance": 3}))
    return tomlkit.dumps(doc)


def first_hull(told: dict[str, Any]) -> str:
    """A hull with one space and one hatch. Raises CoamingError naming the figure that is none."""
    space, hatch = key_from(told["place"], set()), key_from(told["hatch"], set())
    if hatch == space:
        hatch = f"{hatch}_hatch"
    axis, _ = FACES[told["face"]]
    u, v = across(axis)
    sizes = {f"{space}_{SPANS[k]}": _size(told, SPANS[k]) for k in range(3)}
    opening: dict[str, Any] = {
        "label": told["hatch"],
        "between": [space, "outside"],
        "face": told["face"],
        "centre": [],
        "size": [],
    }
    for word, k in (("first", u), ("second", v)):
        name = f"{hatch}_{SPANS[k]}"
        sizes[name] = _size(told, f"hatch_{word}")
        opening["size"].append(name)
        if told[f"from_{word}"].strip():
            edge = f"{hatch}_from_{LOWS[k].removesuffix(' side')}"
            sizes[edge] = _size(told, f"from_{word}")
            opening["centre"].append(f"{edge} + {name} / 2")
        else:
            opening["centre"].append(f"{space}_{SPANS[k]} / 2")
    if told["corner_radius"].strip() not in NO_SIZE:
        sizes[f"{hatch}_corner_radius"] = _size(told, "corner_radius")
        opening["corner_radius"] = f"{hatch}_corner_radius"
    sizes[f"{hatch}_throat"] = _size(told, "throat")
    opening["throat"] = f"{hatch}_throat"
    return _text(told, space, hatch, sizes, opening)


def _text(
    told: dict[str, Any], space: str, hatch: str, sizes: dict[str, str], opening: dict[str, Any]
) -> str:
    start = "# Measured with coaming. x is forward, y to port, z up.\n\n[hull]\n"
    note = "Its own length and beam are not measured yet: these are usual ones."
    by = {"by": told["by"]} if told["by"] else {}
    changes = [
        Change(path=("hull", "name"), value=told["boat"]),
        Change(path=("hull", "length"), value=USUAL_LENGTH),
        Change(path=("hull", "beam"), value=USUAL_BEAM),
        Change(path=("hull", "note"), value=note),
        *(Change(path=("sizes", k), value=text) for k, text in sizes.items()),
        *(Change(path=("measured", k), value={**by, "verified": True}) for k in sizes),
        Change(
            path=("spaces", space),
            value={
                "label": told["place"],
                "from": [0, 0, 0],
                "to": [f"{space}_{word}" for word in SPANS],
                "site": told["site"],
            },
        ),
        Change(path=("openings", hatch), value=opening),
    ]
    return changed_text(start, changes)


WORDS: Final = {
    "length": "how long the place is",
    "breadth": "how broad the place is",
    "height": "how high the place is",
    "hatch_first": "the first size of the hatch",
    "hatch_second": "the second size of the hatch",
    "from_first": "where the hatch is",
    "from_second": "where the hatch is",
    "corner_radius": "how round its corners are",
    "throat": "how deep the rim is",
}


def _size(told: dict[str, Any], key: str) -> str:
    """One figure a person told, as a measured length."""
    try:
        text = written_measure(told[key], "", told["how"], PLUS_MINUS_MM)
        if measure_of(text, PLUS_MINUS_MM).value_mm <= 0:
            raise CoamingError("it is more than nothing")
    except CoamingError as e:
        raise CoamingError(f"Tell {WORDS[key]}: {e}") from None
    return text


def copied_hull(text: str, name: str) -> str:
    """The hull of a sister boat: what was measured is as doubtful as on another boat of the kind.

    Every size keeps its figure; its ± becomes that of a sister boat and its record goes.
    """
    import tomllib

    tables = tomllib.loads(text)
    old = tables.get("hull", {}).get("name", "another boat")
    changes = [
        Change(path=("hull", "name"), value=name),
        Change(path=("hull", "copied_from"), value=str(old)),
    ]
    if "measured" in tables:
        changes.append(Change(path=("measured",), value=None))
    ways = dict(PLUS_MINUS_MM)
    for how, wide in tables.get("plus_minus", {}).items():
        with contextlib.suppress(CoamingError):
            ways[how] = float(wide) if not isinstance(wide, str) else parse_measure(wide).value_mm
    changes += _doubted(tables, (), ways)
    return changed_text(text, changes)


def _doubted(value: Any, path: tuple[str | int, ...], ways: dict[str, float]) -> list[Change]:
    if isinstance(value, dict):
        keys = [k for k in value if not (not path and k in ("hull", "plus_minus", "measured"))]
        return [c for k in keys for c in _doubted(value[k], (*path, k), ways)]
    if isinstance(value, list):
        return [c for n, v in enumerate(value) for c in _doubted(v, (*path, n), ways)]
    if isinstance(value, str) and looks_measured(value):
        try:
            m = parse_measure(value, ways)
        except CoamingError:
            return []
        wide = max(m.plus_minus_mm, PLUS_MINUS_MM[SISTER])
        return [Change(path=path, value=f"{m.value_mm:g} mm ±{wide:g} {SISTER}")]
    return []
