"""The JSON Schemas name every key that the loader takes, and nothing that it refuses."""

import json
import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from kitplan.records import CatalogFile, RampFile, Record, RuleFile, SpreadFile, TripFile
from kitplan.report.toml import render_toml
from kitplan.schema import DIALECT, make_schemas
from kitplan.starter import make_starter
from tests.golden import stored

ROOT = Path(__file__).parents[2]
SCHEMAS = {name: json.loads(text) for name, text in make_schemas().items()}
TRIP, CATALOG = SCHEMAS["trip.schema.json"], SCHEMAS["catalog.schema.json"]
RULES, SPREADS = SCHEMAS["rules.schema.json"], SCHEMAS["spreads.schema.json"]
LOAD = SCHEMAS["load.schema.json"]
RULE_FILES = sorted((ROOT / "catalogs" / "rules").glob("*.toml"))

# What JSON Schema's words mean for values as TOML has them (draft 2020-12, validation vocabulary).
TYPES: dict[str, tuple[type, ...]] = {
    "string": (str, date),
    "integer": (int,),
    "number": (int, float, Decimal),
    "boolean": (bool,),
    "array": (list,),
    "object": (dict,),
}


def find_wrong(schema: dict[str, Any], value: Any, root: dict[str, Any]) -> list[str]:
    """Return what a plain reading of the schema has against a value; the words used here only."""
    if "$ref" in schema:
        return find_wrong(root["$defs"][schema["$ref"].rsplit("/", 1)[-1]], value, root)
    if "anyOf" in schema:
        tries = [find_wrong(one, value, root) for one in schema["anyOf"]]
        return [] if [] in tries else tries[0]
    if "const" in schema or "enum" in schema:
        words = schema.get("enum", [schema.get("const")])
        return [] if value in words else [f"{value!r} is none of {words}"]
    kinds = TYPES[schema["type"]]
    if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
        return [f"{value!r} is no {schema['type']}"]
    return [*find_out_of_limits(schema, value), *find_wrong_members(schema, value, root)]


def find_out_of_limits(schema: dict[str, Any], value: Any) -> list[str]:
    size = len(value) if isinstance(value, str | list) else value
    least = schema.get("minimum", schema.get("minLength", schema.get("minItems")))
    most = schema.get("maximum", schema.get("maxLength", schema.get("maxItems")))
    low = least is not None and size < least
    high = most is not None and size > most
    return [f"{value!r} is out of limits"] if low or high else []


def find_wrong_members(schema: dict[str, Any], value: Any, root: dict[str, Any]) -> list[str]:
    if isinstance(value, list):
        return [wrong for one in value for wrong in find_wrong(schema["items"], one, root)]
    if not isinstance(value, dict):
        return []
    known = schema.get("properties", {})
    rest = schema.get("additionalProperties", False)
    wrongs = [f"{key} is missing" for key in schema.get("required", []) if key not in value]
    for key, member in value.items():
        if key in known:
            wrongs += find_wrong(known[key], member, root)
        elif isinstance(rest, dict):
            wrongs += find_wrong(rest, member, root)
        else:
            wrongs.append(f"{key} is unknown")
    return wrongs


def find_wrong_in_trip(text: str) -> list[str]:
    return find_wrong(TRIP, tomllib.loads(text, parse_float=Decimal), TRIP)


@pytest.mark.parametrize("name", ["six-days", "four-kayaks", "day-rafts"])
def test_demo_trips_are_as_their_schema_says(name: str) -> None:
    text = (ROOT / "trips" / f"{name}.toml").read_text(encoding="utf-8")
    assert find_wrong_in_trip(text) == []


@pytest.mark.parametrize("name", ["techniques", "gear", "boats"])
def test_catalogues_are_as_their_schema_says(name: str) -> None:
    text = (ROOT / "catalogs" / f"{name}.toml").read_text(encoding="utf-8")
    assert find_wrong(CATALOG, tomllib.loads(text, parse_float=Decimal), CATALOG) == []


@pytest.mark.parametrize("path", RULE_FILES, ids=[path.stem for path in RULE_FILES])
def test_rules_are_as_their_schema_says(path: Path) -> None:
    rules = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    assert find_wrong(RULES, rules, RULES) == []


def test_spreads_are_as_their_schema_says() -> None:
    text = (ROOT / "catalogs" / "spreads.toml").read_text(encoding="utf-8")
    assert find_wrong(SPREADS, tomllib.loads(text, parse_float=Decimal), SPREADS) == []


@pytest.mark.parametrize("name", stored.NAMES)
def test_loads_are_as_their_schema_says(name: str) -> None:
    plan = stored.read_stored(name)
    assert plan is not None
    text = render_toml(stored.load_demo(name), plan)
    assert find_wrong(LOAD, tomllib.loads(text, parse_float=Decimal), LOAD) == []
    wrong = text.replace('row = "seat"', 'row = "sit"', 1)
    assert len(find_wrong(LOAD, tomllib.loads(wrong, parse_float=Decimal), LOAD)) == 1


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ("days = 1", "weeks = 1"),
        ('safety = "set"', 'safety = "sit"'),
        ("count = 4", 'count = "4"'),
        ("throwing = 4", "throwing = 7"),
        ('mass = "78 kg"\n', ""),
        ("likely = 2", "likely = 4"),
        ("path = true", "path = 1"),
        ('["Guest 1", "Guest 2"]', '["Guest 1"]'),
    ],
)
def test_schema_refuses_what_the_loader_refuses(was: str, becomes: str) -> None:
    text = make_starter("mine").replace("# days", "days")
    assert find_wrong_in_trip(text) == []
    assert was in text
    assert len(find_wrong_in_trip(text.replace(was, becomes, 1))) == 1


@pytest.mark.parametrize("schema", SCHEMAS.values(), ids=SCHEMAS)
def test_schema_speaks_no_null_and_no_number_as_text(schema: dict[str, Any]) -> None:
    assert schema["$schema"] == DIALECT
    assert '"null"' not in json.dumps(schema)
    assert "pattern" not in json.dumps(schema)


@pytest.mark.parametrize(
    ("record", "schema"),
    [
        (TripFile, TRIP),
        (CatalogFile, CATALOG),
        (RuleFile, RULES),
        (SpreadFile, SPREADS),
        (RampFile, LOAD),
    ],
    ids=["trip", "catalog", "rules", "spreads", "load"],
)
def test_every_key_is_in_the_schema(record: type[Record], schema: dict[str, Any]) -> None:
    named = {"": schema, **schema["$defs"]}
    assert set(named[""]["properties"]) == set(record.model_fields)
    for one in Record.__subclasses__():
        if one.__name__ in named:
            keys = {(field.alias or name) for name, field in one.model_fields.items()}
            assert set(named[one.__name__]["properties"]) == keys
