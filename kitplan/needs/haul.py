"""What hauling a pinned boat off asks for by its type, and what the water puts on a haul.

Hands, system and things are asked for; what a haul bears is only said, since a pinned boat may be
shifted sideways, unloaded or let soft, so that no force says it will stay.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from kitplan import river
from kitplan.needs.force import count_part, count_role
from kitplan.needs.roster import list_running
from kitplan.units import show_length, show_speed

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from kitplan.needs.fit import Setting
    from kitplan.trip import BoatType, Item, Need, Technique

KNOT_LEFT = river.KNOT_LEFT_PERCENT["figure-8"]
PULLEY = river.SMALL_PULLEY_PERCENT
SYSTEMS = {system.name: system for system in (river.HANDS_ALONE, *river.SYSTEMS)}
PINNED = "pinned: "
"""Begins the part of a way's name that says for which boats it is."""
BY_HAND = river.HANDS_ALONE.name
SWAMPED = "a swamped boat, as published"
LINE, LOOP = "line", "prusik loop"
_MN = 1000


@dataclass(frozen=True, slots=True)
class Rig:
    """How boats of some types are hauled; no types: any. No hands: as many as the roles say."""

    system: str
    hands: int = 0
    types: tuple[str, ...] = ()


def list_settings(technique: Technique, setting: Setting) -> Iterator[Setting]:
    """Yield the setting for each way in which boats that may be in trouble here are hauled off.

    Where nothing is hauled it is the setting itself; where no boat here is hauled so, none is.
    """
    if not technique.pulling:
        yield setting
        return
    rigs: dict[Rig, list[str]] = {}
    for kind in _list_types(setting):
        rigs.setdefault(_choose_rig(technique, kind), []).append(kind.name)
    asked = {rig: names for rig, names in rigs.items() if _is_hauled(technique, rig)}
    for rig, names in asked.items():
        types = tuple(names) if len(rigs) > 1 else ()
        yield replace(setting, rig=replace(rig, types=types))


def say_no_haul(technique: Technique) -> str:
    """Return why no boat that may be in trouble is hauled so."""
    return f"no boat that may be pinned here is hauled with pulleys, as in {technique.name}"


def say_rig(setting: Setting) -> tuple[str, ...]:
    """Return for which boats a way is, where it is not for all, and with which pulling system."""
    rig = setting.rig
    if rig is None:
        return ()
    types = (f"{PINNED}{_join(rig.types)}",) if rig.types else ()
    return types if rig.system == BY_HAND else (*types, f"hauled at a {rig.system}")


def _choose_rig(technique: Technique, kind: BoatType) -> Rig:
    if kind.haul is None:
        return Rig(technique.pulling)
    if technique.pulling == BY_HAND:
        return Rig(BY_HAND, kind.haul.by_hand)
    return Rig(kind.haul.system, kind.haul.hands)


def _is_hauled(technique: Technique, rig: Rig) -> bool:
    """Say whether a technique with pulleys is asked for; hands alone always are."""
    return technique.pulling == BY_HAND or rig.system != BY_HAND


def _list_types(setting: Setting) -> list[BoatType]:
    """Return the types of the boats that may be in trouble here, each once."""
    boats = setting.trip.boats
    running = list_running(setting.trip, setting.rapid, setting.scenario)
    return list({boats[name].type.name: boats[name].type for name in running}.values())


# --- things ---------------------------------------------------------------------------------------


def find_system(setting: Setting) -> river.PullingSystem:
    """Return the pulling system in force here; hands alone where nothing is hauled."""
    return SYSTEMS[BY_HAND if setting.rig is None else setting.rig.system]


def count_need(need: Need, setting: Setting, *, crowded: bool = False) -> int:
    """Return how many things are asked for here: as `count_part`, or by the pulling system."""
    if need.rig:
        return _count_rigged(need, setting) + need.besides
    return count_part(need, setting, crowded=crowded)


def stroke_mm(setting: Setting, each_mm: int) -> int:
    """Return the line that lies in the pulling system for a stroke of that length."""
    return river.extra_line_mm(find_system(setting), each_mm)


def say_count(need: Need, setting: Setting) -> str:
    """Return how the count of a thing follows from the system, in words; "" if it does not."""
    if not need.rig:
        return ""
    there = _count_rigged(need, setting)
    more = f" + {need.besides} = {there + need.besides}" if need.besides else ""
    return f"{need.kind}: {there} {need.rig} in a {find_system(setting).name}{more}"


def _count_rigged(need: Need, setting: Setting) -> int:
    system = find_system(setting)
    return system.pulleys if need.rig == "pulleys" else system.prusik_loops


# --- what is said of a haul -----------------------------------------------------------------------


def say_haul(technique: Technique, setting: Setting) -> tuple[str, ...]:
    """Return what the hands pull, and the force on boats of each type here, with the figures."""
    if setting.rig is None:
        return ()
    for_whom = f"{_join(setting.rig.types)}: " if setting.rig.types else ""
    current = setting.spot.current_mm_s
    hands = _count_hauling(technique, setting)
    if current is None:
        said = f"{_say_pull(technique, setting)}, " if for_whom else ""
        return (
            f"{for_whom}{said}force on a pinned boat: not reckoned, for the current is not given",
        )
    system = find_system(setting)
    times = float(river.actual_advantage(system, PULLEY))
    pull = river.pull_n(system, hands, PULLEY)
    by = f" x {times:.2f}" if system.ideal > 1 else ""
    grip = f"{_say_hands(hands)} x {river.MEAN_GRIP_N} N"
    said = f"{for_whom}pull: {grip}{by} ({system.name}) = {pull} N"
    return (said, *(_say_force(row, setting, hands, for_whom) for row in _list_forces(setting)))


@dataclass(frozen=True, slots=True)
class _Force:
    """The force of the current on a boat that is pinned in some way, from its drag at 1 m/s."""

    pinned: str
    drag_mn: int
    force_n: int


def _list_forces(setting: Setting) -> list[_Force]:
    """Return the force on a swamped boat, and on boats of the types here where they wrap flat."""
    current = setting.spot.current_mm_s or 0
    types = setting.rig.types if setting.rig else ()
    wrapped: dict[int, list[str]] = {}
    for kind in _list_types(setting):
        if kind.worst_drag_n and (not types or kind.name in types):
            wrapped.setdefault(kind.worst_drag_n * _MN, []).append(kind.name)
    rows = [(SWAMPED, river.SWAMPED_BOAT_DRAG_MN)]
    rows += [(f"{_join(names)} wrapped flat, an estimate", drag) for drag, names in wrapped.items()]
    return [_Force(pinned, drag, river.drag_n(drag, current)) for pinned, drag in rows]


def _say_force(row: _Force, setting: Setting, hands: int, for_whom: str) -> str:
    speed = show_speed(setting.spot.current_mm_s or 0, exact=True)
    grip_n = hands * river.MEAN_GRIP_N
    least = river.least_system(row.force_n, hands, PULLEY)
    enough = (
        f"the least with which so many hands pull so hard: {least.name}"
        if least
        else "more than any system listed pulls: shift it sideways, unload it or let it soft"
    )
    # Rounded up: an advantage that is printed as enough has to be.
    asked = -(-100 * row.force_n // grip_n) / 100
    whom = for_whom if row.pinned == SWAMPED else ""
    return (
        f"{whom}{row.pinned}: {row.drag_mn / _MN:g} x ({speed})^2 = {row.force_n} N, "
        f"{asked:.2f} times the {grip_n} N of {_say_hands(hands)}; {enough}"
    )


def _say_pull(technique: Technique, setting: Setting) -> str:
    hands, system = _count_hauling(technique, setting), find_system(setting)
    return _say_hands(hands) + (f" at a {system.name}" if system.ideal > 1 else "")


def list_haul_cautions(technique: Technique, setting: Setting) -> tuple[str, ...]:
    """Return what to heed of a haul: people and advantage, and strength against the force."""
    said: list[str] = []
    for hauled in list_settings(technique, setting):
        if hauled.rig is not None:
            whom = f"{_join(hauled.rig.types)}: " if hauled.rig.types else ""
            many = river.list_haul_cautions(_count_hauling(technique, hauled), find_system(hauled))
            said += [whom + caution for caution in many]
    if technique.pulling and setting.spot.current_mm_s:
        said += _list_strength_cautions(technique, setting)
    return tuple(said)


def _list_strength_cautions(technique: Technique, setting: Setting) -> Iterator[str]:
    """Yield the parts that do not surely keep their factor, each against one force.

    That on a swamped boat, which is published, where it is too much; else the greatest there is.
    """
    swamped, *wrapped = _list_forces(setting)
    rows = [swamped, *sorted(wrapped, key=lambda row: row.force_n)[-1:]]
    checks: dict[str, river.StrengthCheck] = {}
    for need in technique.items:
        for item in _list_serving(need, setting):
            checks |= _check_item(item, need.kind, rows, setting)
    yield from river.list_strength_cautions(checks)
    if any(need.kind == LOOP for need in technique.items):
        yield from river.list_loop_cautions(max(row.force_n for row in rows))


def _count_hauling(technique: Technique, setting: Setting) -> int:
    return sum(count_role(role, setting) for role in technique.roles if role.hauls)


def _list_serving(need: Need, setting: Setting) -> Iterable[Item]:
    """Return the things of the party's kit that may serve, whatever their length."""
    for kit in setting.trip.kit.values():
        for item, _ in kit.item.list_pieces():
            if need.kind in item.kinds and need.flags <= item.flags:
                yield item


def _check_item(
    item: Item, kind: str, rows: list[_Force], setting: Setting
) -> dict[str, river.StrengthCheck]:
    """Return the first force for which a part is too weak, or else in doubt, and the check of it.

    Any part may carry all of the load, whenever the hands let go. Lines are tied in with a
    figure-8, loops are two strands of their cord, less its knot. Empty where the strength is not
    known, or all forces are held.
    """
    if item.strength_n is None:
        return {}
    safety = setting.trip.catalog.figures.safety_factor
    knot: river.Knot | None = "figure-8" if kind == LINE else None
    loop = kind == LOOP
    strength = river.loop_strength_n(item.strength_n, KNOT_LEFT) if loop else item.strength_n
    checks = {row: river.check_strength(row.force_n, strength, safety, knot) for row in rows}
    for verdict in ("too weak", "depends on the knot"):
        for row, check in checks.items():
            if check.verdict == verdict:
                return {f"{item.name}, {row.pinned}": check}
    return {}


def say_stroke(each_mm: int, setting: Setting) -> str:
    """Return the part of a length that lies in the pulling system, "(3 - 1) x 5 m of stroke"."""
    return f"({find_system(setting).ideal} - 1) x {show_length(each_mm)} of stroke"


def _say_hands(hands: int) -> str:
    return f"{hands} hand{'s' if hands > 1 else ''}"


def _join(names: Iterable[str]) -> str:
    return " or ".join(names)
