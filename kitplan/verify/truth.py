"""What is true of an arrangement: what is met, covered and backed, and what it falls short of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.verify.carried import list_shortfalls
from kitplan.verify.possible import Judge

if TYPE_CHECKING:
    from kitplan.demands import Case, CaseKey, Choice, DemandKey, Needs
    from kitplan.verify.ground import Ground


class Truth:
    """What is true of an arrangement, found out by matching."""

    def __init__(self, ground: Ground, needs: Needs) -> None:
        """Settle every demand, case, backed way and shortfall."""
        self.ground, self.needs = ground, needs
        self.judge = Judge(ground)
        self.met = {key for key in needs.demands if self._is_met(key)}
        self.by_case: dict[CaseKey, list[DemandKey]] = {key: [] for key in needs.cases}
        for key in needs.demands:
            self.by_case[key.case].append(key)
        self.covered = {key: self._list_cover(key) for key in needs.cases}
        self.backed = {key for key in needs.cases if self._is_backed(key)}
        self.shortfalls = list_shortfalls(ground.trip, ground.plan)

    def _is_met(self, key: DemandKey) -> bool:
        choice = self.needs.choices[key.choice]
        return any(
            not self.judge.count_short(choice, variant, key.running).total()
            for variant in self.judge.list_ways(choice, key.running)
        )

    def _list_cover(self, case: CaseKey) -> set[str]:
        """Return the banks a case is covered from, "" for the water."""
        return {
            key.bank
            for key in self.by_case[case]
            if key in self.met and self.needs.choices[key.choice].covers
        }

    def _is_backed(self, case: CaseKey) -> bool:
        return any(
            self.judge.is_backed(self.needs.choices[key.choice], variant, key.running)
            for key in self.by_case[case]
            if key in self.met and self.needs.choices[key.choice].covers
            for variant in self.judge.list_ways(self.needs.choices[key.choice], key.running)
        )

    def count_least(self, choice: Choice, running: str) -> int:
        """Return how many pieces the nearest variant of a choice is short of."""
        return min(
            self.judge.count_short(choice, variant, running).total()
            for variant in self.judge.list_ways(choice, running)
        )

    def list_uncovered(self, case: Case) -> list[str]:
        """Return the banks that count and are not covered; "" where only the water counts."""
        covered = self.covered[case.key]
        if "" in covered:
            return []
        if not case.banks:
            return [""]
        return [bank for bank in case.banks if bank not in covered]

    def count_cover(self, rapid: str) -> tuple[int, int]:
        """Return how many of a rapid's cases are covered, bank by bank, and of how many."""
        rows = [
            (case, bank)
            for case in self.needs.cases.values()
            if case.key.rapid == rapid
            for bank in case.banks or ("",)
        ]
        bare = sum(bank in self.list_uncovered(case) for case, bank in rows)
        return len(rows) - bare, len(rows)

    def list_choices(self, case: Case, bank: str) -> list[Choice]:
        """Return the choices that could cover a case from a bank or from the water."""
        return [
            self.needs.choices[key.choice]
            for key in self.by_case[case.key]
            if key.bank in {bank, ""} and self.needs.choices[key.choice].covers
        ]
