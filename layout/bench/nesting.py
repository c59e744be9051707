"""Plates cut from sheet: which from which, with the saw's cut between and the grain as asked.

A constraint program (two-dimensional no-overlap, one rectangle a sheet), solved by counted work;
it tells the least cost it could prove beside the cost it found. A shelf packing (next-fit by
falling height) gives it a first answer, so that there always is one.
"""

from dataclasses import dataclass
from math import gcd
from typing import Final

SCALE: Final = 10  # tenths of a millimetre: whole numbers for the solver
WORK: Final = 6.0  # deterministic seconds of the solver, counted, not timed
USUAL_MM: Final = (2440.0, 1220.0)  # a sheet of 8 x 4 ft
CLOSED: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Blank:
    """A plate to be cut: its size and whether it may be turned on the sheet."""

    key: str
    length_mm: float
    height_mm: float
    grain: str  # "any", "along", "up"


@dataclass(frozen=True, slots=True)
class Sheet:
    """Sheet to cut from; `count` None where any number can be bought."""

    label: str
    length_mm: float
    height_mm: float
    price: float
    count: int | None


@dataclass(frozen=True, slots=True)
class Laid:
    """A plate on a sheet: which, its lower left corner, its size there, and whether turned."""

    key: str
    sheet: int
    x: float
    y: float
    length_mm: float
    height_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Nest:
    """The sheets used (rows of the stock) and what lies on each; cost, and the least proven."""

    used: tuple[int, ...]
    laid: tuple[Laid, ...]
    cost: float
    bound: float
    too_large: tuple[str, ...]


def ways_of(blank: Blank, sheet: Sheet) -> list[bool]:
    """The turns a plate fits on a sheet in."""
    turns = {"any": (False, True), "along": (False,), "up": (True,)}[blank.grain]
    if blank.grain == "any" and blank.length_mm == blank.height_mm:
        turns = (False,)
    out = []
    for turn in turns:
        w, h = (blank.height_mm, blank.length_mm) if turn else (blank.length_mm, blank.height_mm)
        if w <= sheet.length_mm + CLOSED and h <= sheet.height_mm + CLOSED:
            out.append(turn)
    return out


def worth(sheet: Sheet) -> float:
    """What a sheet counts: its price, or its area in square metres where it has none."""
    return sheet.price if sheet.price > 0 else sheet.length_mm * sheet.height_mm * 1e-6


def nest(blanks: list[Blank], stock: list[Sheet], kerf_mm: float) -> Nest:
    """The cheapest cutting found, with a bound. Blanks no sheet holds are told, not cut."""
    too_large = tuple(b.key for b in blanks if not any(ways_of(b, s) for s in stock))
    todo = [b for b in blanks if b.key not in too_large]
    if not todo:
        return Nest((), (), 0.0, 0.0, too_large)
    copies = _copies(todo, stock)
    first = _shelves(todo, stock, copies, kerf_mm)
    if len(stock) == 1 and len(first) == len(todo):  # more than that are never needed
        copies = copies[: max(x.sheet for x in first.values()) + 1]
    return _solved(todo, stock, copies, kerf_mm, first, too_large)


def _copies(blanks: list[Blank], stock: list[Sheet]) -> list[int]:
    """The sheets that may be needed: rows of the stock, each as often as it can serve."""
    out = []
    for k, sheet in enumerate(stock):
        fits = sum(bool(ways_of(b, sheet)) for b in blanks)
        many = fits if sheet.count is None else min(sheet.count, fits)
        out += [k] * many
    return out


def _shelves(
    blanks: list[Blank], stock: list[Sheet], copies: list[int], kerf: float
) -> dict[str, Laid]:
    """A first answer: plates by falling height on shelves, sheet by sheet, the dearest last."""
    left = sorted(blanks, key=lambda b: (-min(b.length_mm, b.height_mm), b.key))
    out: dict[str, Laid] = {}
    order = sorted(range(len(copies)), key=lambda n: (worth(stock[copies[n]]), n))
    for n in order:
        sheet = stock[copies[n]]
        x = y = shelf = 0.0
        for b in list(left):
            for turn in ways_of(b, sheet):
                w, h = (b.height_mm, b.length_mm) if turn else (b.length_mm, b.height_mm)
                if x + w > sheet.length_mm + CLOSED:
                    x, y, shelf = 0.0, y + shelf + kerf, 0.0
                if x + w <= sheet.length_mm + CLOSED and y + h <= sheet.height_mm + CLOSED:
                    out[b.key] = Laid(b.key, n, x, y, w, h, turn)
                    x, shelf = x + w + kerf, max(shelf, h)
                    left.remove(b)
                    break
    return out


def _solved(
    blanks: list[Blank],
    stock: list[Sheet],
    copies: list[int],
    kerf: float,
    first: dict[str, Laid],
    too_large: tuple[str, ...],
) -> Nest:
    from ortools.sat.python import cp_model

    m = cp_model.CpModel()
    scale = SCALE / _unit(blanks, stock, kerf)
    used = [m.new_bool_var(f"used{n}") for n in range(len(copies))]
    lays, flat = {}, {n: ([], []) for n in range(len(copies))}  # type: ignore[var-annotated]
    whole = len(first) == len(blanks)
    for b in blanks:
        here = []
        for n, k in enumerate(copies):
            for turn in ways_of(b, stock[k]):
                w, h = (b.height_mm, b.length_mm) if turn else (b.length_mm, b.height_mm)
                lit = m.new_bool_var(f"{b.key}.{n}.{turn}")
                x = m.new_int_var(0, round((stock[k].length_mm - w) * scale), "")
                y = m.new_int_var(0, round((stock[k].height_mm - h) * scale), "")
                gx, gy = round((w + kerf) * scale), round((h + kerf) * scale)
                flat[n][0].append(m.new_optional_fixed_size_interval_var(x, gx, lit, ""))
                flat[n][1].append(m.new_optional_fixed_size_interval_var(y, gy, lit, ""))
                m.add_implication(lit, used[n])
                lays[b.key, n, turn] = (lit, x, y, w, h)
                here.append(lit)
                f = first.get(b.key)
                if whole and f is not None:
                    same = (f.sheet, f.turned) == (n, turn)
                    m.add_hint(lit, same)
                    m.add_hint(x, round(f.x * scale) if same else 0)
                    m.add_hint(y, round(f.y * scale) if same else 0)
        m.add_exactly_one(here)
    for n in range(len(copies)):
        m.add_no_overlap_2d(*flat[n])
    for n in range(1, len(copies)):
        if copies[n] == copies[n - 1]:
            m.add_implication(used[n], used[n - 1])
    cost = [round(worth(stock[k]) * 1000) for k in copies]
    m.minimize(sum(c * u for c, u in zip(cost, used, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = WORK
    status = solver.solve(m)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        left = tuple(b.key for b in blanks if b.key not in first)
        rows = tuple(sorted({x.sheet for x in first.values()}))
        total = sum(worth(stock[copies[n]]) for n in rows)
        return _told(copies, list(first.values()), total, 0.0, (*too_large, *left))
    laid = [
        Laid(key, n, solver.value(x) / scale, solver.value(y) / scale, w, h, turn)
        for (key, n, turn), (lit, x, y, w, h) in lays.items()
        if solver.value(lit)
    ]
    total = sum(worth(stock[copies[n]]) for n in sorted({x.sheet for x in laid}))
    bound = min(solver.best_objective_bound / 1000, total)
    return _told(copies, _settled(laid, kerf), total, bound, too_large)


def _unit(blanks: list[Blank], stock: list[Sheet], kerf: float) -> int:
    """The greatest length all sizes are whole numbers of, in tenths of a millimetre."""
    sizes = [v for b in blanks for v in (b.length_mm, b.height_mm)]
    sizes += [v for s in stock for v in (s.length_mm, s.height_mm)]
    return gcd(*(round(v * SCALE) for v in (*sizes, kerf))) or 1


def _told(
    copies: list[int], laid: list[Laid], cost: float, bound: float, too_large: tuple[str, ...]
) -> Nest:
    sheets = sorted({x.sheet for x in laid})
    number = {n: k for k, n in enumerate(sheets)}
    rows = sorted(laid, key=lambda x: (x.sheet, x.y, x.x))
    again = tuple(
        Laid(x.key, number[x.sheet], x.x, x.y, x.length_mm, x.height_mm, x.turned) for x in rows
    )
    return Nest(tuple(copies[n] for n in sheets), again, cost, bound, too_large)


def _settled(laid: list[Laid], kerf: float) -> list[Laid]:
    """Every plate slid down and to the left until it meets another: the offcut stays whole."""
    out = list(laid)
    moved = True
    while moved:
        moved = False
        for k in sorted(range(len(out)), key=lambda n: (out[n].sheet, out[n].y, out[n].x)):
            a = out[k]
            others = [b for n, b in enumerate(out) if n != k and b.sheet == a.sheet]
            y = max(
                (b.y + b.height_mm + kerf for b in others if _beside(a.x, a.length_mm, b.x,
                 b.length_mm, kerf) and b.y + b.height_mm + kerf <= a.y + CLOSED),
                default=0.0,
            )  # fmt: skip
            x = max(
                (b.x + b.length_mm + kerf for b in others if _beside(y, a.height_mm, b.y,
                 b.height_mm, kerf) and b.x + b.length_mm + kerf <= a.x + CLOSED),
                default=0.0,
            )  # fmt: skip
            if y < a.y - CLOSED or x < a.x - CLOSED:
                x, y = min(x, a.x), min(y, a.y)
                out[k] = Laid(a.key, a.sheet, x, y, a.length_mm, a.height_mm, a.turned)
                moved = True
    return out


def _beside(a: float, wide: float, b: float, other: float, kerf: float) -> bool:
    """True when two stretches meet, with the saw's cut between them."""
    return a < b + other + kerf - CLOSED and b < a + wide + kerf - CLOSED


def offcuts(sheet: Sheet, laid: list[Laid], kerf: float, least_mm: float = 60.0) -> list[
    tuple[float, float, float, float]
]:  # fmt: skip
    """What is left of a sheet as rectangles, the largest first, none over another."""
    free = [(0.0, 0.0, sheet.length_mm, sheet.height_mm)]
    for a in laid:
        box = (a.x - kerf, a.y - kerf, a.x + a.length_mm + kerf, a.y + a.height_mm + kerf)
        free = [piece for f in free for piece in _less(f, box)]
    out: list[tuple[float, float, float, float]] = []
    while free:
        best = max(free, key=lambda f: ((f[2] - f[0]) * (f[3] - f[1]), -f[0], -f[1]))
        if min(best[2] - best[0], best[3] - best[1]) < least_mm:
            break
        out.append((best[0], best[1], best[2] - best[0], best[3] - best[1]))
        grown = (best[0] - kerf, best[1] - kerf, best[2] + kerf, best[3] + kerf)
        free = [piece for f in free for piece in _less(f, grown)]
    return out


Rect = tuple[float, float, float, float]


def _less(f: Rect, b: Rect) -> list[Rect]:
    """The largest rectangles of one that another leaves."""
    if b[0] >= f[2] or b[2] <= f[0] or b[1] >= f[3] or b[3] <= f[1]:
        return [f]
    out = []
    if b[0] > f[0]:
        out.append((f[0], f[1], b[0], f[3]))
    if b[2] < f[2]:
        out.append((b[2], f[1], f[2], f[3]))
    if b[1] > f[1]:
        out.append((f[0], f[1], f[2], b[1]))
    if b[3] < f[3]:
        out.append((f[0], b[3], f[2], f[3]))
    return out
