"""How cable lies, as rows."""

from collections.abc import Iterator, Mapping

from layout.geometry.frames import Array
from routing.circuits.circuits import End
from routing.network.lying import Pole, poles
from routing.sizes.loops import service_loop
from routing.ways.bends import smooth
from routing.ways.pulled import pulled_straight_mm
from routing.ways.routes import Leg, Route
from routing.wiring import Wiring
from viewer.work.gather_boat import triple
from viewer.work.gather_wiring import face_key
from viewer.work.row import Vec
from viewer.work.way_rows import (
    CircuitFieldRow,
    LegRow,
    LoopRow,
    PlateHoleRow,
    PoleRow,
    SensorRow,
    SupportRow,
)

LEAST_SWING_MM = 1.0


def _points(x: Array) -> tuple[Vec, ...]:
    return tuple(triple(p) for p in x)


def _legs(route: Route) -> tuple[LegRow, ...]:
    """The legs, those on one line over one face as one."""
    return tuple(
        LegRow(
            kind=leg.kind,
            where=leg.where,
            face=face_key(leg.face),
            square=leg.square,
            length_mm=leg.length_mm,
            points=_points(leg.points),
        )
        for leg in route.legs
        if leg.length_mm > 0 or leg.kind != "face"
    )


def _pole(w: Wiring, pole: Pole) -> PoleRow:
    cable = pole.cable
    pulled = cable.pulled_mm if pole.route is cable.route else None
    if pulled is None:
        pulled = pulled_straight_mm(w.cabling.ways, pole.route)
    return PoleRow(
        number=cable.number,
        pole="out" if pole.route is cable.route else "back",
        start=pole.ends[0].name,
        goal=pole.ends[1].name,
        outside_diameter_mm=cable.od_mm,
        bend_radius_mm=cable.radius_mm,
        pulled_mm=pulled,
        legs=_legs(pole.route),
        line=_points(smooth(pole.route, cable.radius_mm)),
    )


def _loops(w: Wiring) -> Iterator[LoopRow]:
    """Loops at boards, where the lead meets the face; slack outside for what swings."""
    for pole in poles(w.cabling):
        on_board = pole.route.legs[0].kind == "board"
        if pole.route is not pole.cable.route or pole.cable.link or on_board:
            continue
        sides = ((pole.ends[0], pole.route.legs[0], -1), (pole.ends[1], pole.route.legs[-1], 0))
        for end, leg, foot in sides:
            loop = service_loop(end.piece, end.terminal)
            if loop.length_mm > 0:
                why = "face down" if loop.face_down else "serve"
                yield _loop(pole, end, leg, foot, loop.length_mm, why)
        length = pole.cable.length
        if length is not None and length.swing_mm > LEAST_SWING_MM:
            end, leg, foot = next(s for s in sides if s[0].piece.swing is not None)
            yield _loop(pole, end, leg, foot, length.swing_mm, "swing")


def _loop(pole: Pole, end: End, leg: Leg, foot: int, length_mm: float, why: str) -> LoopRow:
    return LoopRow(
        number=pole.cable.number,
        end=end.name,
        length_mm=length_mm,
        why=why,
        space=end.piece.space,
        at=triple(leg.points[foot]),
    )


def way_rows(w: Wiring) -> Mapping[str, object]:
    """Everything about how cable lies, by the result's keys."""
    return {
        "poles": tuple(_pole(w, pole) for pole in poles(w.cabling)),
        "loops": tuple(_loops(w)),
        "supports": tuple(SupportRow.of(s) for s in w.supports),
        "plate_holes": tuple(PlateHoleRow.of(h) for h in w.plate_holes),
        "sensors": tuple(
            SensorRow.of(s, circuits=tuple(CircuitFieldRow.of(c) for c in s.circuits))
            for s in w.fields
        ),
    }
