"""The CP-SAT model of a trip: variables, rules, cover, aims. Wiring only."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.build.cover import Cover
from kitplan.build.families import Rules
from kitplan.build.variables import Variables, add_up

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ortools.sat.python import cp_model

    from kitplan.build.variables import Linear
    from kitplan.demands import Case, CaseKey, DemandKey, Needs
    from kitplan.trip import Trip

__all__ = ["Rules", "TripModel", "Variables"]


class TripModel:
    """A model of the trip at some of its rapids, with an expression for each aim.

    `gap[rapid][aim]` is what the rapid adds to the aims "uncovered", "one_bank", "unmet";
    `unbacked[rapid]` the weight of cases without a backed way, uncovered ones included.
    """

    def __init__(
        self, trip: Trip, needs: Needs, rapids: Iterable[str], *, backing: bool = False
    ) -> None:
        """Build the model; `backing` adds the backed ways of aim 5."""
        self.trip, self.needs = trip, needs
        self.v = Variables(trip, rapids)
        self.rules = Rules(self.v)
        self.rules.add_all()
        self.cover = Cover(self.v, needs)
        self.met: dict[DemandKey, cp_model.IntVar] = {}
        self.gap: dict[str, dict[str, Linear]] = {}
        self.unbacked: dict[str, Linear] = {}
        self._by_case = _group_demands(needs)
        for rapid in self.v.rapids:
            self._add_rapid(rapid.name, backing=backing)

    @property
    def model(self) -> cp_model.CpModel:
        """Return the solver's model."""
        return self.v.model

    def total(self, aim: str) -> Linear:
        """Return the value of an aim over all rapids of the model."""
        if aim == "backed":
            return add_up(self.unbacked.values())
        if aim == "mass":
            return add_up(self.rules.kit_g(b) for b in self.v.boats)
        return add_up(gaps[aim] for gaps in self.gap.values())

    def add_balance(self) -> cp_model.IntVar:
        """Return a variable no less than any boat's load in thousandths of its payload."""
        fullest = self.model.new_int_var(0, 1000, "fullest")
        for b in self.v.boats:
            payload = self.trip.boats[b].type.payload_g
            self.model.add(1000 * self.rules.load_g(b) <= payload * fullest)
        return fullest

    def _add_rapid(self, rapid: str, *, backing: bool) -> None:
        cases = [case for case in self.needs.cases.values() if case.key.rapid == rapid]
        gaps: dict[str, list[Linear]] = {"uncovered": [], "one_bank": [], "unmet": []}
        unbacked: list[Linear] = []
        for case in cases:
            demands = self._by_case.get(case.key, [])
            for demand in demands:
                met = self._add_demand(demand)
                gaps["unmet"].append(self.needs.demands[demand] * (1 - met))
            self._add_case(case, demands, gaps)
            if backing:
                unbacked.append(case.weight * (1 - self._add_backed(case, demands)))
        self.gap[rapid] = {aim: add_up(terms) for aim, terms in gaps.items()}
        self.unbacked[rapid] = add_up(unbacked)

    def _add_demand(self, demand: DemandKey) -> cp_model.IntVar:
        """met[d] <= sum over variants ok (family "met")."""
        choice = self.needs.choices[demand.choice]
        met = self.model.new_bool_var(f"met[{','.join(demand)}]")
        ways = [
            self.cover.possible(v, demand.rapid, demand.running, pool=choice.unhurried, spare=0)
            for v in self.cover.list_variants(choice, demand.running)
        ]
        self.model.add_bool_or(ways).only_enforce_if(met)
        self.met[demand] = met
        return met

    def _add_case(
        self, case: Case, demands: list[DemandKey], gaps: dict[str, list[Linear]]
    ) -> None:
        """covered[c,bank] <= sum of met, from there or from the water (family "covered")."""
        covering = [d for d in demands if self.needs.choices[d.choice].covers]
        name = ",".join(case.key)
        anywhere = self.model.new_bool_var(f"covered[{name}]")
        self.model.add_bool_or(self.met[d] for d in covering).only_enforce_if(anywhere)
        gaps["uncovered"].append(case.weight * (1 - anywhere))
        if len(case.banks) > 1:
            both = self.model.new_bool_var(f"both[{name}]")
            for bank in case.banks:
                here = [self.met[d] for d in covering if d.bank in {bank, ""}]
                self.model.add_bool_or(here).only_enforce_if(both)
            self.model.add_implication(both, anywhere)
            gaps["one_bank"].append(case.weight * (1 - both))

    def _add_backed(self, case: Case, demands: list[DemandKey]) -> cp_model.IntVar:
        """backed[c] <= one variant with every right-hand side raised (family "backed")."""
        backed = self.model.new_bool_var(f"backed[{','.join(case.key)}]")
        ways = []
        for demand in demands:
            choice = self.needs.choices[demand.choice]
            if not choice.covers:
                continue
            for variant in self.cover.list_variants(choice, demand.running):
                spared = self.cover.possible(
                    variant, demand.rapid, demand.running, pool=choice.unhurried, spare=1
                )
                self.model.add_implication(spared, self.met[demand])
                ways.append(spared)
        self.model.add_bool_or(ways).only_enforce_if(backed)
        return backed


def _group_demands(needs: Needs) -> dict[CaseKey, list[DemandKey]]:
    groups: dict[CaseKey, list[DemandKey]] = {}
    for demand in needs.demands:
        groups.setdefault(demand.case, []).append(demand)
    return groups
