"""Spoilings of the layout room and of the one result."""

from benchmarks.spoilings.spoiling import Spoiling

SMALL = "tests/whole_job/test_small_boats.py"
BORDER = "tests/whole_job/test_border.py"
ONE = "tests/whole_job/test_one_result.py"
MOTION = "tests/invariants/test_motion.py"
PLACES = "tests/whole_job/test_places.py"
PLAINER = "tests/invariants/test_plainer.py"
RECHECK = "tests/second_way/test_recheck.py"
ENGINE_SPOILINGS = (
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
        "viewer/work/assembling.py",
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
)
