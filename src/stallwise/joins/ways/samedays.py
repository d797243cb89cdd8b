"""The possible days of one piece: drawn once, cooked again under any other plan for it."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from stallwise.models.conformal import widen_stages
from stallwise.models.draws import Draws
from stallwise.models.forecast import PieceForecast, days_of, simulate
from stallwise.models.plan import Knowledge, PiecePlan
from stallwise.tables.parameters import parameter

__all__ = ["LONG_STEP_S", "SameDays"]

_HOUR_S = 3600.0
#: Long steps move a forecast by a minute at most and its difference by less than half of one [s].
LONG_STEP_S = 600.0
#: So many days at most, the usual number: more move the middle of a difference by a minute.
_DAYS = 200


class SameDays:
    """The possible days of one piece.

    Parameters
    ----------
    plan : PiecePlan
        The piece as it stands.
    among : sequence of PiecePlan
        All pieces of the cook: what their probes have read moves the days.
    seed, members, knowledge
        As for `forecast.forecast_pieces`; of more than 200 members 200 are taken.
    """

    def __init__(
        self,
        plan: PiecePlan,
        among: Sequence[PiecePlan],
        *,
        seed: int,
        members: int,
        knowledge: Knowledge,
    ) -> None:
        self.plan = plan
        self.among = among
        self.seed = seed
        self.members = min(members, _DAYS)
        self.knowledge = knowledge
        self.horizon_s = parameter("forecast.horizon").value * _HOUR_S
        self.draws = self._draw(plan)

    def cook(self, plan: PiecePlan) -> PieceForecast:
        """Forecast under a plan; the rest is left out, it comes after what is compared."""
        # A pit's temperature is nothing that is drawn, so those days are there already.
        same = dataclasses.replace(plan, pit=self.plan.pit) == self.plan
        draws = self.draws if same else self._draw(plan)
        short = dataclasses.replace(plan, rest_s=0.0)
        made = simulate(short, draws, horizon_s=self.horizon_s, step_s=LONG_STEP_S)
        now_s = 0.0 if plan.facts is None else plan.facts.as_of_s
        factor = self.knowledge.widening
        return dataclasses.replace(
            made, stages=widen_stages(made.stages, now_s, factor, made.weights)
        )

    def _draw(self, plan: PiecePlan) -> Draws:
        return days_of(
            plan,
            among=self.among,
            seed=self.seed,
            members=self.members,
            knowledge=self.knowledge,
        )
