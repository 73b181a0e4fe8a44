"""Shape of the plan file, as pydantic models: strict, no unknown keys, no logic."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

MOST = 1_000_000_000_000  # more than any figure of a plan
Count = Annotated[int, Field(ge=0, le=MOST)]
BankName = Literal["left", "right"] | None
Flow = Literal["low", "medium", "high"]


class Row(BaseModel):
    """A table of the plan file."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class AimRow(Row):
    """One aim's value and bound."""

    name: str
    value: Count
    bound: Count
    proven: bool


class CasesRow(Row):
    """Counts of cases by how they are covered."""

    all_banks: Count
    one_bank: Count
    from_water: Count
    none: Count
    backed: Count
    total: Count


class MetRow(Row):
    """How many demands are met, of how many."""

    met: Count
    total: Count


class CoveredRow(Row):
    """How many cases are covered, of how many."""

    covered: Count
    total: Count


class TotalsRow(Row):
    """The counts of the whole trip; by flow where several are planned for."""

    cases: CasesRow
    demands: MetRow
    without_technique: Count
    flows: dict[Flow, CoveredRow]


class PackedRow(Row):
    """Copies of an item in a boat."""

    item: str
    count: Annotated[int, Field(ge=1, le=MOST)]
    carried: Literal["worn", "quick", "stowed"]
    worn_by: str | None


class StowedRow(Row):
    """What of a lot of stores lies in a boat, box by box, and its first and last day there.

    `amount` is what is in each box on the first one; both are None for things that need no box.
    """

    lot: str
    count: Annotated[int, Field(ge=1, le=MOST)]
    boxes: list[str]
    days: Annotated[list[Count], Field(min_length=2, max_length=2)]
    amount: float | None
    unit: Literal["kg", "l"] | None


class SupplyRow(Row):
    """What comes aboard of a store on the first of its days, container by container."""

    store: str
    days: Annotated[list[Count], Field(min_length=2, max_length=2)]
    person_days: Count
    amount: float
    unit: Literal["kg", "l"]
    container: str
    count: Count
    contents: list[float]


class LoadRow(Row):
    """What a boat is laden with on the morning of a day."""

    day: Count
    people_kg: float
    kit_kg: float
    stores_kg: float
    camp_kg: float
    dry_kg: float


class BoatRow(Row):
    """Who sits in a boat and what lies in it; stores and masses by day where the trip has any."""

    name: str
    called: str
    days: Annotated[list[Count], Field(min_length=2, max_length=2)]
    crew: list[str]
    steerer: str
    items: list[PackedRow]
    mass_kg: float
    payload_kg: float
    stores: list[StowedRow] | None = None
    mass_by_day: list[LoadRow] | None = None


class StationRow(Row):
    """Where a boat waits while another runs; no flow where the rapid is the same at all."""

    rapid: str
    flow: Flow | None = None
    running: str
    boat: str
    station: Literal["left", "right", "afloat", "above", "below"]


class OrderRow(Row):
    """The running order of the boats on these days."""

    days: Annotated[list[Count], Field(min_length=2, max_length=2)]
    boats: list[str]


class TwiceRow(Row):
    """Who walks back up at a rapid, on which bank and how long, and takes a second boat down."""

    rapid: str
    boat: str
    paddler: str
    bank: str
    minutes: Count


class MoveRow(Row):
    """Who or what changes boat, or how it is carried, before boats are launched on a day."""

    day: Count
    paddler: str | None = None
    item: str | None = None
    source: str = Field(alias="from")
    target: str = Field(alias="to")
    carried: str | None = None
    to_carry: str | None = None
    count: Count


class LyingRow(Row):
    """Copies of an item where they lay; `carried` is None for those that lay in no boat."""

    item: str
    count: Annotated[int, Field(ge=1, le=MOST)]
    carried: Literal["worn", "quick", "stowed"] | None
    worn_by: str | None


class LotRow(Row):
    """How many of a lot of stores lay in a boat."""

    lot: str
    count: Annotated[int, Field(ge=1, le=MOST)]


class BeforeRow(Row):
    """Who and what was in a boat before the plan; both names are None for what was in none."""

    name: str | None
    called: str | None
    crew: list[str]
    items: list[LyingRow]
    stores: list[LotRow]

    @model_validator(mode="after")
    def _check_names(self) -> BeforeRow:
        lying = [self.name is not None] * len(self.items)
        if [row.carried is not None for row in self.items] != lying or self.name == "":
            raise ValueError("things lie somehow in a boat, and in no way outside")
        return self


class EveningRow(Row):
    """Who and what was in a boat on the evening before a trip was begun afresh."""

    called: str
    crew: list[str]
    items: list[PackedRow]
    boxes: list[str]


class DamagedRow(Row):
    """What a damaged boat still carries."""

    boat: str
    payload_kg: Annotated[float, Field(ge=0, le=MOST, allow_inf_nan=False)]


class LostItemRow(Row):
    """Kit that is gone from a boat, or of a paddler's own."""

    boat: str
    item: str
    count: Annotated[int, Field(ge=1, le=MOST)]


class RestartRow(Row):
    """What had happened before a day, and how all lay on the evening before."""

    day: Count
    lost: list[str]
    damaged: list[DamagedRow]
    absent: list[str]
    hurt: list[str]
    lost_items: list[LostItemRow]
    skipped: list[str]
    left: list[str] = []
    boats: list[EveningRow]


class PersonRow(Row):
    """A person of a witness."""

    site: str
    bank: BankName
    role: str
    paddler: str
    boat: str = ""


class ItemRow(Row):
    """Things of a witness."""

    site: str
    bank: BankName
    kind: str
    item: str
    count: Annotated[int, Field(ge=1, le=MOST)]
    source: str = Field(alias="from")
    carried: str
    worn_by: str = ""
    bundle: str = ""
    boat: str = ""


class PlaceRow(Row):
    """Free places of a boat in a witness: so many swimmers it takes."""

    site: str
    bank: BankName
    swimmers: Annotated[int, Field(ge=1, le=MOST)]
    boat: str


class MissingRow(Row):
    """What is short; exactly one of role, kind, hands, work and swimmers says of what sort it is.

    `swimmers` names what would take one.
    """

    site: str
    bank: BankName
    role: str | None = None
    kind: str | None = None
    hands: str | None = None
    work: str | None = None
    swimmers: str | None = None
    asks: str
    short: Annotated[int, Field(ge=1, le=MOST)]

    @model_validator(mode="after")
    def _is_of_one_sort(self) -> MissingRow:
        named = [self.role, self.kind, self.hands, self.work, self.swimmers]
        if sum(name is not None for name in named) != 1:
            raise ValueError("of several sorts, or of none")
        return self


class DemandRow(Row):
    """A demand with its witness, or with what is missing."""

    rapid: str
    day: Count
    spot: str
    scenario: str
    technique: str
    bank: BankName
    running: str
    met: bool
    way: str
    witness: list[PersonRow | ItemRow | PlaceRow]
    missing: list[MissingRow]


class GapRow(Row):
    """A gap, running boats joined."""

    day: Count
    rapid: str
    spot: str
    scenario: str
    bank: BankName
    technique: str
    running: list[str]
    missing: list[MissingRow]
    sort: str
    note: str
    weight: Count
    covered_elsewhere: bool


class ShortfallRow(Row):
    """Where the plan falls short of a rule, or of a spread on a day on which a boat is lost."""

    tier: Literal["law", "house", "spread"]
    name: str
    day: Count
    boat: str | None
    asked: Count
    there: Count
    short: Annotated[int, Field(ge=1, le=MOST)]


class LeftOutRow(Row):
    """Kit that the plan does not call for."""

    item: str
    count: Annotated[int, Field(ge=1, le=MOST)]


class SourceRow(Row):
    """An input file as it was read."""

    file: str
    digest: str
    text: str


class PlanRecord(Row):
    """The whole document."""

    caution: str
    version: str
    digest: str
    trip: str
    flow: Flow | Literal["all"]
    canonical: bool
    aims: list[AimRow]
    totals: TotalsRow
    shortfalls: list[ShortfallRow] | None = None  # where the trip has rules or spreads
    supplies: list[SupplyRow] | None = None  # where the trip has stores
    gaps: list[GapRow]
    boats: list[BoatRow]
    order: list[OrderRow]
    twice: list[TwiceRow]
    moves: list[MoveRow]
    before: list[BeforeRow] | None = None  # where moves are counted from what there was
    happened: Annotated[list[RestartRow], Field(min_length=1)] | None = None  # where replanned
    not_called_for: list[LeftOutRow]
    stations: list[StationRow]
    demands: list[DemandRow]
    sources: Annotated[list[SourceRow], Field(min_length=1)]
