"""`python -m benchmarks.spoilt_code [NAME...]`: code spoilt on purpose, and which test notices.

Each spoiling is made in a copy of the tree and the tests that should notice it are run there; a
spoiling no test notices is a rule that is not tested. One JSON line each; 1 when any lives on.
"""

import argparse
import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
SMALL = "tests/whole_job/test_small_boats.py"
HAND = "tests/closed_form/test_lengths_and_costs.py"
BORDER = "tests/whole_job/test_border.py"
ONE = "tests/whole_job/test_one_result.py"
MOTION = "tests/invariants/test_motion.py"
WIRING = "tests/whole_job/test_wiring.py"
PLACES = "tests/whole_job/test_places.py"
POLES = "tests/whole_job/test_poles.py"
PLAINER = "tests/invariants/test_plainer.py"
RECHECK = "tests/second_way/test_recheck.py"


@dataclass(frozen=True)
class Spoiling:
    """One change for the worse, and the tests that should see it."""

    name: str
    file: str
    old: str
    new: str
    tests: str


SQUARE = "tests/closed_form/test_square_ways.py"
COMPASS = "tests/closed_form/test_compass_field.py"
LYING = "tests/whole_job/test_lying.py"
LOOPS = "tests/closed_form/test_loops.py"
CHAINS = "tests/invariants/test_chains.py"
SPOILINGS = (
    Spoiling(
        "tracks: edges of boxes left out",
        "routing/ways/tracks.py",
        "[*main[axis], p.low[k], p.high[k], *inside]",
        "[*main[axis], p.low[k], p.high[k]]",
        SQUARE,
    ),
    Spoiling(
        "tracks: blocked steps free",
        "routing/ways/tracks.py",
        "                            free = False\n",
        "                            free = True\n",
        SQUARE,
    ),
    Spoiling(
        "tracks: feet of a pair do not cross",
        "routing/ways/tracks.py",
        "*((k, k) for k in range(len(feet))), *pairs]",
        "*((k, k) for k in range(len(feet)))]",
        SQUARE,
    ),
    Spoiling(
        "graph: ways lead on over terminals",
        "routing/ways/shortest.py",
        "        if ends[v] and v != start:\n            continue\n        for p in range(first[v]",
        "        for p in range(first[v]",
        SQUARE,
    ),
    Spoiling(
        "leads: bend before the lug ends",
        "routing/ways/leads.py",
        "at, d, axis, lug + turn)",
        "at, d, axis, turn)",
        SQUARE,
    ),
    Spoiling(
        "leads: through bodies",
        "routing/ways/obstacles.py",
        "        if enter < leave:\n            return b\n",
        "        if enter < leave:\n            return -1\n",
        SQUARE,
    ),
    Spoiling(
        "bends: room of one side only",
        "routing/ways/bends.py",
        "    for j in (i - 1, i + 1):\n",
        "    for j in (i - 1,):\n",
        SQUARE + " tests/closed_form/test_pulling_and_bends.py",
    ),
    Spoiling(
        "field: one end of a wire forgotten",
        "routing/network/magnetic.py",
        "    share -= np.einsum",
        "    share -= 0 * np.einsum",
        COMPASS,
    ),
    Spoiling(
        "field: the better lay",
        "routing/network/magnetic.py",
        "level * 1e6, degrees",
        "level * 1e6, 0.5 * degrees",
        LYING,
    ),
    Spoiling(
        "swing: turned one way only",
        "routing/sizes/loops.py",
        "np.linspace(-swing.turn_rad, swing.turn_rad, POSES)",
        "np.linspace(-swing.turn_rad, 0.0, POSES)",
        LOOPS,
    ),
    Spoiling(
        "supports: every other one",
        "routing/stock/placing.py",
        "clips(float(length[-1]), spacing)",
        "clips(float(length[-1]), 2 * spacing)",
        LYING,
    ),
    Spoiling(
        "glands: as many as will go",
        "routing/network/lying.py",
        "elif f.cables > f.ways",
        "elif f.cables > 9 * f.ways",
        LYING,
    ),
    Spoiling(
        "trays: engines do not count",
        "routing/ways/obstacles.py",
        "engine = solid.kind == ENGINE",
        "engine = False",
        LYING,
    ),
    Spoiling(
        "touching: nothing told",
        "routing/circuits/touching.py",
        "if mine[k] > TOLD_FROM_MM:",
        "if mine[k] > 1e9:",
        LYING,
    ),
    Spoiling(
        "chains: fixed costs lost",
        "routing/runs/chains.py",
        "float(graph.fixed[c].sum())",
        "float(graph.fixed[c][:1].sum())",
        CHAINS,
    ),
    Spoiling(
        "motion: no term for the turn of a carried axis",
        "layout/passage/motion.py",
        "f += sine * (s.turn * s.turn * np.sqrt(far) + 2 * s.turn * speed) / 8",
        "f += 0.0",
        MOTION,
    ),
    Spoiling(
        "motion: no term for shift and turn together",
        "layout/passage/motion.py",
        "np.sqrt(far) + 2 * s.turn * speed) / 8",
        "np.sqrt(far)) / 8",
        MOTION,
    ),
    Spoiling(
        "motion: no term for a fixed axis",
        "layout/passage/motion.py",
        "least -= _sine_from(n, s.axis) * radius * s.turn * s.turn / 8",
        "least -= 0.0",
        MOTION,
    ),
    Spoiling(
        "recheck: room may be larger than stated",
        "layout/recheck/gates.py",
        '            raise RecheckFailed(f"{what} leaves {far',
        '            return RecheckFailed(f"{what} leaves {far',
        RECHECK,
    ),
    Spoiling("fuse: no margin", "routing/sizes/sizing.py", "Final = 1.25", "Final = 1.0", SMALL),
    Spoiling(
        "length: no service loop",
        "routing/sizes/lengths.py",
        "        loop_mm,\n",
        "        0.0,\n",
        HAND,
    ),
    Spoiling("length: no wander", "routing/sizes/lengths.py", "WANDER * route_mm", "0.0", HAND),
    Spoiling(
        "length: ± left out",
        "routing/sizes/lengths.py",
        "self.bends_mm + self.plus_minus_mm",
        "self.bends_mm",
        HAND,
    ),
    Spoiling(
        "cost: ends forgotten",
        "routing/stock/buying.py",
        "ends * rates.end_minutes",
        "0.0",
        HAND,
    ),
    Spoiling(
        "cost: edging forgotten",
        "routing/stock/buying.py",
        "edging * rates.edging_minutes",
        "0.0",
        HAND,
    ),
    Spoiling(
        "fill: by diameter",
        "routing/sizes/fill.py",
        "np.sum(np.square(diameters))",
        "np.sum(diameters)",
        HAND,
    ),
    Spoiling(
        "opening: taper forgotten",
        "layout/boat/hull_parts.py",
        "size if m.inner_size is None else",
        "size if m.inner_size is m.inner_size else",
        SMALL,
    ),
    Spoiling(
        "opening: throat half as deep",
        "layout/boat/hull_parts.py",
        'throat = reader.mm(m.throat, f"{key}.throat", 1)',
        'throat = reader.mm(m.throat, f"{key}.throat", 1) / 2',
        SMALL,
    ),
    Spoiling(
        "rest: rooms never taken",
        "layout/verdict/rest.py",
        "return _deepest(bodies), _deepest(taken)",
        "return _deepest(bodies), _deepest([])",
        SMALL,
    ),
    Spoiling(
        "rest: parts of one board not compared",
        "layout/verdict/rest.py",
        "    bodies += _parts_in_parts(piece, mine)\n",
        "",
        ONE,
    ),
    Spoiling(
        "separation: 400 mm",
        "routing/ways/separation.py",
        "APART_MM: Final = 300.0",
        "APART_MM: Final = 400.0",
        SMALL,
    ),
    Spoiling(
        "fault: grows along the cable",
        "routing/network/protection.py",
        "cable.volts / fault_amp + ohm)",
        "cable.volts / fault_amp - ohm)",
        SMALL,
    ),
    Spoiling(
        "main devices of several batteries: another row",
        "routing/network/protection.py",
        '(float("inf"), 5000.0',
        '(float("inf"), 4000.0',
        WIRING,
    ),
    Spoiling(
        "compiled kernels: sources not looked at",
        "layout/geometry/kernels.py",
        'path.read_bytes() + b"\\0"',
        'b"\\0"',
        "tests/invariants/test_kernels.py",
    ),
    Spoiling(
        "terminal: labels as they are",
        "viewer/words/terminal.py",
        "Text(one_line(text)",
        "Text((text)",
        BORDER,
    ),
    Spoiling(
        "CSV: formulas let through",
        "viewer/files.py",
        'return "\'" + one_line(text) if formula else one_line(text)',
        "return one_line(text)",
        BORDER,
    ),
    Spoiling(
        "book: files written one by one",
        "viewer/files.py",
        "            _change(new, folder)\n",
        "            folder.mkdir(exist_ok=True)\n"
        "            for p in new.iterdir():\n"
        "                (folder / p.name).write_bytes(p.read_bytes())\n",
        BORDER,
    ),
    Spoiling(
        "compare: circuits forgotten",
        "viewer/words/compare.py",
        "    out = []\n    if circuit.label != d.label:",
        "    return []\n    out = []\n    if circuit.label != d.label:",
        ONE,
    ),
    Spoiling(
        "labels: one that is meant does not count",
        "viewer/work/unlabelled.py",
        " or (isinstance(v, str) and v in meant)",
        "",
        ONE,
    ),
    Spoiling(
        "kept: by other sources too",
        "viewer/work/saved.py",
        " and found.result.inputs.coaming == program_version()",
        "",
        ONE,
    ),
    Spoiling(
        "clock: not told",
        "viewer/work/session.py",
        "clocked=fits.clocked or",
        "clocked=False and",
        ONE,
    ),
    Spoiling(
        "place: out of its space is fine",
        "layout/verdict/place.py",
        "    out = beyond_its_space(boat, piece, piece.at_rest())\n    if out is None:",
        "    out = None\n    if out is None:",
        PLACES,
    ),
    Spoiling(
        "place: tilt at rest not looked at",
        "layout/verdict/place.py",
        "if tilt <= piece.max_tilt_rad + TILT_SLACK_RAD:",
        "if True:",
        PLACES,
    ),
    Spoiling(
        "holding: anything near holds",
        "layout/verdict/holding.py",
        "TOUCHING_MM: Final = 3.0",
        "TOUCHING_MM: Final = 300.0",
        PLACES,
    ),
    Spoiling(
        "cannot: other openings shut",
        "layout/verdict/question.py",
        "        if not beside:\n            return shut",
        "        return shut",
        PLACES,
    ),
    Spoiling(
        "cannot: gates gone round by doors",
        "layout/passage/proof/gates.py",
        "    return int(parts[goal]) in names and len(names) > 1",
        "    return False",
        PLACES,
    ),
    Spoiling(
        "recheck: gates gone round by doors",
        "layout/recheck/common.py",
        "    return bool((doors & seen).any() and (doors & ~seen).any())",
        "    return False",
        PLACES,
    ),
    Spoiling(
        "recheck: any pose may be the goal",
        "layout/recheck/walk.py",
        "    return away <= SAME_MM and",
        "    return True or away <= SAME_MM and",
        RECHECK,
    ),
    Spoiling(
        "recheck: tilt not looked at",
        "layout/recheck/walk.py",
        "    if tilt > problem.max_tilt_rad + TILT_RAD:",
        "    if False:",
        RECHECK,
    ),
    Spoiling(
        "poles: plus may meet minus",
        "routing/network/poles.py",
        'if set(poles) == {"plus", "minus"}:',
        "if False:",
        POLES,
    ),
    Spoiling(
        "claims: a bypass is believed",
        "routing/network/claims.py",
        "        if model.bypass:",
        "        if False:",
        POLES,
    ),
    Spoiling(
        "sizes: the fuse is not asked",
        "routing/sizes/sizing.py",
        "if fused and not _guarded(model, carries(k, lies)):",
        "if False:",
        POLES,
    ),
    Spoiling(
        "plainer: no room is kept",
        "layout/passage/search/plainer.py",
        "return bool(motion_allowed(scene, pose.at_mm, pose.quat, b.at_mm, b.quat, self.wanted))",
        "return True",
        PLAINER,
    ),
    Spoiling(
        "treads: they stick out of the sloping face",
        "layout/passage/proof/treads.py",
        "near, far = max(one[0], two[0]) + INSIDE_MM, min(one[1], two[1]) - INSIDE_MM",
        "near, far = min(one[0], two[0]), max(one[1], two[1])",
        "tests/second_way/test_recheck.py tests/closed_form/test_passages.py",
    ),
    Spoiling(
        "treads: a proof may count on any box",
        "layout/recheck/proofs.py",
        "if np.any(np.abs(local) > matter.half_mm[row] + SLOP_MM):",
        "if False:",
        "tests/second_way/test_recheck.py",
    ),
    Spoiling(
        "stops: a touch is told too late",
        "layout/passage/stops.py",
        "    return (clear, touch) if touch is not None else None",
        "    return (clear + 1.0, touch) if touch is not None else None",
        "tests/closed_form/test_stops.py",
    ),
    Spoiling(
        "stops: it may be set down where it falls",
        "layout/passage/stops.py",
        "if np.any(outline[:, :2] @ middle[:2] + outline[:, 2] >= 0):",
        "if False:",
        "tests/closed_form/test_stops.py",
    ),
    Spoiling(
        "tree: a feeder's drop is not its branches'",
        "routing/sizes/tree.py",
        "            here = cables[k].up\n",
        "            here = None\n",
        "tests/second_way/test_size_tree.py",
    ),
    Spoiling(
        "tree: misfits cost nothing",
        "routing/sizes/tree.py",
        "MISFIT_COST: Final = 1e3",
        "MISFIT_COST: Final = 0.0",
        "tests/second_way/test_size_tree.py",
    ),
    Spoiling(
        "plate: through the parts",
        "routing/ways/plate.py",
        "return not np.any(np.all((m > self.low + EDGE_MM)",
        "return np.all(m < 0) or not np.any(np.all((m > 1e9 + self.low + EDGE_MM)",
        "tests/closed_form/test_links.py",
    ),
    Spoiling(
        "nodes: a bank's minus is the fed battery's",
        "routing/network/nodes.py",
        "            first = self.circuits.bank_of(feed.place).strings[0][0]",
        "            first = feed.place",
        "tests/closed_form/test_links.py",
    ),
    Spoiling(
        "sources: a tap is nothing",
        "routing/network/sources.py",
        "if end.place not in {s[which] for s in strings}:",
        "if False:",
        "tests/whole_job/test_mistakes.py",
    ),
    Spoiling(
        "endings: any lug on any stud",
        "routing/network/endings.py",
        "if cable.conductor.area_mm2 > most + SAME_MM2:",
        "if False:",
        "tests/whole_job/test_mistakes.py",
    ),
    Spoiling(
        "endings: a load draws what is typed",
        "routing/network/endings.py",
        "    if m.amps >= DRAWS_SHARE * draws:\n        return []",
        "    return []",
        "tests/whole_job/test_mistakes.py",
    ),
    Spoiling(
        "starting: no internal resistance",
        "routing/network/starting.py",
        "at_battery = rested - amp * inner / strings",
        "at_battery = rested",
        "tests/closed_form/test_starting.py",
    ),
    Spoiling(
        "protection: batteries in series add their fault currents",
        "routing/network/protection.py",
        "if feed.terminal.pole != load.terminal.pole:",
        "if False:",
        "tests/closed_form/test_links.py",
    ),
    Spoiling(
        "conductors: the wrong column of the table",
        "routing/sizes/conductors.py",
        "return self.amps[insulations().index(insulation_degc)]",
        "return self.amps[-1]",
        "tests/published/test_protection.py",
    ),
    Spoiling(
        "fill: a hole is a pipe",
        "routing/sizes/fill.py",
        "    if length_mm <= SHORT_MM:",
        "    if False:",
        "tests/published/test_conductors.py",
    ),
)


EDITS = "tests/page/test_edits.py"
GUARD = "tests/page/test_guard.py"
DIMENSIONS = "tests/page/test_dimensions.py"
SESSIONS = "tests/page/test_sessions.py"
PAGE = "viewer/page/"
PAGE_SPOILINGS = (
    Spoiling(
        "page: another page may ask",
        PAGE + "guard.py",
        'if origin is not None and origin != f"http://{host}":',
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: any host name is this machine",
        PAGE + "guard.py",
        'if host not in {f"{name}:{self.port}" for name in LOOPBACK}:',
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: links lead out of the folder",
        PAGE + "folder.py",
        "if path.resolve().parent != self.root:",
        "if False:",
        GUARD,
    ),
    Spoiling(
        "page: a half-done step is left half done",
        PAGE + "edits/history.py",
        "            put_text(self.root / name, text)\n        self._point(self.at + 1)\n",
        "            pass\n        self._point(self.at + 1)\n",
        EDITS,
    ),
    Spoiling(
        "page: a change elsewhere is not taken in",
        PAGE + "edits/history.py",
        "        if other:\n            before = ",
        "        if False:\n            before = ",
        EDITS,
    ),
    Spoiling(
        "page: the later of two windows wins in silence",
        PAGE + "desk.py",
        "                    if path[:n] == change.path[:n]:",
        "                    if False:",
        EDITS,
    ),
    Spoiling(
        "page: an edit that breaks the files is written",
        PAGE + "desk.py",
        "            if not e.with_users or not users:\n                raise JobError(new)",
        "            if not e.with_users or not users:\n                break",
        EDITS,
    ),
    Spoiling(
        "page: a typed edge forgets half the hatch",
        PAGE + "dimensions.py",
        '(((*path, "centre", i), 1.0), ((*path, "size", i), -0.5)),',
        '(((*path, "centre", i), 1.0), ((*path, "size", i), -1.0)),',
        DIMENSIONS,
    ),
    Spoiling(
        "page: a size in two distances is not told",
        PAGE + "panels/measure/commands.py",
        "if d.key != mine and reckoner.alone(d, reckoner.found(d)) == key:",
        "if False:",
        DIMENSIONS,
    ),
    Spoiling(
        "page: a mend that harms is offered",
        PAGE + "panels/findings/commands.py",
        "    if id_ in now:\n        return False\n",
        "    if id_ in now:\n        return True\n",
        "tests/page/test_mends.py",
    ),
    Spoiling(
        "page: the tightest place is where it is set down",
        PAGE + "panels/ways/commands.py",
        "free = [n for n, r in enumerate(rows) if not r.seat and r.near not in held]",
        "free = [n for n, r in enumerate(rows)]",
        SESSIONS + " -k empty_folder_to_the_verdict",
    ),
)


def noticed(s: Spoiling, room: Path) -> str:
    """The first test that fails on the spoilt tree; empty when none does."""
    path = room / s.file
    sound = path.read_text(encoding="utf-8")
    if s.old not in sound:
        raise ValueError(f"{s.name}: {s.file} no longer holds {s.old!r}")
    path.write_text(sound.replace(s.old, s.new, 1), encoding="utf-8")
    try:
        run = subprocess.run(
            [sys.executable, "-m", "pytest", "-x", "-q", *shlex.split(s.tests)],
            cwd=room,
            env={**os.environ, "PYTHONPATH": str(room), "COAMING_CACHE": str(room / "kernels")},
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        path.write_text(sound, encoding="utf-8")
    if run.returncode == 0:
        return ""
    failed = [x for x in run.stdout.splitlines() if x.startswith(("FAILED", "ERROR"))]
    return failed[0].split(" - ")[0] if failed else f"pytest ended with {run.returncode}"


def main() -> int:
    """0 when every spoiling is noticed."""
    parser = argparse.ArgumentParser(prog="benchmarks.spoilt_code")
    parser.add_argument("names", nargs="*", help="only spoilings whose name begins so")
    args = parser.parse_args()
    chosen = [
        s
        for s in (*SPOILINGS, *PAGE_SPOILINGS)
        if not args.names or s.name.startswith(tuple(args.names))
    ]
    killed = 0
    with tempfile.TemporaryDirectory() as base:
        room = Path(base) / "tree"
        skip = shutil.ignore_patterns(
            ".git", ".venv", "book", "__pycache__", ".coaming", ".*_cache", "my_boats"
        )
        shutil.copytree(ROOT, room, ignore=skip)
        for s in chosen:
            by = noticed(s, room)
            killed += bool(by)
            print(json.dumps({"spoiling": s.name, "noticed_by": by}), flush=True)
    print(json.dumps({"spoilings": len(chosen), "noticed": killed}), flush=True)
    return 0 if killed == len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main())
