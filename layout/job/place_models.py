"""Where something stands, told by what it is on, beside and level with."""

from typing import Annotated, Literal

from pydantic import Field

from layout.job.fields import Face, Length, Part

Axis = Literal["length", "breadth", "height"]


class PlaceModel(Part):
    """A place told the way a fitter says it: on what, and one word for each way along it."""

    on: str
    """A side of its space (forward, aft, port, starboard, bottom, top), or the piece or solid it
    stands on.
    """
    stand_off: Length = 0.0
    """How far off that it stands."""
    left_of: str | None = None
    """What it is left of, seen from inside the space, looking at the side it is on."""
    right_of: str | None = None
    """What it is right of, seen so."""
    above: str | None = None
    """What it is above."""
    below: str | None = None
    """What it is below."""
    forward_of: str | None = None
    """What it is forward of."""
    aft_of: str | None = None
    """What it is aft of."""
    port_of: str | None = None
    """What it is to port of."""
    starboard_of: str | None = None
    """What it is to starboard of."""
    by: Length = 0.0
    """The gap to that."""
    level_with: str | None = None
    """What its middle is as high as."""
    abreast_of: str | None = None
    """What its middle is as far forward as."""
    in_line_with: str | None = None
    """What its middle is as far to port as."""
    from_top: Length | None = None
    """From the top of its space."""
    from_bottom: Length | None = None
    """From the floor of its space."""
    from_forward: Length | None = None
    """From the forward side of its space."""
    from_aft: Length | None = None
    """From the aft side of its space."""
    from_port: Length | None = None
    """From the port side of its space."""
    from_starboard: Length | None = None
    """From the starboard side of its space."""
    against: list[Face] = Field(default=[], max_length=3)
    """Sides of its space it touches."""
    centred: Annotated[bool | list[Axis], Field(union_mode="left_to_right")] = False
    """True to stand in the middle of its space along every way nothing else tells, or the ways."""
