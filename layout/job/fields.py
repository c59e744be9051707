"""What every table in a hull or job file is made of: lengths, names, places, directions."""

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Number = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_-]{1,12}$")]
Label = Annotated[str, StringConstraints(max_length=120)]
Note = Annotated[str, StringConstraints(max_length=2000)]
Length = (
    Annotated[str, StringConstraints(max_length=400)]
    | Annotated[float, Field(strict=True, allow_inf_nan=False)]
)
Point = Annotated[list[Length], Field(min_length=3, max_length=3)]
Pair = Annotated[list[Length], Field(min_length=2, max_length=2)]
Direction = Literal["forward", "aft", "port", "starboard", "up", "down"]
Face = Literal["top", "bottom", "port", "starboard", "forward", "aft"]
Between = Annotated[list[str], Field(min_length=2, max_length=2)]
Amps = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]
Volts = Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
LowVolts = Annotated[float, Field(gt=0, le=60, allow_inf_nan=False)]
Minutes = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]
Money = Annotated[float, Field(ge=0, le=100_000, allow_inf_nan=False)]
Share = Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]


Initials = Annotated[str, StringConstraints(max_length=40)]


class Part(BaseModel):
    """Base of every table: unknown keys are refused; a key's own docstring describes it."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, populate_by_name=True, use_attribute_docstrings=True
    )


class TakenModel(Part):
    """Who took a size and when, and whether it was taken on this very boat."""

    by: Initials = ""
    """Who took it."""
    on: date | None = None
    """The day it was taken."""
    verified: bool = False
    """True where it was measured on this boat and looked at again."""
