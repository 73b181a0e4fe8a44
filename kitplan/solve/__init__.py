"""Solve a trip: aims in turn, limits, bounds, four kinds of status."""

from kitplan.solve.aims import solve_trip
from kitplan.solve.floors import COVER_AIMS, Floors
from kitplan.solve.options import ALL_AIMS, Solution, SolveOptions
from kitplan.solve.run import Clock

__all__ = ["ALL_AIMS", "COVER_AIMS", "Clock", "Floors", "Solution", "SolveOptions", "solve_trip"]
