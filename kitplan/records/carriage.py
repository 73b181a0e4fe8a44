"""Shapes of what must be carried: rule files, files of spreads, and their rows in a trip."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from kitplan.records.shared import Craft, Level, LineFlag, Name, Quantity, RapidClass, Record

Sentence = Annotated[str, Field(min_length=1, max_length=300)]
Status = Literal[
    "primary text read", "second-hand copy", "from memory", "common practice, no source"
]
Amount = Annotated[int, Field(ge=0, le=1000)]
Number = Annotated[int, Field(ge=1, le=1000)]
Share = Annotated[int | Decimal, Field(ge=0, le=1, description="of the days left, 0 to 1")]


class CountsRecord(Record):
    """What counts: things of any of these kinds, who wears a kind, people, or boats."""

    kinds: Annotated[list[Name], Field(min_length=1)] | None = None
    length: Quantity | None = None
    diameter: Quantity | None = None
    flags: list[LineFlag] = []
    spare: bool = False
    in_reach: bool = False
    apart: bool = False
    worn: Name | None = None
    guide: bool = False
    certificate: Name | None = None
    skills: dict[Name, Level] = {}
    boats: bool = False


class StepRecord(Record):
    """A number that is asked where there are up to so many; without `up_to`: and all above."""

    up_to: Number | None = None
    count: Amount


class WhoRecord(Record):
    """Which of the persons are meant."""

    certificate: Name | None = None
    skills: dict[Name, Level] = {}


class ReadingRecord(Record):
    """How the rule counts: per boat or per trip, plainly, for each so many, or by steps."""

    scope: Literal["boat", "trip"]
    bound: Literal["at least", "at most"] = "at least"
    count: Amount = 1
    for_each: Number | None = None
    of: Literal["persons", "passengers", "guides", "boats"] | None = None
    who: WhoRecord | None = None
    part_counts: bool | None = None
    least: Amount = 0
    steps: list[StepRecord] = []


class BoatLimitsRecord(Record):
    """Which boats the rule is about; `skills` are those that boats are steered with."""

    crafts: list[Craft] = []
    types: list[Name] = []
    skills: list[Name] = []
    length_from: Quantity | None = None
    length_under: Quantity | None = None
    only: bool = False


class ConditionRecord(Record):
    """When the rule applies; every part that is stated must hold."""

    class_from: RapidClass | None = None
    overnight: bool = False
    water_below: Quantity | None = None
    boats_over: Amount | None = None
    people_over: Amount | None = None


class RuleRecord(Record):
    """One rule on what must be carried, with its own reading."""

    id: Name
    says: Sentence
    source: Sentence
    dated: Name
    status: Status
    tier: Literal["law", "house"]
    counts: CountsRecord
    reading: ReadingRecord
    boats: BoatLimitsRecord = BoatLimitsRecord()
    when: ConditionRecord = ConditionRecord()
    remark: str = ""


class HouseRuleRecord(RuleRecord):
    """A rule of the trip's own."""

    source: Sentence = "house rule"
    dated: Name = "of the trip"
    status: Status = "common practice, no source"
    tier: Literal["law", "house"] = "house"


class ReminderRecord(Record):
    """A rule that no count can say; it is printed."""

    id: Name
    says: Sentence
    source: Sentence
    dated: Name
    status: Status


class RuleSetRecord(Record):
    """Whose rules these are."""

    name: Name
    title: Sentence
    country: str = ""


class RuleFile(Record):
    """A file of rules."""

    set: RuleSetRecord
    rule: list[RuleRecord] = []
    reminder: list[ReminderRecord] = []


class FitRecord(Record):
    """What serves boats of some sort."""

    boats: BoatLimitsRecord
    counts: CountsRecord


class SpreadRecord(Record):
    """What must be left when any one boat is lost."""

    name: Name
    says: Sentence
    source: Sentence = "common practice, no source"
    lost: Literal["boat", "boat and crew"]
    within: Literal["party", "group"] = "party"
    counts: CountsRecord | None = None
    count: Number = 1
    fits: list[FitRecord] = []
    seats: bool = False
    food: Share | None = None


class SpreadFile(Record):
    """A file of spreads."""

    spread: list[SpreadRecord] = []
