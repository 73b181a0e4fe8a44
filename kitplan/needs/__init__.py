"""From the river to the demands: what each place asks for, without a solver."""

from kitplan.needs.derive import derive_needs
from kitplan.needs.minders import MINDS, ask_guide, count_minding, list_minders, minded_banks
from kitplan.needs.roster import (
    able,
    allowed_stations,
    ask_steerer,
    boat_level,
    counts,
    crew_paddles,
    fits_boat,
    hardest_class,
    holds_certificate,
    least_crew,
    list_walkers,
    minutes_by_day,
    person_mass_g,
    serves,
    steerer_level,
    vest_room,
    waist_room,
)

__all__ = [
    "MINDS",
    "able",
    "allowed_stations",
    "ask_guide",
    "ask_steerer",
    "boat_level",
    "count_minding",
    "counts",
    "crew_paddles",
    "derive_needs",
    "fits_boat",
    "hardest_class",
    "holds_certificate",
    "least_crew",
    "list_minders",
    "list_walkers",
    "minded_banks",
    "minutes_by_day",
    "person_mass_g",
    "serves",
    "steerer_level",
    "vest_room",
    "waist_room",
]
