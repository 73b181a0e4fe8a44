"""Where those at work are out of sight from above, a sign is relayed by a person or by radio.

Common practice, no source: a whistle carries where eyes do not, and radios come in pairs.
"""

from dataclasses import replace
from pathlib import Path

from kitplan.demands import ItemSlot, Needs, Thing, Variant
from kitplan.needs import derive_needs
from tests.places import lay

SAID = "relay: one more person with a whistle, on a bank or above"
RADIOS = ", or a radio above and one on the working bank"
WHY = " (out of sight from above)"


def look_at(folder: Path, *, sight: bool) -> Needs:
    """Return the needs of a place where somebody is held by a foot, in sight or not."""
    trip, _ = lay(folder, "entrapment, head up")
    rapids = {
        name: replace(rapid, spots=tuple(replace(s, sight=sight) for s in rapid.spots))
        for name, rapid in trip.rapids.items()
    }
    return derive_needs(replace(trip, rapids=rapids))


def test_every_way_with_a_spotter_has_a_relay_or_two_radios(tmp_path: Path) -> None:
    seen, hidden = look_at(tmp_path, sight=True), look_at(tmp_path, sight=False)
    asked, both = 0, 0
    for key, choice in hidden.choices.items():
        plain = seen.choices[key]
        said = SAID + (RADIOS if key.bank else "") + WHY
        if said not in choice.amounts:
            assert choice == plain
            continue
        asked += 1
        by_radio = [v for v in choice.variants if _has_relay(v) is False]
        for variant in by_radio:
            radios = {slot for slot in variant.items if slot.thing.kind == "radio"}
            assert radios == {ItemSlot(s, Thing("radio")) for s in ("above", key.bank)}
            assert not any("above" in boat.stations for boat in variant.boats)
        by_whistle = [v for v in choice.variants if _has_relay(v)]
        assert by_whistle or not choice.accepted
        assert not any(s.thing.kind == "radio" for v in by_whistle for s in v.items)
        both += bool(by_radio)
    assert asked > both > 0


def _has_relay(variant: Variant) -> bool:
    """Say whether a person relays; whoever does needs no skill, only a whistle of his own."""
    relays = [slot for slot in variant.persons if slot.role == "relay"]
    for slot in relays:
        leaves = any("above" in boat.stations for boat in variant.boats)
        assert slot.sites == (("left", "right") if leaves else ("left", "right", "above"))
        assert (slot.count, slot.ask.guest, slot.ask.skills) == (1, True, ())
        assert "whistle" in slot.ask.wears
    return bool(relays)


def test_a_throw_needs_no_sign(tmp_path: Path) -> None:
    hidden = look_at(tmp_path, sight=False)
    unasked = [
        c.key.technique
        for c in hidden.choices.values()
        if not any(a.startswith(SAID) for a in c.amounts)
    ]
    assert "reach-out" in unasked


def test_a_boat_from_above_has_no_relay_where_nobody_is_on_the_banks(tmp_path: Path) -> None:
    trip, _ = lay(tmp_path, "entrapment, head up", safety="afloat")
    ledge = trip.rapids["Ledge"]
    hidden = replace(ledge, spots=tuple(replace(s, sight=False, slack=True) for s in ledge.spots))
    needs = derive_needs(replace(trip, rapids={"Ledge": hidden}))
    to_the_spot = [c for k, c in needs.choices.items() if k.technique == "boat-to-the-spot"]
    assert [choice.reasons for choice in to_the_spot] == [
        ("out of sight from above, and nobody on the banks to relay a sign",)
    ]
