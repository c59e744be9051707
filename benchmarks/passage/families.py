"""Make the passage cases: families with answers known in advance, and shop-like ones.

Run `python -m benchmarks.passage.families` to write them again. Each case says in `source` why its
answer is known; `expected` is "goes in", "cannot" or absent where no answer is known.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.passage.shapes import board, box, case, corner_steps, locker, rim, solid

HERE = Path(__file__).parent


def slides() -> list[dict[str, Any]]:
    """Boxes that slide straight down with a given play, and the same a little too large."""
    out = []
    size = (410.0, 300.0, 200.0)
    for play in (20.0, 10.0, 5.0, 2.0, 1.0, -1.0, -3.0, -5.0, -10.0):
        # smallest section 300 x 200 up-ended: the hole leaves `play` in both directions
        fixed = rim(300 + play, 200 + play, 40) + locker(900, 600, 520)
        out.append(
            case(
                f"up-ended box, play {play:+g}",
                "closed form: the least section of a box across its middle is its smallest "
                "face's, so it passes a hole no smaller; below that the section through the "
                "middle fits at no turn",
                solid(*size),
                fixed,
                [0, 0, 600],
                [0, 0, -300],
                "goes in" if play > 0 else "cannot",
                play=play,
            )
        )
    return out


def plates(rng: np.random.Generator) -> list[dict[str, Any]]:
    """A flat plate kept flat by a low locker cannot turn in: by Carver and Wetzel's condition."""
    out = []
    for k in range(6):
        p = float(rng.uniform(380, 460))
        q = float(rng.uniform(40, 90))
        a = p * float(rng.uniform(0.9, 0.97))
        need = (2 * p * q * a + (p * p - q * q) * np.sqrt(p * p + q * q - a * a)) / (p * p + q * q)
        for play in (5.0, -5.0):
            b = need + play
            if b > a:
                continue
            # a bar p x q x (p/2): turned in its own plane it must go corner to corner through a x b
            out.append(
                case(
                    f"corner to corner {k}, play {play:+g}",
                    "Wetzel 2000, doi 10.2307/2691523 (rectangle in rectangle); "
                    "a tall post cannot lean within a deep throat",
                    solid(p, q, 700),
                    rim(a, b, 1200, 1200) + locker(1400, 1400, 1200),
                    [0, 0, 1900],
                    [0, 0, -700],
                    "goes in" if play > 0 else "cannot",
                    play=play,
                )
            )
    return out


def corridors() -> list[dict[str, Any]]:
    """A long box round a square corner of equal corridors: closed form 2 sqrt(2) h - 2 w."""
    out = []
    h, w, tall = 300.0, 80.0, 500.0
    longest = 2 * np.sqrt(2) * h - 2 * w
    for play in (25.0, 10.0, 5.0, 1.0, -1.0, -5.0, -10.0):
        length = longest - play
        big = 1500.0
        walls = [
            box([-big, -big, -tall / 2], [0, big, tall / 2]),  # outer wall of the first leg (x < 0)
            box([0, h, -tall / 2], [big, h + 200, tall / 2]),  # outer wall of the second leg
            box([h, -big, -tall / 2], [big, 0, tall / 2]),  # the inner corner block
            box([-big, -big, tall / 2], [big, big, tall / 2 + 40]),
            box([-big, -big, -tall / 2 - 40], [big, big, -tall / 2]),
            box([0, -big - 40, -tall / 2], [h, -big, tall / 2]),  # both legs end
            box([big, 0, -tall / 2], [big + 40, h, tall / 2]),
        ]
        out.append(
            case(
                f"round a corner, play {play:+g}",
                "closed form: longest box of width w round a corner of two corridors of "
                "width h is 2 sqrt(2) h - 2 w, kept level by its own height",
                solid(w, length, tall - 4),
                walls,
                [h / 2, -big / 2, 0],
                [big / 2, h / 2, 0],
                "goes in" if play > 0 else "cannot",
                # its head turns to starboard, with the corner
                goal_quat=[0, 0, -float(np.sqrt(0.5)), float(np.sqrt(0.5))],
                play=play,
            )
        )
    return out


def hatches() -> list[dict[str, Any]]:
    """The bench board into a locker under a hatch, wide to tight."""
    out = []
    for long, wide, expected, play in (
        (430, 330, "goes in", None),
        (340, 330, "goes in", None),
        (330, 160, "goes in", 20),
        (330, 145, "goes in", 5),
        (330, 142, "goes in", 2),
        (330, 141, "goes in", 1),
        (330, 137, "cannot", -3),
        (330, 135, "cannot", -5),
        (295, 135, "cannot", -5),
        (250, 250, None, None),
        (300, 300, None, None),
    ):
        out.append(
            case(
                f"board 480 x 300 x 140 through {long} x {wide}",
                "shop-like: three boxes into 900 x 600 x 450 through a rim 55 deep",
                board(),
                rim(long, wide, 55) + locker(900, 600, 450),
                [0, 0, 500],
                [0, 0, -370],
                expected,
                play=play,
            )
        )
    for past in (55, 63, 71, 79, 95):
        fixed = rim(430, 330, 55) + corner_steps(430, 330, 55, 40)
        x0, x1 = -215.0 - past, 215.0 + 11
        fixed += locker(x1 - x0, 420, 240, ((x0 + x1) / 2, 0))
        middle = (x0 + x1) / 2
        out.append(
            case(
                f"undercut {past}",
                "shop-like: board 480 x 300 x 140 laid flat under a hatch 430 x 330 R40, room past "
                "one edge; 71 mm is enough",
                solid(480, 300, 140),
                fixed,
                [0, 0, 500],
                [min(max(0.0, middle), middle), 0, -165],
                "goes in" if past >= 71 else None,
                clearance=0.0,
            )
        )
    return out


def shrinking_holes() -> list[dict[str, Any]]:
    """Three bars at right angles through a hole in a wall that shrinks step by step."""
    body = [
        {"centre": [0.0, 0.0, 0.0], "half": [200.0, 25.0, 25.0]},
        {"centre": [-175.0, 125.0, 0.0], "half": [25.0, 150.0, 25.0]},
        {"centre": [175.0, 0.0, 125.0], "half": [25.0, 25.0, 150.0]},
    ]
    out = []
    for size in (320, 260, 220, 190, 160, 130, 110, 90, 70, 60, 52, 48, 40):
        out.append(
            case(
                f"three bars through {size} x {size}",
                "family: three bars of 50 at right angles, hole shrinking; below 50 no bar passes",
                body,
                rim(size, size, 60, 800) + locker(1540, 1540, 1400),
                [0, 0, 700],
                [0, 0, -700],
                "cannot" if size < 50 else None,
            )
        )
    return out


def two_openings() -> list[dict[str, Any]]:
    """A long post into a low locker through one hatch, its end passing out of a port while it
    turns.
    """
    out = []
    for port in (0, 140):
        height, length = 300.0, 700.0
        fixed = rim(260, 160, 40, 1200, (-250, 0))
        x0, x1, y0, y1 = -420.0, 420.0, -120.0, 120.0
        fixed += [
            box([x0 - 30, y0 - 30, -height - 30], [x1 + 30, y1 + 30, -height]),
            box([x0 - 30, y0 - 30, -height], [x0, y1 + 30, 0]),
            box([x0, y0 - 30, -height], [x1, y0, 0]),
            box([x0, y1, -height], [x1, y1 + 30, 0]),
        ]
        if port:
            fixed += [
                box([x1, y0 - 30, -height], [x1 + 30, -port / 2, 0]),
                box([x1, port / 2, -height], [x1 + 30, y1 + 30, 0]),
                box([x1, -port / 2, -height], [x1 + 30, port / 2, -height + 30]),
                box([x1, -port / 2, -height + 30 + port], [x1 + 30, port / 2, 0]),
            ]
        else:
            fixed.append(box([x1, y0 - 30, -height], [x1 + 30, y1 + 30, 0]))
        out.append(
            case(
                f"post with{'' if port else 'out'} a port to pass its end through",
                "shop-like: hatch and port used together",
                solid(length, 90, 90),
                fixed,
                [-250, 0, 600],
                [60, 0, -height / 2 - 40],
                None,
            )
        )
    return out


def throats() -> list[dict[str, Any]]:
    """An L-shaped body that turns inside the throat."""
    out = []
    for play in (20.0, 8.0, 4.0):
        a, t = 260.0, 80.0
        body = [box([0, -60, 0], [a, 60, t]), box([0, -60, t], [t, 60, a])]
        need = a * 0.76 + play  # the L turns round its inner corner
        fixed = rim(need, 130, t * 0.8, 900) + locker(1000, 500, 420)
        out.append(
            case(
                f"L through a slot {need:.0f}",
                "family: L of 260 with legs of 80, slot shorter than the L is long",
                body,
                fixed,
                [-100, 0, 500],
                [-100, 0, -400],
                None,
            )
        )
    return out


def carved(rng: np.random.Generator) -> list[dict[str, Any]]:
    """By construction: a random way of the body through a wall is swept and the wall built round
    it.
    """
    from scipy.spatial.transform import Rotation, Slerp

    out = []
    for k in range(10):
        body = board(
            float(rng.uniform(300, 520)), float(rng.uniform(160, 300)), float(rng.uniform(70, 150))
        )
        tilt = Rotation.from_euler(
            "zyx", [rng.uniform(-40, 40), rng.uniform(-75, 75), rng.uniform(-25, 25)], degrees=True
        )
        keys = Rotation.concatenate([Rotation.identity(), tilt, Rotation.identity()])
        places = np.array(
            [
                [0, 0, 700.0],
                [rng.uniform(-60, 60), rng.uniform(-60, 60), 20.0],
                [rng.uniform(-100, 100), rng.uniform(-60, 60), -600.0],
            ]
        )
        turn = Slerp([0, 1, 2], keys)
        deep = float(rng.uniform(20, 80))
        lo, hi = np.full(2, np.inf), np.full(2, -np.inf)
        for t in np.linspace(0, 2, 2001):
            at = (
                places[0] + (places[1] - places[0]) * t
                if t <= 1
                else places[1] + (places[2] - places[1]) * (t - 1)
            )
            r = turn(t).as_matrix()
            for b in body:
                c, h = at + r @ np.array(b["centre"]), np.array(b["half"])
                grid = np.stack(np.meshgrid(*[np.linspace(-1, 1, 9)] * 3), -1).reshape(-1, 3) * h
                x = c + grid @ r.T
                inside = x[(x[:, 2] > -15) & (x[:, 2] < deep + 15)]
                if len(inside):
                    lo, hi = (
                        np.minimum(lo, inside[:, :2].min(0)),
                        np.maximum(hi, inside[:, :2].max(0)),
                    )
        lo, hi = lo - 12, hi + 12
        fixed = [
            box([-1200, -1200, 0], [lo[0], 1200, deep]),
            box([hi[0], -1200, 0], [1200, 1200, deep]),
            box([lo[0], -1200, 0], [hi[0], lo[1], deep]),
            box([lo[0], hi[1], 0], [hi[0], 1200, deep]),
        ]
        out.append(
            case(
                f"carved {k}",
                "by construction: the hole was cut round a random motion, 12 mm wider",
                body,
                fixed,
                places[0].tolist(),
                places[2].tolist(),
                "goes in",
            )
        )
    return out


def blocked() -> list[dict[str, Any]]:
    """Resting places that are not free, and one that just touches its floor."""
    fixed = rim(430, 330, 55) + locker(900, 600, 300)
    return [
        case(
            "floor 4 too high",
            "closed form: the board's foot lies 4 mm in the floor",
            solid(400, 280, 140),
            fixed,
            [0, 0, 500],
            [0, 0, -234],
            "cannot",
        ),
        case(
            "stands on the floor",
            "closed form: resting in contact is no clash",
            solid(400, 280, 140),
            fixed,
            [0, 0, 500],
            [0, 0, -230],
            "goes in",
        ),
    ]


def all_cases() -> list[dict[str, Any]]:
    """Every case, in a fixed order, from one seed."""
    rng = np.random.default_rng(20)
    return [
        *slides(),
        *plates(rng),
        *corridors(),
        *hatches(),
        *shrinking_holes(),
        *two_openings(),
        *throats(),
        *carved(rng),
        *blocked(),
    ]


def main() -> None:
    """Write one file per case beside this module."""
    for old in HERE.glob("*.json"):
        old.unlink()
    for n, c in enumerate(all_cases()):
        slug = (
            "".join(ch if ch.isalnum() else "-" for ch in c["name"]).strip("-").replace("--", "-")
        )
        (HERE / f"{n:03d}-{slug}.json").write_text(json.dumps(c) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
