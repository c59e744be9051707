"""What lies between two states of a job: hours, goods, money, line by line."""

from collections.abc import Iterable

from viewer.work.estimate.rows import EstimateRow, GoodsRow, TaskRow
from viewer.work.row import Fine, Row


class HoursChangeRow(Row):
    """Hours of one kind of task at one place, on one thing."""

    task: str
    place: str
    about: str
    before: Fine
    after: Fine


class GoodsChangeRow(Row):
    """A line of goods, more or less of it; what moves in price alone is one line of its kind."""

    kind: str
    what: str
    about: str
    """Empty for what is the job's, or the sum of what moved in price alone."""
    unit: str
    before: Fine
    after: Fine
    total_before: Fine | None
    total_after: Fine | None


class VariationRow(Row):
    """What lies between two estimates."""

    hours: tuple[HoursChangeRow, ...]
    goods: tuple[GoodsChangeRow, ...]
    hours_before: Fine
    hours_after: Fine
    net_before: Fine
    net_after: Fine
    gross_before: Fine
    gross_after: Fine

    @property
    def more_hours(self) -> float:
        """Hours more; below nothing, less."""
        return round(self.hours_after - self.hours_before, 4)

    @property
    def more_net(self) -> float:
        """Money more, net."""
        return round(self.net_after - self.net_before, 2)

    @property
    def more_gross(self) -> float:
        """Money more, with tax."""
        return round(self.gross_after - self.gross_before, 2)


def variation(before: EstimateRow, after: EstimateRow) -> VariationRow:
    """What changed from one estimate to another."""
    return VariationRow(
        hours=_hours(before.tasks, after.tasks),
        goods=_goods(before.goods, after.goods),
        hours_before=before.hours.mean,
        hours_after=after.hours.mean,
        net_before=before.net,
        net_after=after.net,
        gross_before=before.gross,
        gross_after=after.gross,
    )


def _hours(a: Iterable[TaskRow], b: Iterable[TaskRow]) -> tuple[HoursChangeRow, ...]:
    sums: dict[tuple[str, str, str], list[float]] = {}
    for k, tasks in enumerate((a, b)):
        for t in tasks:
            sums.setdefault((t.task, t.place, t.about), [0.0, 0.0])[k] += t.mean
    return tuple(
        HoursChangeRow(task=task, place=place, about=about, before=round(x, 4), after=round(y, 4))
        for (task, place, about), (x, y) in sums.items()
        if abs(x - y) > 5e-4
    )


def _goods(a: Iterable[GoodsRow], b: Iterable[GoodsRow]) -> tuple[GoodsChangeRow, ...]:
    lines: dict[tuple[str, str, str], list[list[GoodsRow]]] = {}
    for k, goods in enumerate((a, b)):
        for g in goods:
            lines.setdefault((g.kind, g.what, g.about), [[], []])[k].append(g)
    counted: list[GoodsChangeRow] = []
    shares: dict[str, list[tuple[list[GoodsRow], list[GoodsRow]]]] = {}
    for (kind, what, about), (old, new) in lines.items():
        row = _goods_change(kind, what, about, old, new)
        if kind == "cable" and row.before == row.after:
            shares.setdefault(what, []).append((old, new))
        else:
            counted.append(row)
    for what, both in shares.items():  # the same lengths from other drums
        old, new = ([g for pair in both for g in pair[k]] for k in (0, 1))
        counted.append(_goods_change("cable", what, "", old, new))
    return tuple(r for r in counted if (r.before, r.total_before) != (r.after, r.total_after))


def _goods_change(
    kind: str, what: str, about: str, old: list[GoodsRow], new: list[GoodsRow]
) -> GoodsChangeRow:
    counts = [round(sum(g.count for g in rows), 3) for rows in (old, new)]
    totals = [_total(rows) for rows in (old, new)]
    return GoodsChangeRow(
        kind=kind,
        what=what,
        about=about,
        unit=(old or new)[0].unit,
        before=counts[0],
        after=counts[1],
        total_before=totals[0],
        total_after=totals[1],
    )


def _total(rows: list[GoodsRow]) -> float | None:
    if any(g.total is None for g in rows):
        return None
    return round(sum(g.total or 0.0 for g in rows), 2)
