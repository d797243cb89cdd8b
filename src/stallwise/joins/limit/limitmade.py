"""Standings put into results: the rule's words, the figures said, the questions asked."""

from __future__ import annotations

from collections.abc import Iterable

from stallwise.joins.limit.limitfacts import CookFacts
from stallwise.joins.limit.limitpiece import PieceFacts
from stallwise.joins.limit.limitresult import LimitResult
from stallwise.joins.limit.limitsaid import Sayer, beside, question, rest_text, rule_text
from stallwise.models.standing import Standing
from stallwise.tables.limits import Minimum, rule

__all__ = ["NAMES", "Maker"]

#: Limits in a cook's words, and the way in which their figures are said.
NAMES = {
    "minimum": ("temperature inside", "heat"),
    "stuffing": ("temperature of the stuffing", "heat"),
    "come_up": ("time on the way up", "climb"),
    "four_hours": ("house rule on the way up", "climb"),
    "hot_hold": ("held hot", "hold"),
    "left_out": ("time between hot and cold", "wait"),
    "cooling": ("cooling in two stages", "cooling"),
    "reheat": ("reheated", "heat"),
    "reheat_time": ("time to reheat", "again"),
    "raw_liquid": ("liquid that touched raw meat", "heat"),
    "probe_check": ("probe checked", "heat"),
    "food_code": ("food code: cooking", "heat"),
    "roast_table": ("food code: whole roasts", "heat"),
    "food_hold": ("food code: hot holding", "hold"),
    "date": ("food code: last day", "wait"),
    "set_out": ("food code: by the clock", "wait"),
    "plant_table": ("plant table", "heat"),
}


#: Limits that are met by what a probe read; of alike pieces on one line it read so many.
_BY_PROBE = frozenset(
    {"minimum", "stuffing", "come_up", "four_hours", "hot_hold", "food_code", "roast_table",
     "food_hold", "plant_table"}
)  # fmt: skip


class Maker:
    """Makes results of one cook.

    Parameters
    ----------
    facts : CookFacts
        The cook.
    """

    def __init__(self, facts: CookFacts) -> None:
        self.system = facts.record.book.units
        self.say = Sayer(facts.zero, facts.record.zone, facts.cook.date, self.system)

    def piece(
        self,
        limit: str,
        one: PieceFacts,
        standing: Standing,
        rule_key: str,
        *,
        limit_c: float | None = None,
        facts: Iterable[str] = (),
        row: Minimum | None = None,
    ) -> LimitResult:
        """Make the result of a limit over a piece; `row` puts its figures before the rule's words."""
        says = ""
        if row is not None:
            says = f"{row.food}: {beside(row.temperature_c, row.temperature_c, self.system)}"
            says = f"{says[:1].upper()}{says[1:]}{rest_text(row)}."
        impossible = ("unit",) if one.impossible and "readings" in standing.needs else ()
        state, needs = standing.state, (*impossible, *standing.needs)
        read = max(len(one.core), len(one.surface))
        if limit in _BY_PROBE and state == "met" and one.piece.count > read:
            state, needs = "unknown", ("others", *needs)
            facts = (*facts, f"{one.piece.count} alike, {read} of them read")
        return self._made(
            limit,
            one.piece.letter,
            Standing(state, needs, standing.seen),
            rule_key,
            limit_c,
            facts,
            says,
        )

    def cook(
        self,
        limit: str,
        standing: Standing,
        rule_key: str,
        *,
        piece: str = "",
        limit_c: float | None = None,
        facts: Iterable[str] = (),
        says: str = "",
    ) -> LimitResult:
        """Make the result of a limit over something that is no piece."""
        return self._made(limit, piece, standing, rule_key, limit_c, facts, says)

    def _made(
        self,
        limit: str,
        letter: str,
        standing: Standing,
        rule_key: str,
        limit_c: float | None,
        facts: Iterable[str],
        says: str,
    ) -> LimitResult:
        one = rule(rule_key)
        until = standing.seen.get("until_s") if standing.state == "running" else None
        name, kind = NAMES[limit]
        said = [*self.say.said(kind, standing.seen, limit_c), *facts]
        return LimitResult(
            limit=limit,
            name=name,
            piece=letter,
            state=standing.state,
            rule=one.words,
            says=says or rule_text(one.says, self.system),
            needs=tuple(question(need, self.system) for need in dict.fromkeys(standing.needs)),
            facts=tuple(f"{text[:1].upper()}{text[1:]}." for text in said),
            until=None if until is None else self.say.at(until),
            source=f"limits_rules.{one.key}",
            applies=one.applies,
            grade=one.grade_words,
        )
