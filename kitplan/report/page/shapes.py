"""Lines, areas, dots and words of a picture, in metres; and how big things are on paper.

The channel is as wide in every picture, so a metre is not; a *unit* is what words and signs are
measured in: a picture is 360 of them wide, about as many points as a telephone has.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

WIDE, CHANNEL = 360, 168
"""Units: of the whole picture, and of the channel in the middle of it."""
STRIP = (WIDE - CHANNEL) / 2
TEXT = 11.5
"""Units: how high words are."""
ON_LAND, ON_WATER = 6.2, 11.0
"""How wide a name may be on a bank and over the channel, in heights of words."""
WIDTHS = {0.42: "ijltfrI.,:;'|!()[] ", 1.05: "MWmw@%&…"}
BROAD, CAPITAL, OTHER = 1.15, 0.76, 0.64
"""About how wide signs are, in heights of words: some, those of broad scripts, capitals, others."""

Point = tuple[float, float]
Shape = list[object]
"""A shape as script and template take it: its sort, its look, then numbers and words."""


def cut(name: str, room: float = ON_LAND) -> str:
    """Return a name that finds room in a picture; one cut short stands whole in a list beside."""
    if measure(name) <= room:
        return name
    kept, left = "", room - _measure_sign("…")
    for sign in name:
        left -= _measure_sign(sign)
        if left < 0:
            break
        kept += sign
    return f"{kept}…"


def measure(text: str) -> float:
    """Return about how wide text is, in heights of words."""
    return sum(map(_measure_sign, text))


def _measure_sign(sign: str) -> float:
    """Return about how wide a sign is, rather too wide than too narrow."""
    if unicodedata.east_asian_width(sign) in {"W", "F"}:
        return BROAD
    for width, signs in WIDTHS.items():
        if sign in signs:
            return width
    return CAPITAL if sign.isupper() else OTHER


@dataclass(slots=True)
class Drawing:
    """Shapes of one layer, of a picture in which a metre is `scale` units.

    Everything is given in units and kept in metres, to the millimetre.
    """

    scale: float
    shapes: list[Shape] = field(default_factory=list)

    def metres(self, units: float) -> float:
        """Return units as metres."""
        return round(units / self.scale, 3)

    def line(self, points: Iterable[Point], look: str) -> None:
        """Draw a line through points."""
        self.shapes.append(["line", look, self._list_points(points)])

    def area(self, points: Iterable[Point], look: str) -> None:
        """Draw a closed area with these corners."""
        self.shapes.append(["area", look, self._list_points(points)])

    def dot(self, x: float, y: float, size: float, look: str) -> None:
        """Draw a round dot."""
        self.shapes.append(["dot", look, *map(self.metres, (x, y, size))])

    def text(self, x: float, y: float, said: object, look: str) -> None:
        """Write words; `look` begins with how they stand: "start", "middle" or "end"."""
        self.shapes.append(["text", look, self.metres(x), self.metres(y), said])

    def hull(self, x: float, y: float, look: str) -> None:
        """Draw a boat as seen from above, its bow downstream."""
        half, long = 3.2, 6.5
        bow, stern = y - long, y + long - 1
        corners = [(x, bow), (x + half, y - 1), (x + half - 0.8, stern), (x - half + 0.8, stern)]
        self.area([*corners, (x - half, y - 1)], look)

    def _list_points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{self.metres(x):g},{self.metres(y):g}" for x, y in points)
