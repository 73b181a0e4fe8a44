"""The file around what a page says: templates, the digests of its policy, the block of data.

Everything that comes from a trip is escaped: by the templates in text and attributes, and here in
the block of data, in which no sign can end the script it stands in.
"""

from __future__ import annotations

import base64
import hashlib
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from kitplan.report.restate import list_names, make_split

if TYPE_CHECKING:
    from kitplan.trip import Trip

HERE = Path(__file__).parent
SEALED = {sign: f"\\u{ord(sign):04x}" for sign in "<>&\u2028\u2029"}
"""What stands for signs in the block of data that could end it, or a line of it."""

Pieces = str | list[str | tuple[str, str]]
"""Text as the script takes it: plain, or in pieces of which pairs are in metric and in US units."""


class Frame:
    """Fills the templates of a page of one trip."""

    def __init__(self, trip: Trip) -> None:
        self._split = make_split(list_names(trip))
        self._called = {b.name: b.called for b in trip.boats.values() if b.name != b.called}
        self._templates = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._templates.filters["both"] = self.mark_both
        self._templates.filters["both_plain"] = self.shorten

    def shorten(self, text: str) -> str:
        """Return text in which boats go by what they are called."""
        for name, called in self._called.items():
            text = text.replace(name, called)
        return text

    def split(self, text: str) -> Pieces:
        """Return text in pieces, each quantity in metric and in US units."""
        pieces = [a if a == b else (a, b) for a, b in self._split(self.shorten(text))]
        return text if pieces == [text] else pieces

    def mark_both(self, text: str) -> Markup:
        """Return text as markup, with each quantity in both units; one of them is shown."""
        marked = [
            escape(a)
            if a == b
            else Markup('<span class="metric">{}</span><span class="us">{}</span>').format(a, b)
            for a, b in self._split(self.shorten(text))
        ]
        return Markup("").join(marked)

    def fill(self, data: dict[str, Any], **given: Any) -> str:
        """Return the page, with the policy that allows its one script and its one style."""
        style, script = (HERE / name for name in ("style.css", "script.js"))
        texts = {"style": style.read_text("utf-8"), "script": script.read_text("utf-8")}
        sealed = {name: Markup(text) for name, text in texts.items()}  # noqa: S704 - our own files
        policy = (
            f"default-src 'none'; style-src '{digest_text(texts['style'])}'; "
            f"script-src '{digest_text(texts['script'])}'; base-uri 'none'; form-action 'none'"
        )
        page = self._templates.get_template("page.html.j2")
        return page.render(given, **sealed, policy=policy, data=Markup(seal(data))) + "\n"  # noqa: S704 - sealed


def digest_text(text: str) -> str:
    """Return the digest of a script or style as a policy names it."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


def seal(data: dict[str, Any]) -> str:
    """Return data as JSON that no sign in it can end, wherever in a page it stands."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    for sign, other in SEALED.items():
        text = text.replace(sign, other)
    return text
