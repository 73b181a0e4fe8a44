"""A catalogue with stores and a trip of two people and three days that uses them, as texts.

All figures are made up, so that sums can be done by hand.
"""

from tests.inputs.texts import CATALOG, spoil

KINDS = '"food", "drinking water", "fuel", "toilet", "stove", "tent", "water treatment"'
STORES_CATALOG = (
    spoil(
        CATALOG,
        ('"helmet", "first aid"]', f'"helmet", "first aid", {KINDS}]'),
        ("quick_bulky = 5\n", 'quick_bulky = 5\nlongest = "3 m"\nhold = "500 L"\n'),
    )
    + """
[[container]]
name = "sack"
mass = "100 g"
volume = "10 L"
holds = "3 kg"

[[container]]
name = "canister"
mass = "1 kg"
volume = "24 L"
holds = "20 L"
returns = true

[[container]]
name = "bottle"
mass = "200 g"
volume = "1.4 L"
holds = "1 L"
returns = true

[[container]]
name = "gas canister"
mass = "200 g"
volume = "2 L"
holds = "400 g"
returns = true
comes_full = true

[[container]]
name = "toilet box"
mass = "5 kg"
volume = "8 L"
holds = "2 L"

[[store_rate]]
name = "food"
kind = "food"
hot = "900 g"
mild = "1 kg"
cold = "1.2 kg"
extreme = "1.5 kg"
container = "sack"
use = "by day"
source = "made up for tests"

[[store_rate]]
name = "drinking water"
kind = "drinking water"
amount = "3 L"
litre = "1 kg"
container = "canister"
use = "in common"
water = "carried"
source = "made up for tests"

[[store_rate]]
name = "fuel"
kind = "fuel"
amount = "100 ml"
litre = "0.7 kg"
container = "bottle"
use = "in common"
source = "made up for tests"

[[store_rate]]
name = "toilet"
kind = "toilet"
amount = "500 ml"
litre = "1 kg"
container = "toilet box"
use = "fills"
source = "made up for tests"

[[item]]
name = "stove"
kinds = ["stove"]
mass = "5 kg"
volume = "20 L"
carried = ["stowed"]

[[item]]
name = "tent"
kinds = ["tent"]
mass = "2.6 kg"
volume = "9 L"
carried = ["stowed"]

[[item]]
name = "filter"
kinds = ["water treatment"]
mass = "600 g"
volume = "3 L"
carried = ["stowed"]

[[camp_row]]
item = "stove"

[[camp_row]]
item = "tent"
for_each = 2

[[camp_row]]
item = "filter"
water = "from the river"
"""
)

STORES_TRIP = """\
[trip]
name = "three days"
starts = 2027-06-14
days = 3
catalogs = ["../catalogs/all.toml"]
water_temperature = "14 degC"
everyone_wears = ["life jacket, river", "helmet"]

[[boat]]
name = "Heron"
type = "oar raft 4.3 m"

[[paddler]]
name = "Ana"
mass = "70 kg"
skills = { "oar raft" = 4 }

[[paddler]]
name = "Bo"
mass = "80 kg"

[[rapid]]
day = 1
name = "Riffle"
class = "II"
width = "12 m"
safety = "none"
scenarios = ["swimmer"]

[stores]
climate = "mild"
water = "carried"
personal_bag = "10 kg"
personal_bag_volume = "60 L"

[[store]]
item = "guitar"
mass = "3 kg"
volume = "40 L"

[[restock]]
day = 2
at = "morning"
brings = ["food", "drinking water"]
"""
