"""What a party lacks, whatever is packed where, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.check import SPARE_CREW, STEERS
from kitplan.needs.words import say_ask, say_thing
from kitplan.plan import Short
from kitplan.report.words import ITSELF, count, say_short

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.check import Lack

KEPT = {STEERS: "its steerer", SPARE_CREW: "its least crew"}


def say_lacks(lacks: Iterable[Lack]) -> list[str]:
    """Return each thing that is short in words."""
    return [_say_lack(lack) for lack in lacks]


def _say_lack(lack: Lack) -> str:
    if lack.what == "boat" and lack.name not in ITSELF:
        return f"a boat for '{lack.name}'"
    if lack.what == "person" and lack.ask is None:
        return f"{count(lack.short, 'paddler')}, as the boat in trouble keeps {KEPT[lack.name]}"
    if lack.ask is not None:
        asked = say_ask(lack.ask)
    else:
        asked = say_thing(lack.thing) if lack.thing is not None else ""
    return say_short(Short("", "", lack.what, lack.name, asked, lack.short))
