"""From the river to the demands: what each place asks for, without a solver."""

from kitplan.needs.derive import derive_needs
from kitplan.needs.lining import find_lining, list_linings
from kitplan.needs.roster import (
    able,
    ask_steerer,
    crew_paddles,
    find_hardest,
    fits_boat,
    hardest_class,
    holds_certificate,
    least_crew,
    list_ways,
    minutes_by_day,
    most_free_places,
    person_mass_g,
    serves,
    stations_after,
    stations_before,
    steerer_level,
    vest_room,
    waist_room,
)

__all__ = [
    "able",
    "ask_steerer",
    "crew_paddles",
    "derive_needs",
    "find_hardest",
    "find_lining",
    "fits_boat",
    "hardest_class",
    "holds_certificate",
    "least_crew",
    "list_linings",
    "list_ways",
    "minutes_by_day",
    "most_free_places",
    "person_mass_g",
    "serves",
    "stations_after",
    "stations_before",
    "steerer_level",
    "vest_room",
    "waist_room",
]
