"""What fits the place, and why not: every answer with its arithmetic.

A question about a place is asked of a `Setting`: one spot of one rapid, seen from a working bank
("" where a technique works from the water). Missing data never passes a limit; it is said.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kitplan.river import can_wade, list_wading_cautions, wading_product_mm2_s
from kitplan.trip import BANKS, CLASSES
from kitplan.units import show_length, show_speed, show_temperature, show_time

if TYPE_CHECKING:
    from kitplan.demands import Thing
    from kitplan.needs.haul import Rig
    from kitplan.trip import Bank, PlaceLimits, Rapid, Scenario, Serves, Spot, Technique, Trip, When


@dataclass(frozen=True, slots=True)
class Setting:
    """One spot of one rapid seen from working bank `bank`; "" for work from the water.

    `joined`: the pairs of lines that do as one thing, for each thing asked so far.
    """

    trip: Trip
    rapid: Rapid
    spot: Spot
    bank: str
    scenario: str = ""
    rig: Rig | None = None  # how the boat in trouble is hauled off, where it is
    joined: dict[Thing, list[tuple[int, int]]] = field(default_factory=dict, compare=False)

    @property
    def reach_mm(self) -> int:
        """Return the distance from the working bank to the spot; the nearer bank's for ""."""
        if not self.bank:
            return min(self.spot.from_left_mm, self.spot.from_right_mm)
        return self.spot.from_left_mm if self.bank == "left" else self.spot.from_right_mm

    @property
    def far(self) -> str:
        """Return the bank opposite the working bank."""
        return "right" if self.bank == "left" else "left"

    @property
    def hard(self) -> bool:
        """Say whether more people are asked: from the hard class up, or in cold water."""
        return self.rapid.river_class >= self.trip.catalog.figures.hard_class or self.trip.cold

    @property
    def counted_class(self) -> int:
        """Return the class that exposures are tested against: one harder if cold or remote."""
        harder = 1 if self.trip.cold or self.trip.remote else 0
        return min(len(CLASSES), self.rapid.river_class + harder)


def side_name(bank: str) -> str:
    """Return a bank in words."""
    return f"river {bank}"


def usable_banks(rapid: Rapid, *, unhurried: bool) -> tuple[str, ...]:
    """Return the banks that count: with a landing, and at once only where safety is set."""
    if not unhurried and rapid.safety != "set":
        return ()
    return tuple(side for side in BANKS if rapid.bank(side).landing >= 1)


def can_wait_afloat(setting: Setting) -> bool:
    """Say whether a boat may wait in an eddy here."""
    return setting.rapid.safety in {"set", "afloat"} and setting.rapid.eddies >= 1


def say_no_boat(setting: Setting) -> str:
    """Return why no boat does its work here, the first reason that holds."""
    if setting.rapid.safety not in {"set", "afloat"}:
        return f'no boat waits afloat here (safety is "{setting.rapid.safety}")'
    if setting.rapid.eddies < 1:
        return "no eddy here for a boat to wait in"
    return "no boat may do this work here"


def find_serves(technique: Technique, scenario: str, setting: Setting) -> Serves | None:
    """Return the first line of `serves` that holds for the scenario at this place, or None."""
    banks = len(usable_banks(setting.rapid, unhurried=technique.unhurried))
    spot = setting.spot
    for line in technique.serves:
        if line.scenario != scenario or line.banks not in {None, banks}:
            continue
        if line.slack not in {None, spot.slack}:
            continue
        limit = line.depth_at_most_mm
        if limit is not None and (spot.depth_mm is None or spot.depth_mm > limit):
            continue
        return line
    return None


def list_bank_reasons(technique: Technique, setting: Setting) -> list[str]:
    """Say which banks the technique needs and can't have; empty if it has them."""
    if technique.banks == "none":
        return []
    rapid = setting.rapid
    if not technique.unhurried and rapid.safety != "set":
        return [f'nobody on the banks here (safety is "{rapid.safety}")']
    asked = (setting.bank,) if technique.banks == "one" else (setting.bank, setting.far)
    return [f"{side_name(side)} has no landing" for side in asked if rapid.bank(side).landing < 1]


def list_time_reasons(technique: Technique, scenario: Scenario, setting: Setting) -> list[str]:
    """Say if the technique comes too late.

    At once people stand at the spot already; unhurried work adds the walk from the landing.
    """
    walk_s = count_walk_s(setting) if technique.unhurried else 0
    if technique.ready_most_s + walk_s <= scenario.in_time_s:
        return []
    ready, asked = show_time(technique.ready_most_s), show_time(scenario.in_time_s)
    walk = f" after {show_time(walk_s)} of walking" if walk_s else ""
    return [f"set up in {ready}{walk}, help is asked within {asked}"]


def count_walk_s(setting: Setting) -> int:
    """Return the seconds it takes to walk with gear from the working bank's landing to the spot."""
    if not setting.bank:
        return 0
    walk_mm = setting.rapid.bank(setting.bank).walk_mm
    return -(-60 * walk_mm // setting.trip.catalog.figures.walk_mm_per_min)


def list_place_reasons(limits: PlaceLimits, setting: Setting) -> list[str]:
    """Say which limits of the place are broken or can't be judged; empty if it fits."""
    return [
        *_list_length_reasons(limits, setting),
        *_list_speed_and_class_reasons(limits, setting),
        *_list_feature_reasons(limits, setting),
        *_list_wading_reasons(limits, setting),
    ]


def _list_length_reasons(limits: PlaceLimits, setting: Setting) -> list[str]:
    spot, reasons = setting.spot, []
    reach = limits.reach_at_most_mm
    if reach is not None and setting.reach_mm > reach:
        side = f" from {side_name(setting.bank)}" if setting.bank else " from either bank"
        reasons.append(
            f"out of reach{side}: {show_length(setting.reach_mm)} > {show_length(reach)}"
        )
    width = limits.width_at_most_mm
    if width is not None and setting.rapid.width_mm > width:
        reasons.append(f"too wide: {show_length(setting.rapid.width_mm)} > {show_length(width)}")
    for word, limit, given in (
        ("run-in", limits.run_in_at_least_mm, spot.run_in_mm),
        ("run-out", limits.run_out_at_least_mm, spot.run_out_mm),
    ):
        if limit is not None and given is None:
            reasons.append(f"{word} not given (at least {show_length(limit)} asked)")
        elif limit is not None and given is not None and given < limit:
            reasons.append(f"{word} too short: {show_length(given)} < {show_length(limit)}")
    depth = limits.depth_at_most_mm
    if depth is not None and spot.depth_mm is None:
        reasons.append(f"depth not given (at most {show_length(depth)} asked)")
    elif depth is not None and spot.depth_mm is not None and spot.depth_mm > depth:
        reasons.append(f"too deep: {show_length(spot.depth_mm)} > {show_length(depth)}")
    return reasons


def _list_speed_and_class_reasons(limits: PlaceLimits, setting: Setting) -> list[str]:
    reasons = []
    limit, given = limits.current_at_most_mm_s, setting.spot.current_mm_s
    if limit is not None and given is None:
        reasons.append(f"current not given (at most {show_speed(limit)} asked)")
    elif limit is not None and given is not None and given > limit:
        reasons.append(f"current too fast: {show_speed(given)} > {show_speed(limit)}")
    most = limits.class_at_most
    if most is not None and setting.rapid.river_class > most:
        reasons.append(f"class {setting.rapid.class_text} is above class {CLASSES[most - 1]}")
    return reasons


def _list_feature_reasons(limits: PlaceLimits, setting: Setting) -> list[str]:
    reasons = []
    if limits.slack and not setting.spot.slack:
        reasons.append("no slack water below the place")
    if setting.bank:
        bank = setting.rapid.bank(setting.bank)
        if limits.anchor and not bank.anchor:
            reasons.append(f"nothing to tie to on {side_name(setting.bank)}")
        if limits.far_anchor and not setting.rapid.bank(setting.far).anchor:
            reasons.append(f"nothing to tie to on {side_name(setting.far)}")
        if limits.eddy and not bank.eddy:
            reasons.append(f"no eddy on {side_name(setting.bank)} to swing into")
    return reasons


def _wading_water(
    limits: PlaceLimits, setting: Setting
) -> list[tuple[str, int | None, int | None]]:
    """Return place in words, depth and current of all water that has to be waded."""
    if limits.wading == "to the spot":
        return [("at the spot", setting.spot.depth_mm, setting.spot.current_mm_s)]
    if limits.wading != "edges":
        return []
    water: list[tuple[str, int | None, int | None]] = []
    for side in usable_banks(setting.rapid, unhurried=True):
        bank: Bank = setting.rapid.bank(side)
        water.append(
            (f"at the edge of {side_name(side)}", bank.edge_depth_mm, bank.edge_current_mm_s)
        )
    return water


def _list_wading_reasons(limits: PlaceLimits, setting: Setting) -> list[str]:
    reasons = []
    for place, depth, current in _wading_water(limits, setting):
        if depth is None or current is None:
            what = " and ".join(
                word for word, given in (("depth", depth), ("current", current)) if given is None
            )
            reasons.append(f"{what} not given {place}, so wading can't be judged")
        elif not can_wade(depth, current):
            product = wading_product_mm2_s(depth, current) / 1e6
            reasons.append(
                f"too much water to wade {place}: {show_length(depth)} x {show_speed(current)} = "
                f"{product:.2f} m2/s, not below 0.93 m2/s"
            )
    return reasons


def list_place_cautions(limits: PlaceLimits, setting: Setting) -> list[str]:
    """Return the lower published wading limits that this water passes, in words."""
    return [
        f"{place}: {caution}"
        for place, depth, current in _wading_water(limits, setting)
        if depth is not None and current is not None
        for caution in list_wading_cautions(depth, current)
    ]


def holds(when: When | None, setting: Setting) -> bool:
    """Say whether a condition on a role or thing holds here; a depth not given counts as deep."""
    if when is None:
        return True
    trip, spot = setting.trip, setting.spot
    edges = [
        setting.rapid.bank(side).edge_depth_mm
        for side in usable_banks(setting.rapid, unhurried=True)
    ]
    tests = (
        (when.reach_over_mm, lambda limit: setting.reach_mm > limit),
        (when.reach_up_to_mm, lambda limit: setting.reach_mm <= limit),
        (when.depth_over_mm, lambda limit: spot.depth_mm is None or spot.depth_mm > limit),
        (when.edge_depth_over_mm, lambda limit: any(d is None or d > limit for d in edges)),
        (when.water_below_mdegc, lambda limit: trip.water_mdegc < limit),
        (when.water_from_mdegc, lambda limit: trip.water_mdegc >= limit),
    )
    return all(limit is None or test(limit) for limit, test in tests)


def refuse_exposure(exposure: str, setting: Setting, *, as_written: bool) -> str | None:
    """Return why the leader does not accept an exposure here, or None if it is accepted."""
    if exposure == "ashore":
        return None
    trip = setting.trip
    asked = setting.rapid.river_class if as_written else setting.counted_class
    limit = trip.accept[exposure]
    if asked <= limit:
        return None
    said = f"class {setting.rapid.class_text}"
    if asked != setting.rapid.river_class:
        why = f"water {show_temperature(trip.water_mdegc)}" if trip.cold else "remote"
        said += f", counted as {CLASSES[asked - 1]} ({why})"
    accepted = f"up to class {CLASSES[limit - 1]}" if limit else "nowhere"
    return f"{exposure} on {said}: the leader accepts {exposure} {accepted}"
