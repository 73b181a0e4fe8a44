"""Whatever a trip calls things, a page stays a page: names are text, and nothing else runs."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from kitplan.report.csv import render_csv
from kitplan.report.page.frame import seal
from tests.golden import stored
from tests.page.pages import read_data, read_html, show, show_demo
from tests.rules.solved import solve
from tests.rules.tiny import BASE, BOTH, RAFT, STEERS, THROWS, read_tiny

if TYPE_CHECKING:
    from pathlib import Path

    from tests.page.pages import Node, Shown

ENDS = "</script><img src=x onerror=alert(1)>"
QUOTES = '"\' onload=alert(1) x="'
COMMENT = "<!--<script>"
FORMULA, PLUS, AT = '=HYPERLINK("http://x.example","y")', "+1", "@x"
RAPID, PLACE = f"{COMMENT} {QUOTES}", f"{QUOTES} {ENDS}"
TECHNIQUE, ROLE = '"><img src=y onerror=alert(2)>', "'><b onclick=alert(3)>"
ITEM = "throw bag <i style='color:red'> \" & 20 m"
NAMES = (ENDS, QUOTES, COMMENT, FORMULA, PLUS, AT, RAPID, PLACE, TECHNIQUE, ROLE, ITEM)
OURS = {"onclick", "onload", "onerror", "style", "src", "srcdoc", "action", "formaction"}


def quote(name: str) -> str:
    """Return a name as it is written between quotation marks in TOML."""
    return json.dumps(name)[1:-1]


SPOT = (
    f'spot = [{{ name = "{quote(PLACE)}", from_left = "5 m", from_right = "7 m", '
    'scenarios = ["swimmer"] }]'
)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Shown:
    """Return a page full of hostile names."""
    return show_hostile(tmp_path_factory.mktemp("hostile"))


def show_hostile(folder: Path) -> Shown:
    """Return the page of a trip in which everything that has a name has a hostile one."""
    people = {ENDS: STEERS, FORMULA: BOTH, QUOTES: THROWS, COMMENT: THROWS, AT: THROWS}
    tiny = replace(
        BASE,
        boats={quote(QUOTES): RAFT, quote(PLUS): RAFT},
        people={quote(name): skills for name, skills in people.items()},
        head=(('name = "tiny"', f'name = "{quote(ENDS)}"'),),
        river=(
            ('name = "Riffle"', f'name = "{quote(RAPID)}"'),
            ('scenarios = ["swimmer"]', SPOT),
        ),
        kit={quote(ITEM): "count = 2"},
        catalog=(
            ('name = "throw-line"', f'name = "{quote(TECHNIQUE)}"'),
            ('{ name = "thrower", skills', f'{{ name = "{quote(ROLE)}", skills'),
            ('name = "throw bag 20 m"', f'name = "{quote(ITEM)}"'),
        ),
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        trip = read_tiny(folder, tiny)
        return show(trip, solve(trip))


@pytest.fixture(scope="module")
def page(hostile: Shown) -> Node:
    """Return the page, read."""
    return read_html(hostile.text)


def list_all(node: Node) -> list[Node]:
    return [one for inside in node.inside for one in (inside, *list_all(inside))]


def test_names_make_no_elements(page: Node) -> None:
    clean = read_html(show_demo("day-rafts").text)
    assert {node.tag for node in list_all(page)} <= {node.tag for node in list_all(clean)}
    assert not page.find_all("img")
    assert len(page.find_all("script")) == 2
    assert len(page.find_all("style")) == 1


def test_names_make_no_attributes(page: Node) -> None:
    clean = read_html(show_demo("day-rafts").text)
    known = {name for node in list_all(clean) for name in node.attributes}
    assert {name for node in list_all(page) for name in node.attributes} <= known
    assert not known & OURS
    assert not any(name.startswith("on") for name in known)


@pytest.mark.parametrize("name", NAMES)
def test_names_are_shown_as_they_are(page: Node, name: str) -> None:
    said = {node.read() for node in list_all(page) if node.tag != "script"}
    assert any(name in text for text in said)


def test_names_are_whole_in_attributes(page: Node) -> None:
    labels = {node.attributes["aria-label"] for node in page.find_all("form")}
    assert labels == {f"What to show at {RAPID}"}
    groups = {node.attributes["label"] for node in page.find_all("optgroup")}
    assert groups == {f"{PLACE}: swimmer"}


def test_names_are_whole_in_the_data(page: Node, hostile: Shown) -> None:
    data = read_data(page)
    assert set(data["rapids"][0]["runs"]) == {QUOTES, PLUS}
    told = {row[1] for rows in data["witnesses"] for _, parts in rows for row in parts}
    seated = {
        part.paddler
        for one in hostile.plan.demands
        for part in one.witness
        if hasattr(part, "paddler")
    }
    assert seated <= told


def test_the_block_of_data_holds_no_sign_that_could_end_it(hostile: Shown) -> None:
    [block] = re.findall(
        r'<script type="application/json" id="data">(.*?)</script>', hostile.text, re.DOTALL
    )
    assert not set(block) & set("<>&\u2028\u2029")


def test_sealed_data_is_the_same_data() -> None:
    data = {"a": [*NAMES, "&amp;", "\u2028\u2029", "\\u003c", "é 山"]}
    assert json.loads(seal(data)) == data


@pytest.mark.parametrize("name", stored.NAMES)
def test_the_policy_allows_our_one_script_and_our_one_style(name: str) -> None:
    page = read_html(show_demo(name).text)
    [policy] = [
        meta.attributes["content"]
        for meta in page.find_all("meta")
        if meta.attributes.get("http-equiv") == "Content-Security-Policy"
    ]
    [style] = page.find_all("style")
    [script] = [one for one in page.find_all("script") if "type" not in one.attributes]
    digests = [
        base64.b64encode(hashlib.sha256(one.read().encode()).digest()).decode()
        for one in (style, script)
    ]
    assert policy == (
        f"default-src 'none'; style-src 'sha256-{digests[0]}'; script-src 'sha256-{digests[1]}'; "
        "base-uri 'none'; form-action 'none'"
    )


@pytest.mark.parametrize("name", stored.NAMES)
def test_nothing_is_fetched_from_anywhere(name: str) -> None:
    page = read_html(show_demo(name).text)
    links = [node.attributes["href"] for node in list_all(page) if "href" in node.attributes]
    assert all(link.startswith("#") for link in links)
    [style], scripts = page.find_all("style"), page.find_all("script")
    assert "url(" not in style.read()
    assert "@import" not in style.read()
    assert not re.search(r"fetch|XMLHttp|import\(|WebSocket|innerHTML|eval", scripts[-1].read())


def test_no_cell_of_the_packing_list_is_a_formula(hostile: Shown) -> None:
    text = render_csv(hostile.trip, hostile.plan)
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert {f"'{name}" for name in (FORMULA, PLUS, AT)} <= set(cells)
    assert not any(cell[:1] in {"=", "+", "-", "@", "\t", "\r"} for cell in cells)
