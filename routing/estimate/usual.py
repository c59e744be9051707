"""The usual values an estimate rests on: those of coaming, or a shop's own for them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from routing.estimate.three_point import ThreePoint

# the job's own rates tell the likely minutes of these
RATED: Final = MappingProxyType(
    {
        "clip": "clip_minutes",
        "edge": "edging_minutes",
        "through_hole": "hole_minutes",
        "through_pipe": "pipe_minutes",
        "no_string": "no_string_minutes",
        "pull_metre": "pull_minutes_per_metre",
    }
)


@dataclass(frozen=True, slots=True)
class Usual:
    """The minutes of one task, what they are counted by, and whose word they are."""

    minutes: ThreePoint
    per: str
    basis: str


@cache
def usual_values() -> Mapping[str, Usual]:
    """Those that come with coaming."""
    text = resources.files("routing.estimate").joinpath("usual.toml").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            key: Usual(ThreePoint(*(float(m) for m in t["minutes"])), t["per"], t["basis"])
            for key, t in tomllib.loads(text).items()
        }
    )


def values_for(
    own: Mapping[str, tuple[float, float, float]], rates: Mapping[str, float]
) -> dict[str, Usual]:
    """The values of one job: the shop's own first, then those its rates tell the likely minutes
    of, in the proportions of the usual ones.
    """
    out = dict(usual_values())
    for key, rate in RATED.items():
        if rate in rates:
            u = out[key]
            share = rates[rate] / u.minutes.likely
            out[key] = Usual(u.minutes.times(share), u.per, "the job's rates")
    for key, (a, m, b) in own.items():
        out[key] = Usual(ThreePoint(a, m, b), out[key].per, "the shop's own")
    return out
