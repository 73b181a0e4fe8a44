"""What helps to decide on the way: what has happened, and what it makes of the trip."""

from kitplan.decide.afresh import Afresh, Before, begin_afresh
from kitplan.decide.happened import Happened, find_wrong

__all__ = ["Afresh", "Before", "Happened", "begin_afresh", "find_wrong"]
