"""A limit and an estimate as a Result carries them: facts and rule apart, nothing rounded away."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

__all__ = ["AllergenRow", "Cards", "EstimateResult", "Label", "LimitResult", "TemperatureRow"]


@dataclass(frozen=True)
class LimitResult:
    """One published limit over one piece, probe or liquid.

    Attributes
    ----------
    limit : str
        Which: ``minimum``, ``come_up``, ``hot_hold``, ``left_out``, ``cooling``, ``reheat``,
        ``raw_liquid``, ``probe_check``, ``food_code``, ``roast_table``, ``plant_table``, …
    name : str
        The same in a cook's words.
    piece : str
        Letter; empty for what belongs to no piece.
    state : {"running", "met", "missed", "unknown"}
        By the readings as they are, before any rounding.
    rule : str
        Agency, title, section and year.
    says : str
        What the rule says, in our words.
    needs : tuple of str
        Questions that are open, each with how to answer it.
    facts : tuple of str
        What was read and logged, in words.
    until : datetime or None
        When the clock of a running limit ends.
    source : str
        Key of the rule in ``data/limits_rules.csv``.
    applies, grade : str
        Whom the rule was written for, and the kind of knowledge.
    """

    limit: str
    name: str
    piece: str
    state: str
    rule: str
    says: str
    needs: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()
    until: dt.datetime | None = None
    source: str = ""
    applies: str = ""
    grade: str = ""


@dataclass(frozen=True)
class EstimateResult:
    """What a model makes of the readings; it stands beside the limits and changes none.

    Attributes
    ----------
    estimate : str
        ``lethality`` or ``growth``.
    piece : str
        Letter, or empty.
    low, high : float
        Tenfold steps (log10), least and most.
    warns : bool
        Growth may have gone beyond what the performance standard names.
    text : str
        In words, with what it leaves out.
    sources : tuple of str
        Keys behind it.
    """

    estimate: str
    piece: str
    low: float
    high: float
    warns: bool
    text: str
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class TemperatureRow:
    """One line of the temperature sheet: whose, what it has to reach, and by which rule."""

    letter: str
    name: str
    reach: str
    rule: str


@dataclass(frozen=True)
class AllergenRow:
    """One line of the allergen card: a mix, and what both schemes name in it."""

    name: str
    us: str
    eu: str


@dataclass(frozen=True)
class Label:
    """What is written on a jar or a box: what, since when, and until when by which rule.

    `until` is empty where no rule says it: room to write.
    """

    what: str
    of: str
    since: str
    until: str
    rule: str
    allergens: str


@dataclass(frozen=True)
class Cards:
    """What the temperature sheet and the allergen card say.

    Attributes
    ----------
    temperatures : tuple of TemperatureRow
        Pieces, then what holds for all of them.
    allergens : tuple of AllergenRow
        One for each mix.
    allergens_open : tuple of str
        What the allergen card leaves open, and what is looked for.
    labels : tuple of Label
        For jars and leftovers.
    """

    temperatures: tuple[TemperatureRow, ...] = ()
    allergens: tuple[AllergenRow, ...] = ()
    allergens_open: tuple[str, ...] = ()
    labels: tuple[Label, ...] = ()
