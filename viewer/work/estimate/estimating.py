"""The estimate of a job: its tasks and goods, brought together into sections and sums."""

from collections.abc import Mapping
from typing import Final

from layout.job.shop_models import EstimateModel
from routing.estimate.three_point import ThreePoint, together
from routing.estimate.usual import values_for
from viewer.work.described import Described
from viewer.work.estimate.goods import cents, goods_of
from viewer.work.estimate.places import Factors, access_rows
from viewer.work.estimate.rows import (
    EstimateRow,
    GoodsRow,
    GroupRow,
    SectionRow,
    SpreadRow,
    TaskRow,
    UsualRow,
)
from viewer.work.estimate.sections import ALL, Sections
from viewer.work.estimate.tasks import GROUPS, WIRING, Task, tasks_of

# put by for what turns up, by the boat's age: 30 to 40 % on old boats is common advice, the rest
# from memory
CONTINGENCY: Final = ((5.0, 5.0), (15.0, 10.0), (25.0, 20.0), (1e9, 35.0))
KIND: Final = {"first": 1.3, "usual": 1.0, "repeat": 0.8}  # memory
AFLOAT, HOT = 1.1, 1.1  # a pontoon to walk, summer heat: memory


def contingency_percent(model: EstimateModel) -> float:
    """What is put by on labour."""
    if model.contingency_percent is not None:
        return model.contingency_percent
    return next(p for most, p in CONTINGENCY if model.age_years <= most)


def estimated(found: Described, rows: Mapping[str, object]) -> EstimateRow:
    """The estimate, from the rows of the result it is part of."""
    job, shop = found.files.job, found.files.shop
    own = {k: (v[0], v[1], v[2]) for k, v in shop.usual.items()}
    told = {k: float(getattr(job.rates, k)) for k in job.rates.model_fields_set if "minute" in k}
    usual = values_for(own, told)
    access = access_rows(found.boat)
    every = KIND[job.estimate.kind]
    aboard = every * (AFLOAT if job.estimate.afloat else 1) * (HOT if job.estimate.hot else 1)
    sections = Sections(found.files, found.circuits)
    tasks = tasks_of(found, usual, Factors(access, every, aboard), sections, rows)
    goods = goods_of(found, sections, rows)
    hour = shop.shop.hour
    if hour is None or "hour" in job.rates.model_fields_set:
        hour = job.rates.hour
    used = {t.task for t in tasks}
    return _summed(
        found,
        hour,
        tuple(access),
        tuple(
            UsualRow(task=k, least=u.minutes.least, likely=u.minutes.likely, most=u.minutes.most,
                     per=u.per, basis=u.basis)
            for k, u in usual.items() if k in used
        ),
        [_task_row(t, hour) for t in tasks],
        goods,
    )  # fmt: skip


def _hours(value: float) -> float:
    """Hours as they are written, halves up as a spreadsheet rounds."""
    return round(value + 1e-10, 4)


def _task_row(t: Task, hour: float) -> TaskRow:
    many = t.count * t.factor / 60
    least, likely, most = (
        _hours(m * many) for m in (t.minutes.least, t.minutes.likely, t.minutes.most)
    )
    mean = _hours((least + 4 * likely + most) / 6)
    return TaskRow(
        section=t.section,
        task=t.task,
        place=t.place,
        about=t.about,
        count=t.count,
        factor=t.factor,
        least=least,
        likely=likely,
        most=most,
        mean=mean,
        labour=cents(mean * hour),
    )


def _summed(
    found: Described,
    hour: float,
    access: tuple[object, ...],
    usual: tuple[UsualRow, ...],
    tasks: list[TaskRow],
    goods: list[GoodsRow],
) -> EstimateRow:
    shop, job = found.files.shop.shop, found.files.job
    spread = together((t.task, ThreePoint(t.least, t.likely, t.most)) for t in tasks)
    hours = SpreadRow(
        mean=round(sum(t.mean for t in tasks), 4),
        low=round(spread.low, 4),
        high=round(spread.high, 4),
    )
    groups = _groups(tasks)
    in_boat = {g.group: g.hours for g in groups if g.group in WIRING}
    wiring = sum(in_boat.values())
    goods_total = cents(sum(g.total or 0.0 for g in goods))
    margin = cents(goods_total * shop.margin_percent / 100)
    sundries = cents(goods_total * shop.sundries_percent / 100)
    labour = cents(sum(t.labour for t in tasks))
    put_by = contingency_percent(job.estimate)
    contingency = cents(labour * put_by / 100)
    net = cents(goods_total + margin + sundries + labour + contingency)
    tax = cents(net * shop.tax_percent / 100)
    with_tax, with_contingency = 1 + shop.tax_percent / 100, 1 + put_by / 100

    def gross(of_hours: float) -> float:
        bought = goods_total + margin + sundries
        return cents((bought + of_hours * hour * with_contingency) * with_tax)

    return EstimateRow(
        shop=shop.name,
        customer=job.estimate.customer,
        hours_in_day=shop.hours_in_day,
        currency=shop.currency,
        hour=hour,
        margin_percent=shop.margin_percent,
        sundries_percent=shop.sundries_percent,
        contingency_percent=put_by,
        tax_percent=shop.tax_percent,
        access=access,  # type: ignore[arg-type]
        usual=usual,
        tasks=tuple(tasks),
        goods=tuple(goods),
        sections=_sections(tasks, goods, shop.margin_percent + shop.sundries_percent, put_by),
        groups=groups,
        hours=hours,
        pulling_share=round(in_boat.get("pulling", 0.0) / wiring, 4) if wiring else 0.0,
        goods_total=goods_total,
        margin=margin,
        sundries=sundries,
        labour=labour,
        labour_low=cents(hours.low * hour),
        labour_high=cents(hours.high * hour),
        contingency=contingency,
        net=net,
        tax=tax,
        gross=cents(net + tax),
        gross_low=gross(hours.low),
        gross_high=gross(hours.high),
        unpriced=sum(g.total is None for g in goods),
    )


def _groups(tasks: list[TaskRow]) -> tuple[GroupRow, ...]:
    sums: dict[str, float] = {}
    for t in tasks:
        group = _group(t)
        sums[group] = sums.get(group, 0.0) + t.mean
    whole = sum(sums.values()) or 1.0
    return tuple(
        GroupRow(group=g, hours=round(h, 4), share=round(h / whole, 4)) for g, h in sums.items()
    )


def _group(t: TaskRow) -> str:
    """The kind of work a task is; ends made on the bench are part of its boards."""
    if t.task.startswith("end_") and t.place == "bench":
        return GROUPS["bench_end"]
    return GROUPS[t.task]


def _sections(
    tasks: list[TaskRow], goods: list[GoodsRow], on_goods_percent: float, put_by_percent: float
) -> tuple[SectionRow, ...]:
    keys = dict.fromkeys([*(g.section for g in goods), *(t.section for t in tasks)])
    order = [k for k in keys if k != ALL] + ([ALL] if ALL in keys else [])
    out = []
    for key in order:
        bought = cents(sum(g.total or 0.0 for g in goods if g.section == key))
        labour = cents(sum(t.labour for t in tasks if t.section == key))
        out.append(
            SectionRow(
                key=key,
                goods=bought,
                hours=round(sum(t.mean for t in tasks if t.section == key), 4),
                labour=labour,
                total=cents(
                    bought * (1 + on_goods_percent / 100) + labour * (1 + put_by_percent / 100)
                ),
                unpriced=sum(g.total is None for g in goods if g.section == key),
            )
        )
    return tuple(out)
