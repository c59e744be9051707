"""The boat and the answers of the layout room as rows."""

from collections import Counter
from typing import Any

import numpy as np

from layout.boat.openings import rim_bars
from layout.boat.parts import PLATE, Boat, Opening, Piece
from layout.geometry.frames import Array
from layout.geometry.shapes import BoxSet, Pose
from layout.passage.moves import Move
from layout.passage.stops import Stop
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
    RestRow,
    SolidRow,
    SpaceRow,
    StandRow,
    StopRow,
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


def boxes_of(boxes: BoxSet) -> tuple[BoxRow, ...]:
    """Boxes as rows."""
    rows = zip(boxes.names, boxes.centre_mm, boxes.half_mm, boxes.rotation, strict=True)
    return tuple(_box(*row) for row in rows)


def _opening(opening: Opening) -> OpeningRow:
    bars = tuple(_box("", c, h, np.eye(3)) for c, h in rim_bars(opening))
    size = (float(opening.size[0]), float(opening.size[1]))
    return OpeningRow(
        key=opening.key,
        inner=opening.inner,
        outer=opening.outer,
        axis=opening.axis,
        sign=opening.sign,
        size_mm=size,
        bars=bars,
    )


def _stand(boat: Boat, piece: Piece) -> StandRow:
    plate = triple(piece.plate_mm) if piece.is_board else None
    return StandRow(
        key=piece.key,
        kind=piece.kind,
        space=piece.space,
        is_board=piece.is_board,
        fixed_already=piece.fixed_already,
        mass_kg=piece.mass_kg,
        size_mm=triple(piece.size_mm),
        at_mm=triple(piece.rest.at_mm),
        body=boxes_of(piece.body),
        plate_mm=plate,
        held_by=held_by(boat, piece),
        said_held_by=piece.said_held_by,
        parts=tuple(piece.parts),
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
        openings=tuple(_opening(opening) for opening in boat.openings.values()),
        solids=tuple(
            SolidRow(
                key=solid.key,
                space=solid.space,
                box=_box(solid.key, solid.centre, solid.half, solid.rotation),
            )
            for solid in boat.solids.values()
        ),
        hazards=tuple(
            HazardRow(
                key=hazard.key,
                space=hazard.space,
                low_mm=triple(hazard.low),
                high_mm=triple(hazard.high),
            )
            for hazard in boat.hazards.values()
        ),
        stands=tuple(_stand(boat, piece) for piece in boat.pieces.values()),
        trays={tray.key: tray.spaces for tray in boat.trays.values()},
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
        out |= told_apart({f"{word}:{key}": thing.label for key, thing in group.items()})
    for piece in boat.pieces.values():
        own = {f"piece:{piece.key}.{key}": part.label for key, part in piece.parts.items()}
        out |= told_apart(own)
        if piece.is_board:
            out[f"piece:{piece.key}.{PLATE}"] = "plate"
    return out


def told_apart(labels: dict[str, str]) -> dict[str, str]:
    """Labels by key; those that several share hold their key as well, before their first comma."""
    count = Counter(labels.values())
    out = {}
    for key, label in labels.items():
        if count[label] > 1:
            own = key.rpartition(":")[2].rpartition(".")[2].replace("_", " ")
            name, comma, rest = label.partition(",")
            label = f"{name} ({own}){comma}{rest}"
        out[key] = label
    return out


def pose_row(pose: Pose) -> PoseRow:
    """A pose."""
    q = pose.quat
    return PoseRow(
        at_mm=triple(pose.at_mm), quat=(float(q[0]), float(q[1]), float(q[2]), float(q[3]))
    )


def pose_of(row: PoseRow) -> Pose:
    """The pose a row holds."""
    return Pose.checked(row.at_mm, row.quat)


def _move(move: Move) -> MoveRow:
    held = HeldRow(
        long_axis=move.held.long_axis,
        end_down=move.held.end_down,
        down_deg=move.held.down_deg,
        flat=move.held.flat,
    )
    stop, rest = move.stop, move.rest
    return MoveRow(
        step=move.step.value,
        shift_mm=triple(move.shift_mm),
        turn_deg=triple(move.turn_deg),
        least_clearance_mm=move.least_clearance_mm,
        near_body=move.near_body,
        near_fixed=move.near_fixed,
        nearest_mm=None if move.nearest_mm is None else triple(move.nearest_mm),
        start=pose_row(move.start),
        end=pose_row(move.end),
        held=held,
        stop=None if stop is None else _stop(stop),
        rest=None if rest is None else RestRow(below_mm=rest.below_mm, fixed=rest.fixed),
    )


def _stop(stop: Stop) -> StopRow:
    axis, sign = stop.side
    return StopRow(more=stop.more, body=stop.body, fixed=stop.fixed, axis=axis, sign=sign)


def _clash(clash: Clash) -> ClashRow:
    return ClashRow(what=clash.what, other=clash.other, depth_mm=clash.depth_mm, room=clash.room)


def piece_row(fit: PieceFit, boat: Boat, mark: bytes) -> PieceRow:
    """The answer for one piece."""
    p = fit.passage
    anchor = boat.openings[fit.way[-1]].centre if fit.way else np.zeros(3)
    return PieceRow(
        key=fit.key,
        verdict=fit.answer.value,
        evidence=p.evidence.value if p is not None else "none",
        way=fit.way,
        also_open=fit.also_open,
        anchor_mm=triple(anchor),
        path=tuple(pose_row(pose) for pose in p.path) if p is not None else (),
        moves=tuple(_move(move) for move in fit.moves),
        least_clearance_mm=fit.least_clearance_mm,
        nearly_touching=fit.nearly_touching,
        worst_end=fit.worst.value if fit.worst is not None else None,
        best_end=fit.best.value if fit.best is not None else None,
        deciding_sizes=tuple(
            DecidingRow(
                key=d.key,
                value_mm=d.value_mm,
                plus_minus_mm=d.plus_minus_mm,
                how=d.how,
                effect_mm=d.effect_mm,
                share=d.share,
            )
            for d in fit.deciding
        ),
        clashes=tuple(_clash(clash) for clash in fit.clashes),
        rooms_taken=tuple(_clash(c) for c in fit.rooms_taken),
        out_again=fit.out_again.value if fit.out_again is not None else None,
        out_first=fit.out_first,
        out_moves=tuple(_move(m) for m in fit.out_moves),
        in_place=fit.in_place,
        no_opening=fit.no_opening,
        free_by_mm=None if fit.free_by_mm is None else triple(fit.free_by_mm),
        shortfall_mm=fit.shortfall_mm,
        steps=p.steps if p is not None else 0,
        cells=p.cells if p is not None else 0,
        kept=fit.kept,
        in_order=fit.in_order,
        mark=mark.hex(),
    )


def remedy_row(remedy: Remedy) -> RemedyRow:
    """A remedy."""
    return RemedyRow(
        kind=remedy.kind.value,
        keys=remedy.keys,
        minutes=remedy.minutes,
        axis=remedy.axis,
        sizes_mm=remedy.sizes_mm,
        less_mm=remedy.less_mm,
        at_limit=remedy.at_limit,
    )
