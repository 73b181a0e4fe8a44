"""Turns the records of techniques, and of who stands by below and above, into nouns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from kitplan.load.sheet import STAND_IN, read_depth_mm, read_width_mm
from kitplan.records import NeedRecord, RoleRecord
from kitplan.trip import (
    Boatwork,
    Catch,
    Crew,
    Downstream,
    Force,
    LengthRule,
    Lining,
    Need,
    PlaceLimits,
    Role,
    Serves,
    Technique,
    Way,
    When,
)
from kitplan.units import (
    read_length_mm,
    read_mass_g,
    read_speed_mm_s,
    read_temperature_mdegc,
    read_time_s,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from decimal import Decimal

    from kitplan import records
    from kitplan.load.names import Known
    from kitplan.load.sheet import Sheet
    from kitplan.tomlplaces import Trail

_Record = TypeVar("_Record")
_Noun = TypeVar("_Noun")


class TechniqueReader:
    """Turns records of one catalogue file into nouns, with findings on its sheet."""

    def __init__(self, sheet: Sheet, known: Known) -> None:
        self._sheet = sheet
        self._known = known

    def read_technique(self, record: records.TechniqueRecord, trail: Trail) -> Technique:
        """Return a technique."""
        least_s, most_s = (
            self._sheet.read(read_time_s, text, *trail, "ready_in", index)
            for index, text in enumerate(record.ready_in)
        )
        if least_s > most_s and STAND_IN not in record.ready_in:
            message = f"ready_in goes from {record.ready_in[0]} down to {record.ready_in[1]}"
            hint = "write the shorter time first"
            self._sheet.complain((*trail, "ready_in"), "times-turned-round", message, hint)
        self._check_way_names(record, trail)
        self._check_rigged(record, trail)
        downstream = record.downstream_safety
        return Technique(
            name=record.name,
            summary=record.summary,
            source=record.source,
            banks=record.banks,
            serves=self._read_list(record.serves, (*trail, "serves"), self._read_serves),
            unhurried=record.hurry == "unhurried",
            ready_least_s=least_s,
            ready_most_s=most_s,
            support_only=record.support_only,
            last_resort=record.last_resort,
            line_across=record.line_across,
            pulling=record.pulling or "",
            spotter=record.spotter,
            downstream=downstream.count,
            downstream_hard=downstream.count if downstream.hard is None else downstream.hard,
            ways=self._read_list(record.ways, (*trail, "ways"), self._read_way),
            catch=self._read_catch(record, trail),
            cautions=tuple(record.cautions),
            where=self._sheet.place(*trail),
            **self._read_parts(record, trail),
        )

    def read_downstream(self, record: records.DownstreamCrewRecord, trail: Trail) -> Downstream:
        """Return who may stand in as downstream safety."""
        return Downstream(
            role=self.read_role(record.role, (*trail, "role")),
            items=self._read_list(record.items, (*trail, "items"), self._read_need),
            crews=self._read_list(record.crews, (*trail, "crews"), self._read_crew),
        )

    def read_lining(self, record: records.LiningRecord, trail: Trail) -> Lining:
        """Return what a lined rapid asks for."""
        return Lining(
            roles=self._read_list(record.roles, (*trail, "roles"), self.read_role),
            items=self._read_list(record.items, (*trail, "items"), self._read_need),
        )

    def read_role(self, record: records.RoleRecord, trail: Trail) -> Role:
        """Return a role."""
        sheet, known = self._sheet, self._known
        for skill in record.skills:
            known.skills.check(sheet, skill, *trail, "skills", skill)
        if record.certificate is not None:
            known.certificates.check(sheet, record.certificate, *trail, "certificate")
        for index, kind in enumerate(record.wears):
            known.kinds.check(sheet, kind, *trail, "wears", index)
        return Role(
            name=record.name,
            site=record.site,
            count=record.count,
            count_hard=record.count_hard,
            count_crowded=record.count_crowded,
            skills=tuple(record.skills.items()),
            certificate=record.certificate,
            wears=tuple(record.wears),
            exposure=record.exposure,
            guest=record.guest,
            throws=record.throws,
            line_hand=record.line_hand,
            hauls=record.hauls,
            force=_read_force(record.force),
            may_lead=record.may_lead,
            minds=record.minds,
            least_mass_g=sheet.read_if_given(read_mass_g, record.least_mass, *trail, "least_mass")
            or 0,
            when=self._read_when(record.when, (*trail, "when")),
            where=sheet.place(*trail),
        )

    def _read_list(
        self,
        records_read: Sequence[_Record],
        trail: Trail,
        reader: Callable[[_Record, Trail], _Noun],
    ) -> tuple[_Noun, ...]:
        return tuple(reader(one, (*trail, index)) for index, one in enumerate(records_read))

    def _check_way_names(self, record: records.TechniqueRecord, trail: Trail) -> None:
        seen: dict[str, int] = {}
        for index, way in enumerate(record.ways):
            if way.name in seen and way.name != STAND_IN:
                first = self._sheet.place(*trail, "ways", seen[way.name], "name").text()
                message = f"way name '{way.name}' is used twice, first at {first}"
                at = (*trail, "ways", index, "name")
                self._sheet.complain(at, "name-used-twice", message, "give each its own name")
            seen.setdefault(way.name, index)

    def _check_rigged(self, record: records.TechniqueRecord, trail: Trail) -> None:
        """Complain of things that go by a pulling system where there is none, or no hands pull."""
        roles = [*record.roles, *(role for way in record.ways for role in way.roles)]
        if record.pulling is not None and not any(role.hauls for role in roles):
            message = "pulling asks for hands at the end of the line, but no role hauls"
            hint = "write hauls = true for the role that pulls"
            self._sheet.complain((*trail, "pulling"), "missing-key", message, hint)
        lists: list[tuple[Trail, Sequence[records.NeedRecord]]] = [
            ((*trail, "items"), record.items)
        ]
        lists += [((*trail, "ways", n, "items"), way.items) for n, way in enumerate(record.ways)]
        for at, needs in lists:
            for index, need in enumerate(needs):
                if record.pulling is None and need.rig is not None:
                    message = "rig counts by the pulling system, but the technique has no pulling"
                    hint = 'write pulling = "3:1" for the technique, or count for the thing'
                    self._sheet.complain((*at, index, "rig"), "missing-key", message, hint)

    def _read_catch(self, record: records.TechniqueRecord, trail: Trail) -> Catch | None:
        """Return whom and what takes the swimmers; a finding for all else that is asked besides."""
        if record.catch is None:
            return None
        for key in _list_besides(record):
            message = f"{key} can't be asked beside catch"
            hint = "leave it out: whoever takes swimmers does nothing else"
            self._sheet.complain((*trail, key), "catch-not-alone", message, hint)
        catch, at = record.catch, (*trail, "catch")
        thrower = RoleRecord(**catch.thrower.model_dump())
        bag = NeedRecord(**catch.bag.model_dump())
        return Catch(
            self.read_role(thrower, (*at, "thrower")),
            self._read_need(bag, (*at, "bag")),
            self._read_list(catch.crews, (*at, "crews"), self._read_crew),
        )

    def _read_parts(
        self, record: records.TechniqueRecord | records.WayRecord, trail: Trail
    ) -> dict[str, Any]:
        """Return what a technique and each of its ways have in common."""
        return {
            "place": self._read_place(record.place, (*trail, "place")),
            "roles": self._read_list(record.roles, (*trail, "roles"), self.read_role),
            "items": self._read_list(record.items, (*trail, "items"), self._read_need),
            "boats": self._read_list(record.boats, (*trail, "boats"), self._read_boatwork),
        }

    def _read_way(self, record: records.WayRecord, trail: Trail) -> Way:
        return Way(name=record.name, **self._read_parts(record, trail))

    def _read_serves(self, record: records.ServesRecord, trail: Trail) -> Serves:
        self._known.scenarios.check(self._sheet, record.scenario, *trail, "scenario")
        return Serves(
            scenario=record.scenario,
            tier=record.tier,
            banks=record.banks,
            depth_at_most_mm=self._sheet.read_if_given(
                read_depth_mm, record.depth_at_most, *trail, "depth_at_most"
            ),
            slack=record.slack,
        )

    def _read_place(self, record: records.PlaceRecord, trail: Trail) -> PlaceLimits:
        read = self._sheet.read_if_given
        return PlaceLimits(
            reach_at_most_mm=read(read_width_mm, record.reach_at_most, *trail, "reach_at_most"),
            width_at_most_mm=read(read_width_mm, record.width_at_most, *trail, "width_at_most"),
            current_at_most_mm_s=read(
                read_speed_mm_s, record.current_at_most, *trail, "current_at_most"
            ),
            depth_at_most_mm=read(read_depth_mm, record.depth_at_most, *trail, "depth_at_most"),
            run_in_at_least_mm=read(
                read_length_mm, record.run_in_at_least, *trail, "run_in_at_least"
            ),
            run_out_at_least_mm=read(
                read_length_mm, record.run_out_at_least, *trail, "run_out_at_least"
            ),
            class_at_most=self._sheet.read_class_if_given(
                record.class_at_most, *trail, "class_at_most"
            ),
            wading=record.wading,
            anchor=record.anchor,
            far_anchor=record.far_anchor,
            eddy=record.eddy,
            slack=record.slack,
        )

    def _read_when(self, record: records.WhenRecord | None, trail: Trail) -> When | None:
        if record is None:
            return None
        read = self._sheet.read_if_given
        return When(
            reach_over_mm=read(read_width_mm, record.reach_over, *trail, "reach_over"),
            reach_up_to_mm=read(read_width_mm, record.reach_up_to, *trail, "reach_up_to"),
            depth_over_mm=read(read_depth_mm, record.depth_over, *trail, "depth_over"),
            edge_depth_over_mm=read(
                read_depth_mm, record.edge_depth_over, *trail, "edge_depth_over"
            ),
            water_below_mdegc=read(
                read_temperature_mdegc, record.water_below, *trail, "water_below"
            ),
            water_from_mdegc=read(read_temperature_mdegc, record.water_from, *trail, "water_from"),
        )

    def _read_need(self, record: records.NeedRecord, trail: Trail) -> Need:
        self._known.kinds.check(self._sheet, record.kind, *trail, "kind")
        if record.rig is not None and {"count", "count_hard"} & record.model_fields_set:
            message = f'rig says how many there are, "{record.rig}", and so does count'
            hint = "leave one of the two out; besides says how many more"
            self._sheet.complain((*trail, "rig"), "said-twice", message, hint)
        return Need(
            kind=record.kind,
            site=record.site,
            count=record.count,
            count_hard=record.count_hard,
            count_crowded=record.count_crowded,
            length=self._read_list(record.length, (*trail, "length"), self._read_length),
            flags=frozenset(record.flags),
            spare=record.spare,
            whole=record.whole,
            rig=record.rig or "",
            besides=record.besides,
            when=self._read_when(record.when, (*trail, "when")),
            where=self._sheet.place(*trail),
        )

    def _read_length(self, record: records.LengthRecord, trail: Trail) -> LengthRule:
        plus_mm = self._sheet.read(read_length_mm, record.plus, *trail, "plus")
        return LengthRule(
            width_tenths=self._read_tenths(record.width, (*trail, "width")),
            reach_tenths=self._read_tenths(record.reach, (*trail, "reach")),
            plus_mm=plus_mm,
            stroke_mm=self._sheet.read(read_length_mm, record.stroke, *trail, "stroke"),
        )

    def _read_tenths(self, factor: int | Decimal, trail: Trail) -> int:
        tenths = factor * 10
        if tenths != int(tenths):
            message = f"{trail[-1]} must be in tenths at the finest, not {factor}"
            self._sheet.complain(trail, "out-of-range", message, "round it up to a tenth")
        return int(tenths)

    def _read_boatwork(self, record: records.BoatworkRecord, trail: Trail) -> Boatwork:
        return Boatwork(
            name=record.name,
            stations=tuple(record.stations),
            crews=self._read_list(record.crews, (*trail, "crews"), self._read_crew),
            count=record.count,
            exposure=record.exposure,
            where=self._sheet.place(*trail),
        )

    def _read_crew(self, record: records.CrewRecord, trail: Trail) -> Crew:
        for index, scenario in enumerate(record.scenarios):
            self._known.scenarios.check(self._sheet, scenario, *trail, "scenarios", index)
        return Crew(
            crafts=tuple(record.crafts),
            steerer=record.steerer,
            free_places=record.free_places,
            class_at_most=self._sheet.read_class_if_given(
                record.class_at_most, *trail, "class_at_most"
            ),
            scenarios=tuple(record.scenarios),
            roles=self._read_list(record.roles, (*trail, "roles"), self.read_role),
            items=self._read_list(record.items, (*trail, "items"), self._read_need),
        )


def _list_besides(record: records.TechniqueRecord) -> list[str]:
    """Return the keys of what a technique asks for beside taking swimmers."""
    asked = {
        "banks": record.banks != "none",
        "hurry": record.hurry != "at once",
        "downstream_safety": record.downstream_safety.count > 0 or record.downstream_safety.hard,
        "spotter": record.spotter == "needed",
        "line_across": record.line_across,
        "pulling": record.pulling,
        "roles": record.roles,
        "items": record.items,
        "boats": record.boats,
        "ways": record.ways,
    }
    return [key for key, value in asked.items() if value]


def _read_force(record: records.ForceRecord | None) -> Force | None:
    if record is None:
        return None
    bodies = 1 if record.on == "body" else 2
    return Force(bodies, record.angle, record.grips, record.beside)
