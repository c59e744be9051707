"""What may stand in a shop's own files: its settings and prices, and what lies on its shelf.

Both are shared by the jobs of a shop: a job names them under `[job]`.
"""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from layout.job.fields import Label, Minutes, Money, Name, Note, Part

Percent = Annotated[float, Field(ge=0, le=300, allow_inf_nan=False)]
Hours = Annotated[float, Field(ge=0, le=2000, allow_inf_nan=False)]


def _rising(minutes: list[float]) -> list[float]:
    if sorted(minutes) != minutes:
        raise ValueError("least, likely, most in rising order")
    return minutes


LeastLikelyMost = Annotated[
    list[Minutes], Field(min_length=3, max_length=3), AfterValidator(_rising)
]


class ShopHead(Part):
    """Who quotes, and on what terms."""

    name: Label = ""
    """The shop's name, as its papers show it."""
    address: Note = ""
    """Where it is; lines parted by commas."""
    currency: Label = "EUR"
    """What prices are in, as it stands beside them."""
    hour: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)] | None = None
    """An hour's work; left out, as the job's rates tell."""
    margin_percent: Percent = 0.0
    """What is put on goods."""
    tax_percent: Percent = 0.0
    """Tax on the whole."""
    sundries_percent: Percent = 3.0
    """Small things not counted one by one, on goods: 2 to 4 % is common practice."""
    hours_in_day: Annotated[float, Field(gt=0, le=24, allow_inf_nan=False)] = 7.5
    """Hours of work in one person's day: days are told by it (7.5 is common practice)."""
    valid_days: Annotated[int, Field(ge=1, le=365)] = 30
    """How long a quote stands."""
    terms: Note = ""
    """What else a customer is told: deposit, payment, what is not covered."""


class SupplierModel(Part):
    """Who sells what, and how long they take."""

    label: Label
    """What people call them."""
    kinds: list[Label] = Field(default=[], max_length=60)
    """Kinds of gear or goods bought from them, like battery, cable, lug."""
    types: list[Label] = Field(default=[], max_length=500)
    """Types of gear bought from them; these count before kinds."""
    weeks: Annotated[float, Field(ge=0, le=104, allow_inf_nan=False)] = 0.0
    """How long they usually take."""


class ShopFile(Part):
    """A shop's settings: prices, margins, tax, its own usual values."""

    shop: ShopHead = ShopHead()
    """Who quotes."""
    prices: dict[Label, Money] = Field(default={}, max_length=5000)
    """The price of one: by the key of a type, or by goods like "lug 25 mm2 M8"."""
    usual: dict[Name, LeastLikelyMost] = Field(default={}, max_length=100)
    """The shop's own minutes for a task: least, likely, most."""
    suppliers: dict[Name, SupplierModel] = Field(default={}, max_length=60)
    """Who sells what."""


class RemnantModel(Part):
    """A length of cable on the shelf."""

    cable: Label
    """Its size, by the catalogue's name."""
    length_mm: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
    """How long it is, mm."""
    count: Annotated[int, Field(ge=1, le=1000)] = 1
    """How many there are."""
    label: Label = ""
    """What people call it."""


class OffcutModel(Part):
    """An offcut of sheet on the shelf."""

    material: Label = "marine ply"
    """What it is."""
    thickness_mm: Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]
    """How thick it is, mm."""
    size_mm: Annotated[
        list[Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)]],
        Field(min_length=2, max_length=2),
    ]
    """Length and height, mm; its grain runs along its length."""
    count: Annotated[int, Field(ge=1, le=100)] = 1
    """How many there are."""
    label: Label = ""
    """What people call it."""


class TakenFromShelf(Part):
    """A job that took from the shelf, so that it is not taken twice."""

    job: Label
    """The job's file."""
    on: Label = ""
    """When."""


class ShelfFile(Part):
    """What lies on a shop's shelf; `coaming buy --take` brings it up to date."""

    remnants: list[RemnantModel] = Field(default=[], max_length=500)
    """Lengths of cable."""
    offcuts: list[OffcutModel] = Field(default=[], max_length=200)
    """Offcuts of sheet."""
    taken: list[TakenFromShelf] = Field(default=[], max_length=2000)
    """Which jobs have taken."""


class ChargeModel(Part):
    """A cost told by the estimator: a lift, a crane, a berth, somebody else's bill."""

    label: Label
    """What it is."""
    price: Money = 0.0
    """What it costs."""
    section: Label = ""
    """The section of the quote it belongs to."""


class EstimateModel(Part):
    """What an estimate has to know that no model shows."""

    strip_out: Literal["none", "little", "usual", "much"] = "none"
    """How much old wiring comes out first."""
    age_years: Annotated[float, Field(ge=0, le=150, allow_inf_nan=False)] = 0.0
    """How old the boat is: what is put by for what turns up follows from it."""
    contingency_percent: Percent | None = None
    """What is put by, where the shop wants another figure than the boat's age gives."""
    kind: Literal["first", "usual", "repeat"] = "usual"
    """First of its kind, one like others, or the same again."""
    afloat: bool = False
    """True where the work is done afloat, with a pontoon to walk."""
    hot: bool = False
    """True in summer heat."""
    road_hours: Hours = 0.0
    """Hours on the road in all, there and back, every trip."""
    holes_to_cut: list[Name] | None = Field(default=None, max_length=200)
    """Cable holes that are not there yet; left out, all the hull's holes are there."""
    linings_minutes: Minutes = 0.0
    """Linings and berth items off and on that the model does not show."""
    charges: list[ChargeModel] = Field(default=[], max_length=60)
    """What others charge: lift, crane, berth."""
    customer: Label = ""
    """Whom the quote is for, as its papers show it."""
    made: Note = ""
    """The date of the quote, as its papers show it."""
