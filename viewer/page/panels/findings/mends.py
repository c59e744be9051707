"""Small changes that may mend a finding: each is only offered after the engine has tried it."""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from layout.boat.faces import DIRECTIONS
from viewer.page.desk import Desk
from viewer.page.edits.changes import Change
from viewer.page.panels.gear.placing import moved_at, put_changes, written_at
from viewer.words.names import Names
from viewer.words.pieces import move_words
from viewer.work.rows import FindingRow, Result

MOVES_BY: Final = {  # rules that a move of so many mm mends, by the name of the figure
    "battery and fuel": "aside_mm",
    "fuel shielded": "off_mm",
    "petrol distance": "off_mm",
    "magnets": "off_mm",
    "sensor and compass": "off_mm",
}
LET_GO: Final = {  # rules that are mended by taking back a figure a person gave for the engine's
    "fuse over cable": ("fuse_amp", "cable"),
    "fuse under load": ("fuse_amp",),
    "cable carries": ("cable", "fuse_amp"),
    "no fuse fits": ("cable", "fuse_amp"),
    "unfused link": ("link",),
    "fuse steps": ("fuse_amp",),
    "short heats": ("cable", "fuse_amp"),
    "drop class": ("drop_percent",),
    "diversity": ("diversity",),
    "hot drop": ("cable", "drop_percent"),
    "volt drop": ("cable", "drop_percent"),
    "no way": ("via", "avoid"),
    "run whole": ("via", "avoid"),
    "end too small": ("cable",),
    "fuse under inrush": ("fuse_amp",),
}
SAYS: Final = {
    "fuse_amp": "let coaming choose the fuse",
    "cable": "let coaming choose the cable",
    "link": "make it a circuit with a fuse at its feed",
    "drop_percent": "take the usual limit of volt drop",
    "diversity": "count everything it feeds as on at once",
    "via": "let coaming choose the holes it goes through",
    "avoid": "let it go through the holes it was kept out of",
}
NEAR_SOURCE: Final = 0.6  # of the distance allowed, where a fuse is put
ASIDE: Final = ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0))
LEAST_MOVE_MM: Final = 5.0
BESIDE_MM: Final = 20.0  # between two things set down side by side: room for fingers


@dataclass(frozen=True, slots=True)
class Mend:
    """A change and what it does in words."""

    words: str
    hull: tuple[Change, ...] = ()
    job: tuple[Change, ...] = ()


def mends_for(result: Result, desk: Desk, id_: str) -> list[Mend]:
    """The changes worth trying for a finding, the smallest first."""
    rule, _, about = id_.partition("|")
    keys = about.split(",")
    job = desk.tables()[0]
    names = Names(result)
    finding = next(
        (f for f in result.findings if f.rule == rule and set(f.about) == set(keys)), None
    )
    out: list[Mend] = []
    for key in keys:
        kind, _, name = key.partition(":")
        if kind == "piece":
            out += _moves(result, desk, job, rule, finding, name, names)
        if kind == "circuit":
            out += _circuit(job, rule, finding, name, names)
    if rule == "bore":
        out += _bores(result, keys[0].partition(":")[2])
    return out


def _thing(job: dict[str, Any], key: str) -> tuple[str, dict[str, Any]] | None:
    for group in ("boards", "pieces"):
        table = job.get(group, {}).get(key)
        if isinstance(table, dict):
            return group, table
    return None


def _moves(
    result: Result,
    desk: Desk,
    job: dict[str, Any],
    rule: str,
    finding: FindingRow | None,
    key: str,
    names: Names,
) -> list[Mend]:
    key = key.partition(".")[0]
    found = _thing(job, key)
    if found is None:
        return []
    group, table = found
    look = desk.look()
    if look.boat is None or key not in look.boat.pieces:
        return []
    shifts: list[tuple[float, float, float]] = []
    if rule == "way in":
        row = next((p for p in result.pieces if p.key == key), None)
        if row is not None and row.free_by_mm is not None:
            free = np.array(row.free_by_mm)
            shifts.append(_triple(np.sign(free) * np.ceil(np.abs(free) * 2) / 2))
        if row is not None:
            shifts += _beside(result, key, [c.other for c in row.clashes])
    elif rule == "held by nothing" and finding is not None:
        gap = _number(finding, "gap_mm")
        looks = str(table.get("front", table.get("top", "up")))
        shifts.append(_triple(-np.array(DIRECTIONS.get(looks, (0, 0, 1))) * round(gap, 1)))
    elif rule in MOVES_BY and finding is not None:
        far = np.ceil(_number(finding, MOVES_BY[rule]) / 5 + 0.2) * 5
        shifts += [_triple(np.array(d) * far) for d in ASIDE] if far >= LEAST_MOVE_MM else []
    out = []
    if rule == "stands tipped" and group == "pieces":
        up = Change(path=(group, key, "top"), value="up")
        out.append(Mend(f"Stand {names.piece(key)} upright", (), (up,)))
    for by in shifts:
        at = moved_at(look, group, key, written_at(look.boat, key, table), by)
        words = f"Move {names.piece(key)} {move_words(by)}"
        out.append(Mend(words, (), put_changes(look.boat, group, key, table, at)))
    return out


def _beside(result: Result, key: str, others: list[str]) -> list[tuple[float, float, float]]:
    """Moves that set a piece down beside what it clashes with, a finger's room between them."""
    out: list[tuple[float, float, float]] = []
    low, high = _extent(result, key)
    for other in others:
        stand = other.partition("/")[0].partition(".")[0]
        if all(s.key != stand for s in result.boat.stands):
            continue
        their_low, their_high = _extent(result, stand)
        for k in (0, 1):
            for by in (their_high[k] - low[k] + BESIDE_MM, their_low[k] - high[k] - BESIDE_MM):
                move = np.zeros(3)
                move[k] = round(float(by), 1)
                out.append(_triple(move))
    return sorted(out, key=lambda m: sum(abs(x) for x in m))


def _extent(result: Result, key: str) -> tuple[Any, Any]:
    stand = result.stand(key)
    lows, highs = [], []
    for b in stand.body:
        half = np.abs(np.array(b.rotation)) @ np.array(b.half_mm)
        middle = np.array(b.centre_mm) + np.array(stand.at_mm)
        lows.append(middle - half)
        highs.append(middle + half)
    return np.min(lows, axis=0), np.max(highs, axis=0)


def _triple(x: Any) -> tuple[float, float, float]:
    return float(x[0]), float(x[1]), float(x[2])


def _number(finding: FindingRow, key: str) -> float:
    value = finding.values.get(key, 0.0)
    return float(value) if isinstance(value, int | float) else 0.0


def _circuit(
    job: dict[str, Any], rule: str, finding: FindingRow | None, number: str, names: Names
) -> list[Mend]:
    table = job.get("circuits", {}).get(number)
    if not isinstance(table, dict):
        return []
    out = []
    who = f"Circuit {number}, {names.circuit(number)}"
    for field in LET_GO.get(rule, ()):
        if field in table:
            change = Change(path=("circuits", number, field), value=None)
            out.append(Mend(f"{who}: {SAYS[field]}", (), (change,)))
    if rule == "fuse distance" and finding is not None:
        limit = _number(finding, "limit_mm") or _number(finding, "asked_mm")
        if limit > 0:
            at = int(NEAR_SOURCE * limit // 10 * 10)
            change = Change(path=("circuits", number, "fuse_at"), value=at)
            out.append(Mend(f"{who}: put its fuse {at} mm along the cable", (), (change,)))
    return out


def _bores(result: Result, key: str) -> list[Mend]:
    from viewer.words.circuits import enough_mm

    bore = next((b for b in result.holes_and_pipes if b.key == key), None)
    if bore is None or not bore.too_full or bore.kind != "hole":
        return []
    wide = round(enough_mm(bore))
    label = Names(result).joint_whole(key)
    change = Change(path=("holes", key, "bore"), value=wide)
    return [Mend(f"Drill {label} to {wide} mm", (change,), ())]
