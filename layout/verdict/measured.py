"""Sizes of a boat that were taken over from another one and not measured on this one yet."""

from typing import Final

from layout.boat.build import Builder
from layout.verdict.rules import RuleFinding, Urgency

ABOUT: Final = ("boat:sizes",)
MOST_NAMED: Final = 6


def not_measured_here(builder: Builder) -> list[RuleFinding]:
    """A finding where a copied hull has measured sizes nobody has verified on this boat.

    Two boats of one model differ by more than a tape's error (common practice: ±15 to 25 mm).
    """
    hull = builder.files.hull
    if not hull.hull.copied_from:
        return []
    own = set(builder.files.job.sizes)
    groups = ("boards", "pieces", "circuits", "backbones", "stock", "types")
    open_ = [
        key
        for key, m in builder.sizes.measured.items()
        if m.how and key not in own and not key.startswith(groups)
        if key not in hull.measured or not hull.measured[key].verified
    ]
    if not open_:
        return []
    values: dict[str, float | str | tuple[str, ...]] = {
        "copied_from": hull.hull.copied_from,
        "count": float(len(open_)),
        "sizes": tuple(open_[:MOST_NAMED]),
    }
    return [RuleFinding("sizes not measured here", Urgency.SHOULD, ABOUT, values)]
