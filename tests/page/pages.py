"""Pages of the demo trips, and a page taken apart again without the templates that made it."""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any, NamedTuple

from kitplan.load import load_trip
from kitplan.needs import derive_needs
from kitplan.report.page import render_page
from tests.golden import stored

if TYPE_CHECKING:
    from kitplan.demands import Needs
    from kitplan.plan import Plan
    from kitplan.trip import Trip

VOID = {"meta", "input", "br", "link", "img"}


class Shown(NamedTuple):
    """A trip with its plan, and the page made of them."""

    trip: Trip
    needs: Needs
    plan: Plan
    text: str


@dataclass
class Node:
    """An element of a page: its attributes, its own text, what is in it."""

    tag: str
    attributes: dict[str, str]
    text: list[str] = field(default_factory=list)
    inside: list[Node] = field(default_factory=list)

    def find_all(self, tag: str, look: str = "") -> list[Node]:
        """Return the elements of a tag in it, at any depth, with a word in their class."""
        found = []
        for node in self.inside:
            if node.tag == tag and (not look or look in node.attributes.get("class", "").split()):
                found.append(node)
            found += node.find_all(tag, look)
        return found

    def read(self) -> str:
        """Return all text in it, in metric units."""
        said = list(self.text)
        for number, node in enumerate(self.inside):
            other = node.attributes.get("class") == "us"
            said[2 * number + 1] = "" if other else node.read()
        return "".join(said)


class _Reader(HTMLParser):
    """Reads a page into nodes; text and elements take turns in `Node.text`."""

    def __init__(self) -> None:
        super().__init__()
        self.root = Node("", {}, [""])
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        node = Node(tag, {name: value or "" for name, value in attrs}, [""])
        self._add(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._add(Node(tag, {name: value or "" for name, value in attrs}, [""]))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop().tag == tag

    def handle_data(self, data: str) -> None:
        self.open[-1].text[-1] += data

    def _add(self, node: Node) -> None:
        self.open[-1].inside.append(node)
        self.open[-1].text += ["", ""]


def read_html(text: str) -> Node:
    """Return a page as nodes; every element in it is closed."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == [reader.root]
    return reader.root


def read_data(page: Node) -> dict[str, Any]:
    """Return the block of data of a page."""
    [block] = [one for one in page.find_all("script") if "id" in one.attributes]
    data: dict[str, Any] = json.loads(block.read())
    return data


def show(trip: Trip, plan: Plan) -> Shown:
    """Return a plan with its page."""
    return Shown(trip, derive_needs(trip), plan, render_page(trip, plan))


@functools.cache
def show_demo(name: str) -> Shown:
    """Return the page of a demo trip's stored plan."""
    trip, findings = load_trip(stored.ROOT / "trips" / f"{name}.toml")
    plan = stored.read_stored(name)
    assert trip is not None, findings
    assert plan is not None
    return show(trip, plan)


def join_pieces(said: Any, units: int = 0) -> str:
    """Return text of the data in one of its units: 0 metric, 1 US."""
    pieces = [said] if isinstance(said, str) else said
    return "".join(one if isinstance(one, str) else one[units] for one in pieces)
