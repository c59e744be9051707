"""The files as the page draws them: the boat, its shapes, every length and every dimension."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from layout.boat.parts import Boat
from layout.errors import SizeError, one_line
from layout.job.sizes import PLUS_MINUS_MM, Sizes, inches, looks_measured
from viewer.page.dimensions import Reckoner, dimensions_of, field_key
from viewer.page.reading import Look
from viewer.page.wire import (
    DeskRow,
    DimensionRow,
    JointShape,
    OpeningShape,
    ProblemRow,
    RoomShape,
    SizeRow,
    TerminalShape,
)
from viewer.work.gather_boat import boat_row, labels_of, triple

LENGTHS: tuple[str, ...] = ("from", "to", "size", "centre", "at", "plate", "inner_size")
SINGLE: tuple[str, ...] = ("throat", "corner_radius", "wall", "clip", "bore", "length", "keep_off")


@dataclass(frozen=True, slots=True)
class Now:
    """A job's files as they are: names, tables, steps, and what is to be said of them."""

    job_name: str
    hull_name: str
    job: dict[str, Any]
    hull: dict[str, Any]
    revision: str
    undo: str
    redo: str
    note: str
    elsewhere: str
    deciding: frozenset[str]  # the sizes that decide, of the last answer


def desk_row(now: Now, look: Look) -> DeskRow:
    """The whole row."""
    job, hull = now.job, now.hull
    boat = look.boat
    sizes = look.builder.sizes if look.builder is not None else None
    return DeskRow(
        job_file=now.job_name,
        hull_file=now.hull_name,
        job=_text(job.get("job"), "name") or now.job_name,
        hull=boat.name if boat is not None else now.hull_name,
        revision=now.revision,
        undo=now.undo,
        redo=now.redo,
        problems=tuple(
            ProblemRow(file=f.file, key=f.key, line=f.line, words=f.sentence())
            for f in look.findings
        ),
        elsewhere=now.elsewhere,
        boat=None if boat is None else boat_row(boat),
        openings=() if boat is None else tuple(_openings(boat)),
        joints=() if boat is None else tuple(_joints(boat)),
        terminals=() if boat is None else tuple(_terminals(boat)),
        rooms=() if boat is None else tuple(_rooms(boat)),
        labels=_labels(boat, job),
        sizes=() if sizes is None else tuple(_sizes(job, hull, sizes)),
        dimensions=() if boat is None or sizes is None else tuple(_dimensions(now, boat, sizes)),
        hull_tables=_plain(hull),
        job_tables=_plain(job),
        ways_of_measuring=dict(PLUS_MINUS_MM if sizes is None else sizes.plus_minus),
        note=now.note,
    )


def _text(table: Any, key: str) -> str:
    value = table.get(key) if isinstance(table, dict) else None
    return one_line(value) if isinstance(value, str) else ""


def _plain(value: Any) -> Any:
    """Tables as JSON holds them: dates and the like as text."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return value if isinstance(value, str | int | float | bool) or value is None else str(value)


def _labels(boat: Boat | None, job: dict[str, Any]) -> dict[str, str]:
    out = {} if boat is None else labels_of(boat)
    for group, word in (("circuits", "circuit"), ("banks", "bank"), ("backbones", "backbone")):
        tables = job.get(group)
        for key, table in tables.items() if isinstance(tables, dict) else ():
            out[f"{word}:{key}"] = _text(table, "label") or str(key)
    return out


def _openings(boat: Boat) -> Iterator[OpeningShape]:
    for o in boat.openings.values():
        yield OpeningShape(
            key=o.key,
            centre_mm=triple(o.centre),
            axis=o.axis,
            sign=o.sign,
            size_mm=(float(o.size[0]), float(o.size[1])),
            inner_size_mm=(float(o.inner_size[0]), float(o.inner_size[1])),
            radius_mm=o.radius_mm,
            throat_mm=o.throat_mm,
        )


def _joints(boat: Boat) -> Iterator[JointShape]:
    for hole in boat.holes.values():
        points = (triple(hole.at),)
        yield JointShape(
            key=hole.key, kind="hole", spaces=hole.spaces, points_mm=points, bore_mm=hole.bore_mm
        )
    for kind, group in (("pipe", boat.pipes), ("tray", boat.trays)):
        for x in group.values():
            points2 = (triple(x.at), triple(x.to))
            bore = getattr(x, "bore_mm", 30.0)
            yield JointShape(key=x.key, kind=kind, spaces=x.spaces, points_mm=points2, bore_mm=bore)


def _terminals(boat: Boat) -> Iterator[TerminalShape]:
    for piece in boat.pieces.values():
        for name, t in piece.terminals.items():
            yield TerminalShape(key=f"{piece.key}.{name}", at_mm=triple(t.at), pole=t.pole)


def _rooms(boat: Boat) -> Iterator[RoomShape]:
    for piece in boat.pieces.values():
        for room in piece.rooms:
            half = np.abs(room.rotation) @ room.half
            yield RoomShape(
                why=room.why,
                owner=room.owner,
                low_mm=triple(room.centre - half),
                high_mm=triple(room.centre + half),
            )


def _taken(tables: dict[str, Any], key: str) -> dict[str, Any]:
    record = tables.get("measured", {}).get(key, {})
    record = record if isinstance(record, dict) else {}
    return {
        "by": str(record.get("by", "")),
        "on": str(record.get("on", "")),
        "verified": record.get("verified") is True,
    }


def _written_lengths(tables: dict[str, Any]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every length of a file with its path."""
    for name, text in tables.get("sizes", {}).items():
        yield ("sizes", name), text
    groups = ("spaces", "openings", "solids", "hazards", "holes", "pipes", "trays", "boards")
    for group in (*groups, "pieces"):
        for key, table in tables.get(group, {}).items():
            for field, value in table.items() if isinstance(table, dict) else ():
                if field in LENGTHS and isinstance(value, list):
                    for n, text in enumerate(value):
                        yield (group, key, field, n), text
                elif field in SINGLE:
                    yield (group, key, field), value


def _sizes(job: dict[str, Any], hull: dict[str, Any], sizes: Sizes) -> Iterator[SizeRow]:
    for file, tables in (("hull", hull), ("job", job)):
        for path, text in _written_lengths(tables):
            named = path[0] == "sizes"
            key = str(path[1]) if named else field_key(path)
            try:
                mm = sizes.value(key) if named else sizes.mm(text, key)
            except (SizeError, TypeError):
                continue
            m = sizes.measured.get(key)
            yield SizeRow(
                key=field_key(path),
                file=file,
                text=f"{text:g}" if isinstance(text, int | float) else str(text),
                mm=mm,
                inches=inches(mm),
                plus_minus_mm=m.plus_minus_mm if m is not None else 0.0,
                how=m.how if m is not None else "",
                worked_out=isinstance(text, str) and not looks_measured(text),
                **_taken(tables, key),
            )


def _dimensions(now: Now, boat: Boat, sizes: Sizes) -> Iterator[DimensionRow]:
    reckoner = Reckoner(now.hull, sizes)
    for d in dimensions_of(boat):
        try:
            f = reckoner.found(d)
        except SizeError:
            continue
        key = next(iter(f.slopes), "") if len(f.slopes) == 1 else ""
        ahead = bool(now.deciding & {*f.slopes})
        yield DimensionRow(
            key=d.key,
            words=d.words,
            whose=d.of,
            axis=d.axis,
            from_mm=d.from_mm,
            to_mm=d.to_mm,
            mm=f.mm,
            inches=inches(f.mm),
            plus_minus_mm=f.plus_minus_mm,
            how=f.how,
            **_taken(now.hull, key),
            rank=d.rank - 10 * ahead,
            size_key=key,
        )
