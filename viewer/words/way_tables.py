"""The tables of the book about how cable lies."""

from typing import Final

from layout.job.sizes import inches
from viewer.words.circuits import detour_words
from viewer.words.names import Names, metres
from viewer.words.table import Table
from viewer.work.rows import Result

AS_LAID_MM: Final = 10.0  # less longer than pulled straight is no dressing
WHY: Final = {
    "face down": "to lay the panel face down",
    "serve": "to take the board off its wall",
    "swing": "to follow it as it tilts and turns",
}


def laid_words(laid_mm: float, pulled_mm: float) -> str:
    """A way's length as laid, and pulled straight beside it."""
    if laid_mm - pulled_mm < AS_LAID_MM:
        return f"laid straight {metres(laid_mm)}"
    return f"laid square {metres(laid_mm)}; pulled straight {metres(pulled_mm)}"


def laid_list(r: Result, names: Names) -> Table:
    """Every way as it is laid, beside the same way pulled straight."""
    del names
    label = {c.number: c.label for c in r.circuits}
    rows = []
    for p in r.poles:
        mm = sum(leg.length_mm for leg in p.legs)
        spaces = sum(leg.kind in ("hole", "pipe", "tray") for leg in p.legs)
        words = laid_words(mm, p.pulled_mm)
        rows.append(
            (p.number, label[p.number], p.pole, words, f"{mm - p.pulled_mm:.0f} mm", str(spaces))
        )
    head = ("No.", "Circuit", "Way", "Laid", "Dressing it costs", "Holes and pipes")
    note = (
        "Square: along edges and corners, level or plumb, as cable is dressed where it is seen; "
        "straight behind linings, in ducts and bilges. Sizes are chosen on the length laid."
    )
    return Table("laid", "How each cable is laid", note, head, tuple(rows), (6, 24, 6, 40, 12, 12))


def loop_list(r: Result, names: Names) -> Table:
    """Cable kept at an end, why, and where the loop lies."""
    rows = tuple(
        (
            x.number,
            names.terminal(x.end),
            f"{x.length_mm:.0f} mm ({inches(x.length_mm)})",
            WHY[x.why],
            names.space(x.space) if x.space != "outside" else "outside",
            ", ".join(f"{v:.0f}" for v in x.at),
        )
        for x in r.loops
    )
    head = ("No.", "At", "Kept", "Why", "Where", "Place in the boat, mm")
    note = "Each loop lies where its lead meets the face; it is in the cut length."
    return Table("loops", "Loops kept", note, head, rows, (6, 26, 16, 24, 16, 18))


def plate_hole_list(r: Result, names: Names) -> Table:
    """Holes to drill in boards' plates for leads that go through them."""
    rows = tuple(
        (
            names.piece(h.board),
            h.number,
            f"{h.bore_mm:.0f} mm ({inches(h.bore_mm)})",
            f"{h.along_mm[0]:.0f} and {h.along_mm[1]:.0f} mm",
        )
        for h in r.plate_holes
    )
    head = ("Board", "Circuit", "Drill", "From the plate's low corner, along both edges")
    note = "Drilled on the bench and edged; eye protection, and clamp the plate."
    return Table("plate_holes", "Holes in the boards", note, head, rows, (30, 10, 20, 40))


def compass_list(r: Result, names: Names) -> Table:
    """What every circuit adds at each compass and heading sensor."""
    rows = []
    for s in r.sensors:
        place = names.of(f"hazard:{s.hazard}")
        rows.append(
            (place, "all that is on", f"{s.degrees:.1f}°", f"{s.micro_tesla:.2f} µT", "-", "-")
        )
        rows += [
            (
                place,
                f"{c.number}, {names.circuit(c.number)}",
                f"{c.degrees:.1f}°",
                f"{c.micro_tesla:.2f} µT",
                f"{c.nearest_mm:.0f} mm",
                f"{c.lead_off_mm:.0f} mm",
            )
            for c in s.circuits
        ]
    head = (
        "At",
        "Circuit",
        "Turns it by up to",
        "Level field",
        "Passes at",
        "Next to nothing from",
    )
    earth = f"{r.sensors[0].earth_micro_tesla:g} µT" if r.sensors else "-"
    note = (
        "The field of each circuit along its real way (Biot and Savart), a pair in the worse of "
        f"its two lays, beside the earth's level field of {earth}, on the worst heading. Cables "
        "alone: iron, motors, loudspeakers and heel are not in it, nor links on boards and between "
        "batteries. Swing the compass with the heavy loads off and on."
    )
    title = "Compass and heading sensors"
    return Table("compass", title, note, head, tuple(rows), (20, 28, 14, 14, 12, 16))


def detour_list(r: Result, names: Names) -> Table:
    """What each rule adds to a cable's way."""
    rows = [
        (c.number, c.label, detour_words(d, names), f"{metres(d.extra_mm)} ({inches(d.extra_mm)})")
        for c in r.circuits
        for d in c.detours
    ]
    return Table(
        "detours",
        "Why a cable is longer than the shortest",
        "What each rule adds, taken alone.",
        ("No.", "Circuit", "Why", "Longer by"),
        tuple(rows),
        (6, 26, 44, 24),
    )
