"""What people ask beside a plan: of a load by hand, after a mishap, who and what counts most."""

from kitplan.decide.afresh import Afresh, begin_afresh
from kitplan.decide.happened import find_wrong
from kitplan.happened import Happened

__all__ = ["Afresh", "Happened", "begin_afresh", "find_wrong"]
