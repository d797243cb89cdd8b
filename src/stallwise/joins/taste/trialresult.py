"""Result of a trial: plain data, unrounded; `stallwise.joins.taste.tastewords` puts it into words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["AlsoResult", "CountResult", "DotRow", "Dots", "Reading", "TrialResult", "dots"]


@dataclass(frozen=True)
class DotRow:
    """One line of the picture.

    Attributes
    ----------
    label : str
        Arm, or empty for a difference.
    dots : tuple of (str, float)
        Taster and value.
    middle, low, high : float or None
        What the tasters say together, and what still fits.
    """

    label: str
    dots: tuple[tuple[str, float], ...]
    middle: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Dots:
    """Each taster's own answer beside what all say together.

    Attributes
    ----------
    low, high : float
        Ends of the scale.
    even : float
        Where nothing differs, or guessing lies.
    left, right : str
        What the ends mean.
    unit : {"votes", "points", "places", "right"}
    rows : tuple of DotRow
    """

    low: float
    high: float
    even: float
    left: str
    right: str
    unit: str
    rows: tuple[DotRow, ...]


@dataclass(frozen=True)
class CountResult:
    """What the eye counted: arm, count, out of how many; how often chance does as much [-]."""

    what: str
    side: str
    arms: tuple[tuple[str, int, int], ...]
    p_value: float | None
    shown: bool


@dataclass(frozen=True)
class AlsoResult:
    """What else stood on the slip: told for each arm and not compared, for many looks find something.

    Attributes
    ----------
    name, kind : str
        What was asked, and on which scale.
    arms : mapping of str to tuple of float
        Values by arm, as they were given.
    """

    name: str
    kind: str
    arms: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True)
class TrialResult:
    """What a trial shows.

    Attributes
    ----------
    name, question, asks, factor : str
    attribute : str
        What was asked, in words.
    arms : tuple of str
    method, reads : str
        Key of the way of asking, and how it is read.
    planned : bool
    state : {"planned", "locked", "noticed", "closed"}
    locked_at, closed_at : datetime or None
    cooks : tuple of str
    tasters, served, answered : int
        Tasters who answered; sets served and answered.
    units : int
        How many count.
    unit : str
        ``taster`` or ``answer``.
    verdict : str
        ``shown``, ``not shown``, ``told`` (counts alone), ``one taster``, ``ties``, ``too few``,
        ``nothing yet``, ``go on``, ``alike``, ``one arm``, ``key closed``.
    leader : str
        Arm that has more, or is liked better, as far as it goes.
    figures : mapping of str to float
        Everything computed, by name.
    dots : Dots or None
    blind : {"blind", "last", "not blind", "not said"}
    look_alike : bool or None
    layout : str
    linear, curved, rack, bones_apart : float or None
        How far place and rack are mixed up with the arm.
    racks_per_arm : int or None
        Where each piece has one arm only.
    served_c, core_c : mapping of str to float
        How warm plates of each arm were, and how hot each arm came off [°C].
    counts : tuple of CountResult
    also : tuple of AlsoResult
    doubts : tuple of str
    changed : mapping
        What of the plan was changed after it was locked.
    words : tuple of (str, str)
        What tasters said in words.
    private : bool
    """

    name: str
    question: str
    asks: str
    factor: str
    attribute: str
    arms: tuple[str, ...]
    method: str
    reads: str
    planned: bool
    state: str
    locked_at: dt.datetime | None
    closed_at: dt.datetime | None
    cooks: tuple[str, ...]
    tasters: int
    served: int
    answered: int
    units: int
    unit: str
    verdict: str
    leader: str = ""
    figures: Mapping[str, float] = field(default_factory=dict)
    dots: Dots | None = None
    blind: str = "not said"
    look_alike: bool | None = None
    layout: str = ""
    linear: float | None = None
    curved: float | None = None
    rack: float | None = None
    bones_apart: float | None = None
    racks_per_arm: int | None = None
    served_c: Mapping[str, float] = field(default_factory=dict)
    core_c: Mapping[str, float] = field(default_factory=dict)
    counts: tuple[CountResult, ...] = ()
    also: tuple[AlsoResult, ...] = ()
    doubts: tuple[str, ...] = ()
    changed: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    words: tuple[tuple[str, str], ...] = ()
    private: bool = False

    @property
    def plated_unseen(self) -> bool:
        """Whether whoever plated knew nothing, or tasted last."""
        return self.blind in {"blind", "last"}

    @property
    def unseen(self) -> bool:
        """Whether nobody who tasted knew which was which, nor could tell by the look."""
        return self.plated_unseen and self.look_alike is not False


@dataclass(frozen=True)
class Reading:
    """What the answers of one way of asking say; see `stallwise.joins.taste.trialresult.TrialResult`."""

    verdict: str
    units: int
    unit: str
    leader: str = ""
    figures: dict[str, float] = field(default_factory=dict)
    dots: Dots | None = None


def dots(values: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """Each taster's own value, in their order."""
    return tuple(sorted(values.items(), key=lambda one: int(one[0][1:])))
