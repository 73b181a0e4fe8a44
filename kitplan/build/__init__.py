"""The CP-SAT model of a trip: variables, rules, cover, aims. Wiring only."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from kitplan.build.anywhere import Anywhere
from kitplan.build.changes import add_changes, add_moves
from kitplan.build.cover import Cover
from kitplan.build.eligible import Eligible
from kitplan.build.families import Rules
from kitplan.build.held import Aboard, Held, read_aboard
from kitplan.build.posted import Posted
from kitplan.build.risks import list_risks
from kitplan.build.terms import TermsBook
from kitplan.build.variables import Variables, add_up
from kitplan.demands import CaseKey

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from kitplan.build.risks import Risk
    from kitplan.build.variables import Linear
    from kitplan.demands import Choice, ChoiceKey, Needs
    from kitplan.plan import Before
    from kitplan.trip import Rapid, Trip

__all__ = [
    "Aboard",
    "Anywhere",
    "Eligible",
    "Held",
    "Posted",
    "Rules",
    "TermsBook",
    "TripModel",
    "Variables",
    "build_model",
    "read_aboard",
]


STATIONS = ("station", "held", "landing", "eddies")
"""Families of rules about waiting places: all there is once the rest is decided."""


class TripModel:
    """A model of the trip at some of its rapids, with an expression for each aim.

    `gap[rapid][aim]` is what the rapid adds to the aims "uncovered", "one_bank", "unmet";
    `unbacked[rapid]` the weight of cases without a backed way, uncovered ones included.
    `covers[case]`: literals that imply that it is covered, and from all banks, where these are two
    or more; of cases that are one question it is in the name of the first.
    """

    def __init__(
        self,
        variables: Variables,
        needs: Needs,
        *,
        backing: bool = False,
        families: tuple[str, ...] = (),
        book: TermsBook | None = None,
    ) -> None:
        """Build the model; `backing` adds the backed ways of aim 5.

        With `families` only these rules are added, not all. Models of one trip may share a `book`.
        """
        self.trip, self.needs, self.backing = variables.trip, needs, backing
        self.v = variables
        self.rules = Rules(self.v)
        if isinstance(variables, Held):
            self.rules.add(STATIONS)
        elif isinstance(variables, Posted):
            self.rules.add_all(but=STATIONS)
        elif families:
            self.rules.add(families)
        else:
            self.rules.add_all()
        self.cover = Cover(self.v, book or TermsBook(self.trip))
        self.gap: dict[str, dict[str, Linear]] = {}
        self.unbacked: dict[str, Linear] = {}
        self.covers: dict[CaseKey, tuple[cp_model.IntVar, ...]] = {}
        risks = list_risks(self.trip, needs, {rapid.name for rapid in self.v.rapids})
        for rapid in self.v.rapids:
            self._add_rapid(rapid, risks.get(rapid.name, []))

    @property
    def model(self) -> cp_model.CpModel:
        """Return the solver's model."""
        return self.v.model

    def total(self, aim: str) -> Linear:
        """Return the value of an aim over all rapids of the model."""
        if aim == "backed":
            return add_up(self.unbacked.values())
        if aim == "mass":
            return self.rules.taken_g()
        return add_up(gaps[aim] for gaps in self.gap.values())

    def add_moves(self, before: Before) -> Linear:
        """Return how many people, pieces of kit and boxes are not where they were before."""
        return add_moves(self.v, before)

    def add_changes(self) -> Linear:
        """Return how many seats and pieces of kit are others than in the leg before."""
        return add_changes(self.v)

    def _add_rapid(self, rapid: Rapid, risks: list[Risk]) -> None:
        gaps: dict[str, list[Linear]] = {"uncovered": [], "one_bank": [], "unmet": []}
        unbacked: list[Linear] = []
        for risk in risks:
            for moment in self._list_moments(rapid, risk):
                met = {choice.key: self._add_demand(choice, moment) for choice in risk.choices}
                gaps["unmet"] += [
                    risk.weights[key] * self._miss(literal, moment) for key, literal in met.items()
                ]
                self._add_case(risk, moment, met, gaps)
                if self.backing:
                    backed = self._add_backed(risk, moment, met)
                    unbacked.append(risk.weight * self._miss(backed, moment))
        self.gap[rapid.name] = {aim: add_up(terms) for aim, terms in gaps.items()}
        self.unbacked[rapid.name] = add_up(unbacked)

    def _list_moments(self, rapid: Rapid, risk: Risk) -> list[Moment]:
        """Return when the risk is there: by running boat, or by place in the running order.

        What is unhurried does not depend on the order, and asks for each boat by itself; what is
        done at once is the same question for whoever runs then.
        """
        if all(choice.unhurried for choice in risk.choices):
            return [Moment(rapid.name, None, (boat,)) for boat in risk.running]
        moments = [
            Moment(rapid.name, k, tuple(b for b in risk.running if b in there))
            for k in range(len(rapid.boats))
            for there in (self.v.list_running(rapid, k),)
        ]
        return [moment for moment in moments if moment.running]

    def _miss(self, literal: cp_model.IntVar, moment: Moment) -> Linear:
        """Return 1 where one of the moment's boats runs then and the literal does not hold."""
        if moment.place is None:
            return 1 - literal
        rapid = self.trip.rapids[moment.rapid]
        if set(moment.running) >= set(self.v.list_running(rapid, moment.place)):
            return 1 - literal
        at_risk = add_up(self.v.runs(rapid, b, moment.place) for b in moment.running)
        miss = self.model.new_bool_var("")
        self.model.add(miss >= at_risk - literal)
        return miss

    def _ways(self, choice: Choice, moment: Moment, spare: int) -> list[cp_model.IntVar]:
        """Return literals, of which one implies a choice can be done at a moment."""
        if not choice.unhurried:
            when = (moment.rapid, moment.place or 0)
            return self.cover.list_at_once(choice, moment.running[0], when, spare)
        by_boat = [
            [
                self.cover.possible_unhurried(v, moment.rapid, boat, spare)
                for v in self.cover.book.list_variants(choice, boat)
            ]
            for boat in moment.running
        ]
        if moment.place is None:
            return by_boat[0]
        literal = self.model.new_bool_var("")
        for boat, ways in zip(moment.running, by_boat, strict=True):
            runs = self.v.runs(self.trip.rapids[moment.rapid], boat, moment.place)
            self.model.add_bool_or(ways).only_enforce_if(literal, runs)
        return [literal]

    def _add_demand(self, choice: Choice, moment: Moment) -> cp_model.IntVar:
        """met[d] <= sum over variants ok (family "met")."""
        met = self.model.new_bool_var(f"met[{','.join(choice.key)},{moment.name}]")
        self.model.add_bool_or(self._ways(choice, moment, 0)).only_enforce_if(met)
        return met

    def _add_case(
        self,
        risk: Risk,
        moment: Moment,
        met: dict[ChoiceKey, cp_model.IntVar],
        gaps: dict[str, list[Linear]],
    ) -> None:
        """covered[c,bank] <= sum of met, from there or from the water (family "covered")."""
        covering = [choice.key for choice in risk.choices if choice.covers]
        name = f"{','.join(risk.where)},{moment.name}"
        case = CaseKey(*risk.where, moment.running[0])
        anywhere = self.model.new_bool_var(f"covered[{name}]")
        self.model.add_bool_or(met[key] for key in covering).only_enforce_if(anywhere)
        gaps["uncovered"].append(risk.weight * self._miss(anywhere, moment))
        self.covers[case] = (anywhere,)
        if len(risk.banks) > 1:
            both = self.model.new_bool_var(f"both[{name}]")
            for bank in risk.banks:
                here = [met[key] for key in covering if key.bank in {bank, ""}]
                self.model.add_bool_or(here).only_enforce_if(both)
            self.model.add_implication(both, anywhere)
            gaps["one_bank"].append(risk.weight * self._miss(both, moment))
            self.covers[case] = (anywhere, both)

    def _add_backed(
        self, risk: Risk, moment: Moment, met: dict[ChoiceKey, cp_model.IntVar]
    ) -> cp_model.IntVar:
        """backed[c] <= one variant with every right-hand side raised (family "backed")."""
        backed = self.model.new_bool_var(f"backed[{','.join(risk.where)},{moment.name}]")
        ways = []
        for choice in risk.choices:
            for spared in self._ways(choice, moment, 1) if choice.covers else ():
                self.model.add_implication(spared, met[choice.key])
                ways.append(spared)
        self.model.add_bool_or(ways).only_enforce_if(backed)
        return backed


def build_model(
    trip: Trip,
    needs: Needs,
    rowing: int | None,
    *,
    backing: bool = False,
    book: TermsBook | None = None,
) -> TripModel:
    """Return a model of all rapids; with `rowing` people may row twice, for so many minutes."""
    variables = Variables(trip, trip.rapids, twice=rowing is not None)
    tm = TripModel(variables, needs, backing=backing, book=book)
    tm.rules.hold_rowing(rowing)
    return tm


class Moment(NamedTuple):
    """When something may happen: while the boat at a place of the order runs, or one boat."""

    rapid: str
    place: int | None
    running: tuple[str, ...]

    @property
    def name(self) -> str:
        """Return a name for variables."""
        return self.running[0] if self.place is None else str(self.place)
