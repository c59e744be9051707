"""The short tables in the terminal."""

from typing import Literal

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from layout.errors import one_line
from viewer.words.circuits import (
    bore_todo,
    cut_words,
    full_words,
    fuse_words,
    percent_words,
    size_words,
)
from viewer.words.names import Names
from viewer.words.pieces import FINE, PieceWords
from viewer.words.steps import IN_ORDER, next_steps
from viewer.work.rows import Result

Side = Literal["left", "right"]


def print_result(result: Result, console: Console) -> None:
    """One line per board and piece, one per circuit, then what to do next."""
    names = Names(result)
    console.print(_said(f"{result.job} - {result.hull}", style="bold"))
    console.print(_pieces(result, names))
    if result.circuits:
        console.print(_circuits(result))
    if any(bore_todo(pipe) for pipe in result.holes_and_pipes):
        console.print(_bores(result, names))
    steps = next_steps(result, names)
    if not steps:
        console.print(_said(IN_ORDER))
        return
    console.print(_said("Next", style="bold"))
    for n, step in enumerate(steps, start=1):
        console.print(_said(f" {n}. {step}"), soft_wrap=False)
    stuck = [row.key for row in result.pieces if row.verdict == "cannot"]
    for key in stuck:
        command = f"coaming remedy {result.inputs.job_file} {key}"
        console.print(_said(f"What would make {names.piece(key)} go: {command}"))


def _said(text: str, style: str = "") -> Text:
    """Words for the terminal: nothing in them acts on it."""
    return Text(one_line(text), style=style)


def _table(*columns: tuple[str, Side]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False)
    for name, side in columns:
        table.add_column(name, justify=side)
    return table


def _pieces(result: Result, names: Names) -> Table:
    table = _table(
        ("Board or piece", "left"),
        ("Goes in?", "left"),
        ("Smallest gap", "right"),
        ("What decides", "left"),
        ("In place", "left"),
    )
    for row in result.pieces:
        p = PieceWords(result, row, names)
        style = "" if row.verdict in FINE else "bold"
        table.add_row(
            _said(p.label),
            _said(row.verdict, style=style),
            p.gap,
            _said(p.decides),
            _said(p.at_rest),
        )
    return table


def _circuits(result: Result) -> Table:
    table = _table(
        ("No.", "left"),
        ("Circuit", "left"),
        ("Out", "right"),
        ("Back", "right"),
        ("Size", "left"),
        ("Drop", "right"),
        ("Limit", "right"),
        ("Fuse", "right"),
    )
    for circuit in result.circuits:
        style = "" if circuit.in_order else "bold"
        table.add_row(
            _said(circuit.number),
            _said(circuit.label),
            *cut_words(circuit),
            _said(size_words(circuit), style=style),
            *percent_words(circuit),
            fuse_words(circuit.fuse_amp),
        )
    return table


def _bores(result: Result, names: Names) -> Table:
    table = _table(
        ("Hole or pipe", "left"),
        ("Bore", "right"),
        ("Full", "right"),
        ("Allowed", "right"),
        ("To do", "left"),
    )
    for pipe in result.holes_and_pipes:
        if bore_todo(pipe):
            what = ", ".join(
                w
                for w in (
                    "too full" if pipe.too_full else "",
                    "edge it" if pipe.needs_edging else "",
                    "may wedge" if pipe.may_jam else "",
                )
                if w
            )
            table.add_row(
                _said(names.joint_whole(pipe.key)),
                f"{pipe.bore_mm:.0f} mm",
                full_words(pipe),
                f"{pipe.limit:.0%}",
                what,
            )
    return table
