"""Hours per pound, the forecast that cooks make without a model: what every score is held against."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

from stallwise.ground.errors import NotFoundError, OutOfRangeError, OutOfRangeWarning
from stallwise.ground.ranges import Range
from stallwise.models.plan import WRAPS, PiecePlan, PitCurve
from stallwise.tables.hours_per_pound import PoundRule, pound_families, pound_rules

__all__ = ["RuleHours", "piece_rule", "rule_family", "rule_forecast", "rule_hours"]

_POUND_KG = 0.45359237
_HOUR_S = 3600.0
# A covered pan keeps the water in as foil does; a boat is open above, as paper half is.
_LIKE = {"none": "none", "paper": "paper", "foil": "foil", "pan": "foil", "boat": "paper"}
# The hours name the pit, and the pit names the hours: a few turns, for the rules jump.
_TURNS = 6

_MASS = Range("mass", 0.05, 60.0, "kg", "one piece")
_PIT = Range("pit temperature", 80.0, 260.0, "°C", "pits that the rules are made for")


@dataclass(frozen=True)
class RuleHours:
    """Hours from meat on to the finish; low and high read as four times in five.

    Attributes
    ----------
    low_h, middle_h, high_h : float
        Hours [h].
    rule : PoundRule
        The row of the table behind them.
    """

    low_h: float
    middle_h: float
    high_h: float
    rule: PoundRule


def rule_family(cut: str) -> str | None:
    """Look up the kind of cut for the rules.

    Parameters
    ----------
    cut : str
        Key of the cut in the catalogue.

    Returns
    -------
    str or None
        Family, as `rule_hours` takes it; None where cooks have no rule of this kind.

    Examples
    --------
    >>> rule_family("pork-picnic")
    'shoulder'
    """
    return pound_families().get(cut)


def rule_hours(family: str, mass_kg: float, pit_c: float, wrap: str = "none") -> RuleHours:
    """Hours to the finish by the rule of thumb.

    Parameters
    ----------
    family : str
        Kind of cut: shoulder, brisket, ribs, bird, bird opened, rib roast, lean roast.
    mass_kg : float
        Mass of one piece as it goes on [kg]; ribs go by the rack.
    pit_c : float
        Pit [°C], the mean over the cook.
    wrap : {"none", "foil", "paper", "boat", "pan"}
        A pan counts as foil, a boat as paper; a family without a rule for it takes the bare one.

    Returns
    -------
    RuleHours

    Raises
    ------
    NotFoundError
        The family or the wrap is unknown.
    OutOfRangeError
        The mass is impossible.

    Warns
    -----
    OutOfRangeWarning
        Outside 80 to 260 °C.

    Notes
    -----
    Common practice in ``data/hours_per_pound.csv``. The rules jump at a few pit temperatures and
    leave out thickness; what they miss most is their own width: about a third of the cooks
    on record end inside.

    References
    ----------
    [common-practice]_, [foodsafety-gov-roasting]_

    Examples
    --------
    An eight-pound shoulder at 250 °F:

    >>> hours = rule_hours("shoulder", 3.63, 121.0)
    >>> round(hours.low_h), round(hours.middle_h), round(hours.high_h)
    (8, 10, 12)
    """
    if wrap not in WRAPS:
        raise NotFoundError("wrap", wrap, WRAPS)
    _MASS.require(mass_kg)
    _PIT.warn(pit_c)
    rules = pound_rules()
    families = {name for name, _ in rules}
    if family not in families:
        raise NotFoundError("kind of cut with a rule of hours per pound", family, families)
    rows = rules.get((family, _LIKE[wrap])) or rules[family, "none"]
    row = next((each for each in rows if pit_c <= each.pit_to_c), rows[-1])
    pounds = mass_kg / _POUND_KG if row.by_mass else 1.0
    low, high = row.low * pounds, row.high * pounds
    return RuleHours(low_h=low, middle_h=(low + high) / 2.0, high_h=high, rule=row)


def rule_forecast(family: str, mass_kg: float, pit: PitCurve, wrap: str = "none") -> RuleHours:
    """Hours by the rule of thumb on a pit that changes: its mean until the middle hour counts.

    Parameters
    ----------
    family, mass_kg, wrap
        As for `rule_hours`.
    pit : PitCurve
        Pit as planned.

    Returns
    -------
    RuleHours

    Raises
    ------
    NotFoundError, OutOfRangeError
        As `rule_hours`.
    """
    found = rule_hours(family, mass_kg, float(pit.at(0.0)), wrap)
    for _ in range(_TURNS):
        end_s = found.middle_h * _HOUR_S
        mean = (float(pit.integral(end_s)) - float(pit.integral(0.0))) / end_s
        found = rule_hours(family, mass_kg, mean, wrap)
    return found


def piece_rule(plan: PiecePlan) -> RuleHours | None:
    """Hours by the rule of thumb for one piece as planned.

    Parameters
    ----------
    plan : PiecePlan
        Its cut, mass, first pit and wrap are used; what was logged is not, nor its finish.

    Returns
    -------
    RuleHours or None
        None where cooks have no rule of this kind for the cut or the mass.

    References
    ----------
    [common-practice]_
    """
    family = rule_family(plan.cut)
    if family is None:
        return None
    with warnings.catch_warnings():
        # Beyond the pits that the rules are made for they still are what a cook would reckon.
        warnings.simplefilter("ignore", OutOfRangeWarning)
        try:
            return rule_forecast(family, plan.body.mass_kg, plan.pit, plan.wrap.kind)
        except OutOfRangeError:
            return None
