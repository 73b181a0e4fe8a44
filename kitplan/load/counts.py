"""Reads what counts towards a rule or spread, whom it means, and which boats it is about."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kitplan.load.sheet import STAND_IN, show_value
from kitplan.trip.carriage import BOATS, PEOPLE, THINGS, WORN, BoatLimits, Counted, Who
from kitplan.units import read_length_mm

if TYPE_CHECKING:
    from kitplan import records
    from kitplan.load.catalog import Shelf
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail

_OF_THINGS = ("length", "diameter", "flags", "spare", "in_reach", "apart")
_OF_PEOPLE = ("guide", "certificate", "skills")


class CountsReader:
    """Turns what counts into nouns, with findings on the sheet it is written on."""

    def __init__(self, sheet: Sheet, shelf: Shelf) -> None:
        self._sheet = sheet
        self._shelf = shelf

    def read_counts(self, record: records.CountsRecord, trail: Trail) -> Counted:
        """Return what counts; a kind that no item is of is complained of."""
        sheet = self._sheet
        what = self._find_what(trail)
        for index, kind in enumerate(record.kinds or ()):
            self._check_kind(kind, (*trail, "kinds", index))
        if record.worn is not None:
            self._check_kind(record.worn, (*trail, "worn"))
        length = sheet.read_if_given(read_length_mm, record.length, *trail, "length")
        diameter = sheet.read_if_given(read_length_mm, record.diameter, *trail, "diameter")
        return Counted(
            what=what,
            kinds=tuple(record.kinds or ()) or tuple([record.worn] if record.worn else []),
            least_mm=length or 0,
            diameter_mm=diameter or 0,
            flags=frozenset(record.flags),
            spare=record.spare,
            in_reach=record.in_reach,
            apart=record.apart,
            who=self.read_who(record, trail, Who(guide=record.guide)),
        )

    def read_who(
        self, record: records.CountsRecord | records.WhoRecord, trail: Trail, who: Who
    ) -> Who:
        """Return `who` narrowed to those with the skills and the certificate."""
        known = self._shelf.known
        for skill in record.skills:
            known.skills.check(self._sheet, skill, *trail, "skills", skill)
        if record.certificate is not None:
            known.certificates.check(self._sheet, record.certificate, *trail, "certificate")
        skills = tuple(sorted(record.skills.items()))
        return replace(who, skills=skills, certificate=record.certificate or "")

    def read_boat_limits(self, record: records.BoatLimitsRecord, trail: Trail) -> BoatLimits:
        """Return which boats are meant."""
        sheet, known = self._sheet, self._shelf.known
        for index, name in enumerate(record.types):
            known.boat_types.check(sheet, name, *trail, "types", index)
        for index, skill in enumerate(record.skills):
            known.skills.check(sheet, skill, *trail, "skills", index)
        read = sheet.read_if_given
        return BoatLimits(
            crafts=tuple(record.crafts),
            types=tuple(record.types),
            skills=tuple(record.skills),
            length_from_mm=read(read_length_mm, record.length_from, *trail, "length_from"),
            length_under_mm=read(read_length_mm, record.length_under, *trail, "length_under"),
            only=record.only,
        )

    def _find_what(self, trail: Trail) -> str:
        """Return what sort of thing counts; complain unless it is one."""
        given = self._sheet.find_given(trail)
        if not isinstance(given, dict):
            return THINGS  # it has its finding already
        people = [] if "worn" in given else [key for key in _OF_PEOPLE if given.get(key)]
        sorts = {
            THINGS: [key for key in ("kinds",) if key in given],
            WORN: [key for key in ("worn",) if key in given],
            BOATS: [key for key in ("boats",) if given.get(key)],
            PEOPLE: people,
        }
        said = [(sort, keys[0]) for sort, keys in sorts.items() if keys]
        if not said:
            message = "nothing is said of what counts"
            hint = 'write kinds = ["..."], worn = "...", guide = true, certificate, skills or boats'
            self._sheet.complain(trail, "missing-key", message, hint)
        for _, key in said[1:]:
            message = f"{said[0][1]} says what counts, and so does {key}"
            self._sheet.complain((*trail, key), "said-twice", message, "make two rules of them")
        for key in _OF_THINGS:
            if key in given and "kinds" not in given:
                message = f"{key} is said of things, and kinds is missing"
                hint = f'write kinds = ["..."], or leave {key} out'
                self._sheet.complain((*trail, key), "missing-key", message, hint)
        return said[0][0] if said else THINGS

    def _check_kind(self, kind: str, trail: Trail) -> None:
        """Complain of a kind that is unknown, or that no item of the catalogues is of."""
        known = self._shelf.known
        if not known.kinds.check(self._sheet, kind, *trail) or not known.items.complete:
            return
        there = {one for item in self._shelf.items.values() for one in item.kinds}
        if kind not in there and kind != STAND_IN:
            message = f"no item of the catalogues is a {show_value(kind)}"
            near = self._sheet.guess(kind, there)
            hint = "add an item of this kind to a catalogue, or name the catalogue that has one"
            hint = f"{near}, or a catalogue that has such an item" if near else hint
            self._sheet.complain(trail, "unknown-kind", message, hint)
