"""What the force of the water asks of a team, and what it puts on the parts of a haul.

Counts of hands are asked for; what a haul bears is only said, since a pinned boat may be shifted
sideways, unloaded or let soft, so that no force says it will stay.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import river
from kitplan.units import show_speed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from kitplan.needs.fit import Setting
    from kitplan.trip import BoatType, Force, Item, Need, Role, Technique

KNOT_LEFT = river.KNOT_LEFT_PERCENT["figure-8"]
PULLEY = river.SMALL_PULLEY_PERCENT
SYSTEMS = {system.name: system for system in (river.HANDS_ALONE, *river.SYSTEMS)}
_MN = 1000


# --- hands on a line ------------------------------------------------------------------------------


def count_part(part: Role | Need, setting: Setting, *, crowded: bool = False) -> int:
    """Return how many persons or things are asked for: by class, cold, and a crowded boat."""
    count = part.count_hard if setting.hard and part.count_hard else part.count
    return max(count, part.count_crowded or 0) if crowded else count


def count_role(role: Role, setting: Setting, *, crowded: bool = False) -> int:
    """Return how many persons a role asks for here: as `count_part`, and by the force."""
    count = count_part(role, setting, crowded=crowded)
    if role.force is None or setting.spot.current_mm_s is None:
        return count
    hands = river.count_hands(
        _tension_n(role.force, setting.spot.current_mm_s), 1, role.force.grips
    )
    return max(count, hands - role.force.beside)


def say_role_force(role: Role, setting: Setting) -> str:
    """Return how the count of a role was worked out, in words with the figures; "" if it wasn't."""
    force, current = role.force, setting.spot.current_mm_s
    if force is None:
        return ""
    count = count_role(role, setting)
    if current is None:
        return f"{role.name}: {count} as in the catalogue, for the current is not given"
    drag = river.drag_n(force.bodies * river.BODY_DRAG_MN, current)
    bodies = f"{force.bodies} x " if force.bodies > 1 else ""
    speed = show_speed(current, exact=True)
    said = f"{role.name}: {bodies}{river.BODY_DRAG_MN / _MN:g} x ({speed})^2 = {drag} N"
    tension = _tension_n(force, current)
    if force.angle_deg is not None:
        ratio = river.tension_ratio(force.angle_deg)
        said += f", x {ratio:.2f} at {force.angle_deg} degrees = {tension} N"
    grip = f"{river.MEAN_GRIP_N} N"
    grips = f"({force.grips} x {grip})" if force.grips > 1 else grip
    hands = river.count_hands(tension, 1, force.grips)
    said += f", / {grips} = {hands}"
    if force.beside:
        said += f", {force.beside} of them in another role"
    return said + (f"; at least {count}" if count > hands - force.beside else "")


def _tension_n(force: Force, current_mm_s: int) -> int:
    drag = river.drag_n(force.bodies * river.BODY_DRAG_MN, current_mm_s)
    return drag if force.angle_deg is None else river.tension_n(drag, force.angle_deg)


# --- hauls ----------------------------------------------------------------------------------------


def say_haul(technique: Technique, setting: Setting) -> tuple[str, ...]:
    """Return for each type of boat what pins it, and what the system pulls, with the figures."""
    if not technique.pulling:
        return ()
    current = setting.spot.current_mm_s
    if current is None:
        return ("force on a pinned boat: not reckoned, for the current is not given",)
    system, hands = SYSTEMS[technique.pulling], _count_hauling(technique, setting)
    times = float(river.actual_advantage(system, PULLEY))
    pull = river.pull_n(system, hands, PULLEY)
    by = f" x {times:.2f}" if system.ideal > 1 else ""
    said = [f"pull: {hands} hands x {river.MEAN_GRIP_N} N{by} ({system.name}) = {pull} N"]
    for kind in _list_types(setting):
        drag = _drag_n(kind, current)
        least = river.least_system(drag, hands, PULLEY)
        enough = (
            f"the least with which so many hands pull so hard: {least.name}"
            if least
            else "more than any system listed pulls: shift it sideways, unload it or let it soft"
        )
        said.append(
            f"{kind.name} wrapped flat, an estimate: {kind.worst_drag_n} x "
            f"({show_speed(current, exact=True)})^2 = {drag} N; {enough}"
        )
    return tuple(said)


def list_haul_cautions(technique: Technique, setting: Setting) -> tuple[str, ...]:
    """Return what to heed of a haul: people and advantage, and strength against the worst force."""
    if not technique.pulling:
        return ()
    system = SYSTEMS[technique.pulling]
    said = river.list_haul_cautions(_count_hauling(technique, setting), system)
    drags = [
        _drag_n(kind, setting.spot.current_mm_s)
        for kind in _list_types(setting)
        if setting.spot.current_mm_s
    ]
    if not drags:
        return said
    forces = river.haul_forces(max(drags), system, PULLEY)
    checks = {
        item.name: check
        for need in technique.items
        for item in _list_serving(need, setting)
        if (check := _check_item(item, need.kind, forces, setting)) is not None
    }
    slips = river.list_loop_cautions(forces.loop_n) if system.prusik_loops else ()
    return (*said, *river.list_strength_cautions(checks), *slips)


def _count_hauling(technique: Technique, setting: Setting) -> int:
    return sum(count_role(role, setting) for role in technique.roles if role.hauls)


def _list_types(setting: Setting) -> list[BoatType]:
    """Return the types of the boats that may be pinned here, of which the drag is known."""
    boats = setting.trip.boats
    running = [name for name in setting.trip.running if name in setting.rapid.boats]
    types = {boats[name].type.name: boats[name].type for name in running}
    return [kind for kind in types.values() if kind.worst_drag_n]


def _drag_n(kind: BoatType, current_mm_s: int | None) -> int:
    return river.drag_n((kind.worst_drag_n or 0) * _MN, current_mm_s or 0)


def _list_serving(need: Need, setting: Setting) -> Iterable[Item]:
    """Return the things of the party's kit that may serve, whatever their length."""
    for kit in setting.trip.kit.values():
        if need.kind in kit.item.kinds and need.flags <= kit.item.flags:
            yield kit.item


def _check_item(
    item: Item, kind: str, forces: river.HaulForces, setting: Setting
) -> river.StrengthCheck | None:
    """Return the strength of a part against the force on it; None where it is not known.

    Lines are tied in with a figure-8, loops are two strands of their cord, less its knot.
    """
    if item.strength_n is None:
        return None
    safety = setting.trip.catalog.figures.safety_factor
    if kind == "line":
        return river.check_strength(forces.line_n, item.strength_n, safety, "figure-8")
    if kind == "prusik loop":
        strength = river.loop_strength_n(item.strength_n, KNOT_LEFT)
        return river.check_strength(forces.loop_n, strength, safety)
    force = forces.anchor_n if "sling" in kind else forces.connector_n
    return river.check_strength(force, item.strength_n, safety)
