"""How many hands hold a line against the force of the water, with the arithmetic."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan import river
from kitplan.units import show_speed

if TYPE_CHECKING:
    from kitplan.needs.fit import Setting
    from kitplan.trip import Force, Need, Role

_MN = 1000


def count_part(part: Role | Need, setting: Setting, *, crowded: bool = False) -> int:
    """Return how many persons or things are asked for: by class, cold, and a crowded boat."""
    count = part.count_hard if setting.hard and part.count_hard else part.count
    return max(count, part.count_crowded or 0) if crowded else count


def count_role(role: Role, setting: Setting, *, crowded: bool = False) -> int:
    """Return how many persons a role asks for here: as `count_part`, by the force, or the haul."""
    if role.hauls and setting.rig is not None and setting.rig.hands:
        return setting.rig.hands
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
