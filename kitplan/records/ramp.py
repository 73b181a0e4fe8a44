"""Shapes of a load written by hand."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.records.shared import Carried, Record

# Names of boxes and passages are put together of several names.
Words = Annotated[str, Field(min_length=1, max_length=2000)]


class RampRow(Record):
    """One row: a person, a thing, a box, a station or a place in the order, of one boat."""

    boat: Words | None = None
    from_day: Annotated[int, Field(ge=1, le=60)] | None = None
    row: Literal["seat", "item", "box", "station", "order", "rows twice", "supply", "caution"]
    name: Words | Annotated[int, Field(ge=1, le=10_000)] | None = None
    count: Annotated[int, Field(ge=1, le=10_000)] | None = None
    carried: Carried | None = None
    worn_by: Words | None = None
    rapid: Words | None = None
    flow: Literal["low", "medium", "high"] | None = None
    while_: Words | None = Field(default=None, alias="while")
    amount: Words | float | None = (
        None  # what is in it, how it is told, for whom: written, not read
    )
    unit: Words | None = None
    person_days: Words | int | None = None
    lot: Words | None = None


class RampFile(Record):
    """A whole load."""

    row: list[RampRow] = []
