"""What all shapes share: quantities as text, names, counts, closed lists of words."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Quantity = Annotated[str, Field(max_length=60, description='a number with its unit, "18 m"')]
Name = Annotated[str, Field(min_length=1, max_length=80)]
Count = Annotated[int, Field(ge=0, le=10_000)]
Factor = Annotated[int | Decimal, Field(ge=0, le=10, description="in tenths at the finest")]
Level = Annotated[int, Field(ge=0, le=4)]
RapidClass = Annotated[str, Field(max_length=4, description="I to VI, with + or - if wanted")]
Exposure = Literal["ashore", "wading", "afloat", "tethered", "swimming"]
Carried = Literal["worn", "quick", "stowed"]
LineFlag = Literal["thrown", "across", "haul", "floats"]
Craft = Literal["raft", "kayak", "canoe"]
Site = Literal["working", "far", "above", "banks", "anywhere"]
BoatStation = Literal["afloat", "above"]
Pulling = Literal[
    "hands alone", "2:1", "3:1", "2 on 2 (4:1)", "5:1", "2 on 3 (6:1)", "3 on 3 (9:1)"
]


class Record(BaseModel):
    """A table of a file people write."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)
