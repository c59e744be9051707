"""The short table in the terminal."""

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from layout.verdict.fit import Answer, ThingFit
from routing.circuits.cables import Cable
from viewer.work.result import JobResult, full_words


def print_result(result: JobResult, console: Console) -> None:
    """One line per board and item, one per circuit, then what to do next."""
    console.print(Text(f"{result.files.job.job.name} - {result.boat.name}", style="bold"))
    console.print(_things(result.fits))
    if result.cables:
        console.print(_cables(result.cables))
    if any(f.too_full or f.needs_edging for f in result.fills):
        console.print(_fills(result))
    if result.next_steps:
        console.print(Text("Next", style="bold"))
        for n, step in enumerate(result.next_steps, start=1):
            console.print(Text(f" {n}. {step}"), soft_wrap=False)
    else:
        console.print(Text("All is well: everything goes in, stands clear and is fed."))


def clearance_words(f: ThingFit) -> str:
    """The least clearance as a person reads it."""
    if f.least_clearance_mm is None:
        return "-"
    if f.least_clearance_mm < 0:
        return f"{-f.least_clearance_mm:.0f} mm short"
    return f"{f.least_clearance_mm:.1f} mm"


def decides_words(f: ThingFit) -> str:
    """The deciding size, or what is nearly touching."""
    if f.deciding:
        d = f.deciding[0]
        return f"{d.label} ±{d.plus_minus_mm:g} ({d.share:.0%})"
    return f.nearly_touching or "-"


def _things(fits: tuple[ThingFit, ...]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for name, justify in (
        ("Board or item", "left"),
        ("Goes in?", "left"),
        ("Least clearance", "right"),
        ("What decides", "left"),
        ("At rest", "left"),
    ):
        table.add_column(name, justify=justify)  # type: ignore[arg-type]
    for f in fits:
        style = "" if f.answer in (Answer.GOES_IN, Answer.THERE) else "bold"
        rest = (
            f"clash: {f.clashes[0].other}"
            if f.clashes
            else (
                f"{f.rooms_taken[0].what}: {f.rooms_taken[0].depth_mm:.0f} mm short"
                if f.rooms_taken
                else "clear"
            )
        )
        table.add_row(
            Text(f.label),
            Text(f.answer.value, style=style),
            clearance_words(f),
            Text(decides_words(f)),
            Text(rest),
        )
    return table


def _cables(cables: tuple[Cable, ...]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for name, justify in (
        ("Circuit", "left"),
        ("", "left"),
        ("Out", "right"),
        ("Back", "right"),
        ("Size", "left"),
        ("Drop", "right"),
        ("Limit", "right"),
        ("Fuse", "right"),
    ):
        table.add_column(name, justify=justify)  # type: ignore[arg-type]
    for c in cables:
        out = f"{c.length.cut_mm / 1000:.2f} m" if c.length else "no way"
        back = f"{c.back_length.cut_mm / 1000:.2f} m" if c.back_length else "-"
        size = (
            "licensed person"
            if c.mains
            else ("lead" if c.signal else (c.conductor.name if c.conductor else "-"))
        )
        plain = c.mains or c.signal or c.conductor is None
        table.add_row(
            Text(c.number),
            Text(c.label),
            out,
            back,
            Text(size, style="" if c.well else "bold"),
            "-" if plain else f"{c.drop_percent:.1f} %",
            "-" if plain else f"{c.drop_limit_percent:g} %",
            f"{c.fuse_amp:g} A" if c.fuse_amp else "-",
        )
    return table


def _fills(result: JobResult) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for name in ("Hole or pipe", "Bore", "Full", "Allowed", ""):
        table.add_column(name)
    for f in result.fills:
        if f.too_full or f.needs_edging:
            what = ", ".join(
                t
                for t in ("too full" if f.too_full else "", "edge it" if f.needs_edging else "")
                if t
            )
            table.add_row(
                Text(f.label), f"{f.bore_mm:.0f} mm", full_words(f), f"{f.limit:.0%}", what
            )
    return table
