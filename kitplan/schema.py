"""JSON Schemas of the files people write, for editors that complete and check them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from kitplan.errors import CAUTION

if TYPE_CHECKING:
    from kitplan.records import Record

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_NUMBER_LIMITS = ("ge", "minimum"), ("le", "maximum")


def make_schemas() -> dict[str, str]:
    """Return the text of each schema by the name of its file."""
    from kitplan.records import (  # noqa: PLC0415 - it loads pydantic
        CatalogFile,
        RampFile,
        RuleFile,
        SpreadFile,
        TripFile,
    )

    return {
        "trip.schema.json": _make_schema(TripFile, "kitplan trip"),
        "catalog.schema.json": _make_schema(CatalogFile, "kitplan catalogue"),
        "rules.schema.json": _make_schema(RuleFile, "kitplan carriage rules"),
        "spreads.schema.json": _make_schema(SpreadFile, "kitplan spreads"),
        "load.schema.json": _make_schema(RampFile, "kitplan load"),
    }


def _make_schema(record: type[Record], title: str) -> str:
    from pydantic.json_schema import GenerateJsonSchema  # noqa: PLC0415 - it loads pydantic

    class Generator(GenerateJsonSchema):
        """Says of numbers what the strict loader takes: no number as text."""

        def decimal_schema(self, schema: Any) -> dict[str, Any]:
            limits = {word: schema[key] for key, word in _NUMBER_LIMITS if key in schema}
            return {"type": "number", **limits}

    made = _drop_null(record.model_json_schema(by_alias=True, schema_generator=Generator))
    # What a table says of itself is the only text of its record; the rest is set here.
    head = {"$schema": DIALECT, "$comment": CAUTION}
    document = {**head, **made, "title": title}
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def _drop_null(schema: Any) -> Any:
    """Return a schema without the null that a key left out stands for: TOML can't write it."""
    if isinstance(schema, list):
        return [_drop_null(member) for member in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {
        key: _drop_null(member)
        for key, member in schema.items()
        if not (key == "default" and member is None)
    }
    branches = [one for one in kept.pop("anyOf", []) if one != {"type": "null"}]
    if len(branches) == 1:
        return {**branches[0], **kept}
    return {**kept, "anyOf": branches} if branches else kept
