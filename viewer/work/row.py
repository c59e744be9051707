"""What every row of the result is made of: frozen, typed, numbers rounded as they are written."""

from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, PlainSerializer


def rounded(digits: int) -> PlainSerializer:
    """Numbers are written with so many decimals: rounding noise is no difference."""
    return PlainSerializer(lambda x: None if x is None else round(x, digits) + 0.0)


Mm = Annotated[float, rounded(3)]
Fine = Annotated[float, rounded(6)]
Turn = Annotated[float, rounded(12)]
Vec = tuple[Mm, Mm, Mm]
Place = tuple[Fine, Fine, Fine]
Quat = tuple[Turn, Turn, Turn, Turn]
Value = float | str | tuple[str, ...]


class Row(BaseModel):
    """Base of every row."""

    @classmethod
    def of(cls, thing: object, **more: object) -> Self:
        """A row of a thing: fields of the same name are copied, the others are given."""
        same = {k: getattr(thing, k) for k in cls.model_fields if k not in more}
        return cls(**same, **more)

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)
