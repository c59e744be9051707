"""The boat and the answers of the layout room as rows."""

from typing import Any

import numpy as np

from layout.boat.openings import rim_bars
from layout.boat.parts import PLATE, Boat, Opening, Piece
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose
from layout.passage.moves import Move
from layout.verdict.answers import PieceFit
from layout.verdict.holding import held_by
from layout.verdict.remedies import Remedy
from layout.verdict.rest import Clash
from viewer.work.piece_rows import (
    BoatRow,
    BoxRow,
    ClashRow,
    DecidingRow,
    HazardRow,
    HeldRow,
    MoveRow,
    OpeningRow,
    PieceRow,
    PoseRow,
    RemedyRow,
    SolidRow,
    SpaceRow,
    StandRow,
)

Triple = tuple[float, float, float]


def triple(x: Array) -> Triple:
    """Three numbers as a row holds them."""
    return float(x[0]), float(x[1]), float(x[2])


def _box(key: str, centre: Array, half: Array, rotation: Array) -> BoxRow:
    r = np.asarray(rotation)
    return BoxRow(
        key=key,
        centre_mm=triple(centre),
        half_mm=triple(half),
        rotation=(triple(r[0]), triple(r[1]), triple(r[2])),
    )


def _boxes(b: BoxSet) -> tuple[BoxRow, ...]:
    rows = zip(b.names, b.centre_mm, b.half_mm, b.rotation, strict=True)
    return tuple(_box(*row) for row in rows)


def _opening(o: Opening) -> OpeningRow:
    bars = tuple(_box("", c, h, np.eye(3)) for c, h in rim_bars(o))
    size = (float(o.size[0]), float(o.size[1]))
    return OpeningRow(
        key=o.key, inner=o.inner, outer=o.outer, axis=o.axis, sign=o.sign, size_mm=size, bars=bars
    )


def _stand(boat: Boat, p: Piece) -> StandRow:
    plate = triple(p.plate_mm) if p.is_board else None
    return StandRow(
        key=p.key,
        kind=p.kind,
        space=p.space,
        is_board=p.is_board,
        fixed_already=p.fixed_already,
        mass_kg=p.mass_kg,
        size_mm=triple(p.size_mm),
        at_mm=triple(p.rest.at_mm),
        body=_boxes(p.body),
        plate_mm=plate,
        held_by=held_by(boat, p),
        said_held_by=p.said_held_by,
        parts=tuple(p.parts),
    )


def boat_row(boat: Boat) -> BoatRow:
    """What is where."""
    return BoatRow(
        length_mm=boat.length_mm,
        beam_mm=boat.beam_mm,
        spaces=tuple(
            SpaceRow(key=s.key, low_mm=triple(s.low), high_mm=triple(s.high), site=s.site)
            for s in boat.spaces.values()
        ),
        openings=tuple(_opening(o) for o in boat.openings.values()),
        solids=tuple(
            SolidRow(key=s.key, space=s.space, box=_box(s.key, s.centre, s.half, s.rotation))
            for s in boat.solids.values()
        ),
        hazards=tuple(
            HazardRow(key=z.key, space=z.space, low_mm=triple(z.low), high_mm=triple(z.high))
            for z in boat.hazards.values()
        ),
        stands=tuple(_stand(boat, p) for p in boat.pieces.values()),
        trays={t.key: t.spaces for t in boat.trays.values()},
    )


def labels_of(boat: Boat) -> dict[str, str]:
    """What people call everything that has a key."""
    out: dict[str, str] = {}
    groups: tuple[tuple[str, dict[str, Any]], ...] = (
        ("space", boat.spaces),
        ("opening", boat.openings),
        ("solid", boat.solids),
        ("hazard", boat.hazards),
        ("joint", {**boat.holes, **boat.pipes, **boat.trays}),
        ("piece", boat.pieces),
    )
    for word, group in groups:
        for key, thing in group.items():
            out[f"{word}:{key}"] = thing.label
    for p in boat.pieces.values():
        for key, part in p.parts.items():
            out[f"piece:{p.key}.{key}"] = part.label
        if p.is_board:
            out[f"piece:{p.key}.{PLATE}"] = "plate"
    return out


def pose_row(p: Pose) -> PoseRow:
    """A pose."""
    q = p.quat
    return PoseRow(at_mm=triple(p.at_mm), quat=(float(q[0]), float(q[1]), float(q[2]), float(q[3])))


def pose_of(row: PoseRow) -> Pose:
    """The pose a row holds."""
    return Pose.checked(row.at_mm, row.quat)


def _move(m: Move) -> MoveRow:
    held = HeldRow(
        long_axis=m.held.long_axis,
        end_down=m.held.end_down,
        down_deg=m.held.down_deg,
        flat=m.held.flat,
    )
    return MoveRow(
        step=m.step.value,
        shift_mm=triple(m.shift_mm),
        turn_deg=triple(m.turn_deg),
        least_clearance_mm=m.least_clearance_mm,
        near_body=m.near_body,
        near_fixed=m.near_fixed,
        nearest_mm=None if m.nearest_mm is None else triple(m.nearest_mm),
        start=pose_row(m.start),
        end=pose_row(m.end),
        held=held,
    )


def _clash(c: Clash) -> ClashRow:
    return ClashRow(what=c.what, other=c.other, depth_mm=c.depth_mm, room=c.room)


def piece_row(f: PieceFit, boat: Boat, mark: bytes) -> PieceRow:
    """The answer for one piece."""
    p = f.passage
    anchor = boat.openings[f.way[-1]].centre if f.way else np.zeros(3)
    return PieceRow(
        key=f.key,
        verdict=f.answer.value,
        evidence=p.evidence.value if p is not None else "none",
        way=f.way,
        also_open=f.also_open,
        anchor_mm=triple(anchor),
        path=tuple(pose_row(x) for x in p.path) if p is not None else (),
        moves=tuple(_move(m) for m in f.moves),
        least_clearance_mm=f.least_clearance_mm,
        nearly_touching=f.nearly_touching,
        worst_end=f.worst.value if f.worst is not None else None,
        best_end=f.best.value if f.best is not None else None,
        deciding_sizes=tuple(
            DecidingRow(
                key=d.key,
                value_mm=d.value_mm,
                plus_minus_mm=d.plus_minus_mm,
                how=d.how,
                effect_mm=d.effect_mm,
                share=d.share,
            )
            for d in f.deciding
        ),
        clashes=tuple(_clash(c) for c in f.clashes),
        rooms_taken=tuple(_clash(c) for c in f.rooms_taken),
        out_again=f.out_again.value if f.out_again is not None else None,
        out_first=f.out_first,
        out_moves=tuple(_move(m) for m in f.out_moves),
        in_place=f.in_place,
        no_opening=f.no_opening,
        free_by_mm=None if f.free_by_mm is None else triple(f.free_by_mm),
        shortfall_mm=f.shortfall_mm,
        steps=p.steps if p is not None else 0,
        cells=p.cells if p is not None else 0,
        kept=f.kept,
        in_order=f.in_order,
        mark=mark.hex(),
    )


def remedy_row(r: Remedy) -> RemedyRow:
    """A remedy."""
    return RemedyRow(
        kind=r.kind.value,
        keys=r.keys,
        minutes=r.minutes,
        axis=r.axis,
        sizes_mm=r.sizes_mm,
        less_mm=r.less_mm,
        at_limit=r.at_limit,
    )
