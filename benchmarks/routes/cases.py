"""Route cases: the file format and the families.

A case: {"name", "source", "clip_mm"?, "spaces": [{"name", "low", "high", "closed"?: [faces]}],
"blocks": [{"space", "low", "high"}], "hazards": [{"space", "low", "high", "keep_off_mm"}], "holes":
[{"name", "between": [a, b], "at", "bore_mm"?}], "pipes": [{"name", "between", "at", "to",
"length_mm"?}], "cables": [{"name"?, "from": {"space", "at"}, "to": {"space", "at"}, "via"?,
"avoid"?, "length_mm"?: known}]}. All in mm in one frame; faces are top, bottom, port, starboard,
forward, aft.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from layout.boat.parts import OUTSIDE, Boat, Hazard, Hole, Pipe, Solid, Space
from layout.errors import CoamingError
from routing.ways.routes import Stop


def read(path: Path) -> dict[str, Any]:
    """A case as plain data. Raises CoamingError."""
    try:
        raw = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as e:
        raise CoamingError(f"{path.name}: not a case: {e}") from None
    missing = [k for k in ("spaces", "cables") if k not in raw]
    if missing:
        raise CoamingError(f"{path.name}: {', '.join(missing)} missing")
    return dict(raw)


def boat_of(case: dict[str, Any]) -> Boat:
    """The case as a boat of bare spaces. Raises CoamingError naming what is missing."""
    try:
        clip = float(case.get("clip_mm", 0.0))
        spaces = {
            s["name"]: Space(
                s["name"],
                s["name"],
                np.array(s["low"], float),
                np.array(s["high"], float),
                10.0,
                dict.fromkeys(s.get("closed", []), "closed"),
                "locker",
                False,
                clip,
            )
            for s in case["spaces"]
        }
        solids = {}
        for i, b in enumerate(case.get("blocks", [])):
            low, high = np.array(b["low"], float), np.array(b["high"], float)
            solids[f"b{i}"] = Solid(
                f"b{i}",
                f"block {i + 1}",
                b["space"],
                "structure",
                (low + high) / 2,
                (high - low) / 2,
                np.eye(3),
                None,
            )
        hazards = {
            f"z{i}": Hazard(
                f"z{i}",
                f"hazard {i + 1}",
                "moving",
                z["space"],
                np.array(z["low"], float),
                np.array(z["high"], float),
                float(z["keep_off_mm"]),
            )
            for i, z in enumerate(case.get("hazards", []))
        }
        holes = {
            h["name"]: Hole(
                h["name"],
                h["name"],
                tuple(h["between"]),
                np.array(h["at"], float),
                float(h.get("bore_mm", 60.0)),
                "edged",
                True,
                (),
            )
            for h in case.get("holes", [])
        }
        pipes = {}
        for p in case.get("pipes", []):
            at, to = np.array(p["at"], float), np.array(p["to"], float)
            pipes[p["name"]] = Pipe(
                p["name"],
                p["name"],
                tuple(p["between"]),
                at,
                to,
                float(p.get("bore_mm", 40.0)),
                float(p.get("length_mm", np.linalg.norm(to - at))),
                0,
                True,
                (),
            )
        known = {*spaces, OUTSIDE}
        for c in case["cables"]:
            for end in ("from", "to"):
                if c[end]["space"] not in known:
                    raise CoamingError(
                        f"{case.get('name', 'a case')}: no space is named '{c[end]['space']}'"
                    )
    except KeyError as e:
        raise CoamingError(f"{case.get('name', 'a case')}: {e} is missing") from None
    except (TypeError, ValueError) as e:
        raise CoamingError(f"{case.get('name', 'a case')}: {e}") from None
    return Boat(
        case.get("name", "case"),
        10_000.0,
        3_000.0,
        spaces,
        {},
        solids,
        hazards,
        holes,
        pipes,
        {},
        {},
        {},
        (),
        0.0,
        {},
        (),
    )


def stop(end: dict[str, Any]) -> Stop:
    """An end of a cable."""
    x, y, z = (float(v) for v in end["at"])
    return Stop(end["space"], (x, y, z))


def known() -> list[dict[str, Any]]:
    """Cases whose shortest lengths are known in closed form."""
    ft = 304.8

    def room(
        name: str,
        source: str,
        sides: tuple[float, float, float],
        a: list[float],
        b: list[float],
        length: float,
    ) -> dict[str, Any]:
        return {
            "name": name,
            "source": source,
            "spaces": [{"name": "room", "low": [0, 0, 0], "high": list(sides)}],
            "cables": [
                {
                    "from": {"space": "room", "at": a},
                    "to": {"space": "room", "at": b},
                    "length_mm": length,
                }
            ],
        }

    box = "box surfaces unfolded; Kotani's farthest point"
    return [
        room(
            "spider and fly",
            "Dudeney's room of 30 x 12 x 12 ft: 40 ft by five faces",
            (30 * ft, 12 * ft, 12 * ft),
            [0, 6 * ft, 11 * ft],
            [30 * ft, 6 * ft, ft],
            40 * ft,
        ),
        room("cube corners", box, (1000, 1000, 1000), [0, 0, 0], [1000, 1000, 1000], 1000 * 5**0.5),
        room(
            "1 x 1 x 2 far corner",
            box,
            (1000, 1000, 2000),
            [0, 0, 0],
            [1000, 1000, 2000],
            1000 * 8**0.5,
        ),
        room(
            "1 x 1 x 2 farthest",
            box,
            (1000, 1000, 2000),
            [0, 0, 0],
            [750, 750, 2000],
            1000 * (65 / 8) ** 0.5,
        ),
        room(
            "1 x 1 x 10 far edge",
            box,
            (1000, 1000, 10_000),
            [0, 0, 0],
            [1000, 0, 10_000],
            1000 * 101**0.5,
        ),
        room(
            "1 x 1 x 10 far corner",
            box,
            (1000, 1000, 10_000),
            [0, 0, 0],
            [1000, 1000, 10_000],
            1000 * 104**0.5,
        ),
    ]


def hull(boxes: int, cables: int, seed: int) -> dict[str, Any]:
    """A hull of two rows of spaces, boxes on their faces, holes between, and cables anywhere."""
    rng = np.random.default_rng(seed)
    spaces, holes, blocks = [], [], []
    for k in range(8):
        for side in (0, 1):
            low = np.array([1000.0 * k, -1200.0 + 1210 * side, 0.0])
            spaces.append(
                {
                    "name": f"s{k}{side}",
                    "low": low.tolist(),
                    "high": (low + [990, 1190, 1000]).tolist(),
                }
            )
        holes.append(
            {"name": f"x{k}", "between": [f"s{k}0", f"s{k}1"], "at": [1000 * k + 500, -10, 700]}
        )
        for side in (0, 1):
            if k < 7:
                holes.append(
                    {
                        "name": f"y{k}{side}",
                        "between": [f"s{k}{side}", f"s{k + 1}{side}"],
                        "at": [1000 * k + 990, -600 + 1210 * side, 600],
                    }
                )
    for i in range(boxes):
        s = spaces[i % len(spaces)]
        low, high = np.array(s["low"]), np.array(s["high"])
        half = rng.uniform(30, 110, 3)
        c = rng.uniform(low + half + 20, high - half - 20)
        axis, end = int(rng.integers(0, 3)), int(rng.integers(0, 2))
        c[axis] = low[axis] + half[axis] if end else high[axis] - half[axis]
        blocks.append({"space": s["name"], "low": (c - half).tolist(), "high": (c + half).tolist()})
    ends = []
    for _ in range(cables):
        pair = []
        for j in rng.choice(len(spaces), 2):
            s = spaces[int(j)]
            pair.append(
                {
                    "space": s["name"],
                    "at": rng.uniform(np.array(s["low"]) + 30, np.array(s["high"]) - 30).tolist(),
                }
            )
        ends.append({"from": pair[0], "to": pair[1]})
    return {
        "name": f"{cables} cables, {boxes} boxes, seed {seed}",
        "source": "generated",
        "clip_mm": 8,
        "spaces": spaces,
        "holes": holes,
        "blocks": blocks,
        "cables": ends,
    }


def plain_rooms(count: int, seed: int) -> list[dict[str, Any]]:
    """Empty rooms with two points on their faces, for comparison with exact geodesics."""
    rng = np.random.default_rng(seed)
    out = []
    for k in range(count):
        sides = rng.uniform(300, 3000, 3)
        points = []
        for _ in range(2):
            p = rng.uniform(0.05, 0.95, 3) * sides
            axis = int(rng.integers(0, 3))
            p[axis] = 0.0 if rng.random() < 0.5 else sides[axis]
            points.append({"space": "room", "at": p.tolist()})
        out.append(
            {
                "name": f"room {k + 1}",
                "source": "generated",
                "spaces": [{"name": "room", "low": [0, 0, 0], "high": sides.tolist()}],
                "cables": [{"from": points[0], "to": points[1]}],
            }
        )
    return out
