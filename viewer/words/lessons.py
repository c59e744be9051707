"""What done jobs teach, in words."""

from routing.estimate.learning import FEW, Lesson
from viewer.words.estimate import TASKS


def lesson_lines(found: list[Lesson]) -> list[str]:
    """A line for each task, then what could be put into the shop's file; nothing is applied."""
    if not found:
        return ["No hours are written in yet: fill the column took_h of hours.csv."]
    out = ["Task                            jobs   took / planned   spread"]
    for x in sorted(found, key=lambda x: (x.suggested is None, x.task)):
        out.append(f"{TASKS.get(x.task, x.task):<32}{x.jobs:>4}{x.ratio:>12.2f}{x.spread:>14.2f}")
    told = [x for x in found if x.suggested is not None]
    if not told:
        out.append(f"Nothing to suggest: fewer than {FEW} jobs, or the usual values fit.")
        return out
    out += ["", "To take these, put them into the shop's file (least, likely, most minutes):"]
    out.append("[usual]")
    for x in told:
        s = x.suggested
        if s is not None:
            out.append(
                f"{x.task} = [{s.least:.2g}, {s.likely:.2g}, {s.most:.2g}]  # median of {x.jobs} "
                f"jobs: {x.ratio:.2f} times as planned"
            )
    return out
