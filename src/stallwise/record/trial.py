"""A trial as it is written down: ``trials/<name>.toml``, its key and its answers apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import AwareDatetime, Field, field_validator

from stallwise.record.fields import FileName, Letter, Temperature, Text
from stallwise.record.letters import Place
from stallwise.record.table import Crossed, Table

__all__ = [
    "PLANNED",
    "Answer",
    "Asks",
    "Count",
    "KeyRow",
    "OwnAttribute",
    "Plater",
    "Rack",
    "Trial",
    "TrialRecord",
    "plan_of",
]

Asks = Literal["like", "more", "tell"]
Plater = Literal["someone else", "the cook, tasting last", "the cook"]
Name = Annotated[str, Field(min_length=1, max_length=80)]

#: What is locked before the first score; a change after that is shown.
PLANNED = (
    "question", "asks", "factor", "arms", "method", "attribute", "also", "expect", "layout",
    "tasters", "sets", "each", "seed",
)  # fmt: skip


class Rack(Table):
    """A piece whose bones (or slices, or portions) are laid: counted from the thick end."""

    cook: FileName
    piece: Letter
    bones: Annotated[int, Field(ge=1, le=60)]


class Count(Table):
    """What the eye counted: bones bare, bones lost, slices torn; `side` where it was counted by side."""

    what: Name
    arm: Name
    side: str = ""
    count: Annotated[int, Field(ge=0, le=10_000)]
    out_of: Annotated[int, Field(ge=1, le=10_000)]


class OwnAttribute(Table):
    """A thing to ask that the shipped table does not have."""

    key: Annotated[str, Field(pattern="^[a-z][a-z0-9-]*$", max_length=40)]
    question: Name
    kind: Literal["line", "right", "count", "millimetres", "yes or no"]
    name: str | None = None
    low: str | None = None
    high: str | None = None


class Locked(Table):
    """The plan as it stood before the first score."""

    at: AwareDatetime
    plan: dict[str, Any] = Field(default_factory=dict)


class Closed(Table):
    """When the answers were all in, and the key was opened."""

    at: AwareDatetime


class Trial(Crossed):
    """A side-by-side over one or several cooks (``trials/<name>.toml``), which `cooks` names.

    `planned` is false for what was noticed afterwards. `expect` names the arm that should have
    more, written down beforehand; `each` is how many of many arms one taster gets. `also` is asked after the main thing, on the same slip.
    """

    question: Text
    asks: Asks
    factor: Name
    arms: Annotated[list[Name], Field(min_length=1, max_length=9)]
    planned: bool = True
    method: Name
    attribute: Name = "liking"
    #: With the main thing five on a slip; data/tasting_rules.csv says so, a test compares.
    also: Annotated[list[Name], Field(max_length=4)] = Field(default_factory=list)
    expect: Name | None = None
    layout: Name | None = None
    cooks: Annotated[list[FileName], Field(max_length=200)] = Field(default_factory=list)
    racks: Annotated[list[Rack], Field(max_length=60)] = Field(default_factory=list)
    tasters: Annotated[int, Field(ge=1, le=200)]
    sets: Annotated[int, Field(ge=1, le=24)] = 1
    each: Annotated[int, Field(ge=2, le=9)] | None = None
    seed: Annotated[int, Field(ge=0, le=10**9)] = 1
    plated_by: Plater | None = None
    look_alike: bool | None = None
    cleanser: Text = ""
    warm_up: bool = True
    core_off: Annotated[list[Temperature], Field(max_length=9)] = Field(default_factory=list)
    counts: Annotated[list[Count], Field(max_length=400)] = Field(default_factory=list)
    own: Annotated[list[OwnAttribute], Field(max_length=60)] = Field(default_factory=list)
    private: bool = False
    note: Text = ""
    locked: Locked | None = None
    closed: Closed | None = None

    @property
    def all_cooks(self) -> tuple[str, ...]:
        """Names of the cooks it takes place in, in their order."""
        return tuple(dict.fromkeys([*self.cooks, *(rack.cook for rack in self.racks)]))

    @field_validator("arms")
    @classmethod
    def _stripped(cls, arms: list[str]) -> list[str]:
        return [arm.strip() for arm in arms]

    @staticmethod
    def faults_of(data: Mapping[str, Any]) -> list[tuple[Place, str, str]]:
        """List arms that come twice or are not there."""
        arms = data.get("arms")
        if not isinstance(arms, list):
            return []
        there = [arm.strip() for arm in arms if isinstance(arm, str)]
        found: list[tuple[Place, str, str]] = []
        for at, arm in enumerate(there):
            if arm in there[:at]:
                found.append((("arms", at), f"{arm!r} comes twice", "each arm once"))
        named: list[tuple[Place, Any]] = [(("expect",), data.get("expect"))]
        counts = data.get("counts")
        for at, one in enumerate(counts if isinstance(counts, list) else []):
            if isinstance(one, Mapping):
                named.append((("counts", at, "arm"), one.get("arm")))
        found += [
            (place, f"{arm!r} is no arm of this trial", " or ".join(map(repr, there)))
            for place, arm in named
            if isinstance(arm, str) and arm not in there
        ]
        return found


@dataclass(frozen=True)
class KeyRow:
    """One plate of the key.

    Attributes
    ----------
    cook : str
        Name of its folder.
    taster : str
        ``T1``, ``T2`` …
    set : int
        Plates that are asked about together.
    place : int
        In the order of eating.
    code : str
        Three digits.
    arm : str
    piece : str
        Letter of the rack; empty where no bone was named.
    bone : int
        From the thick end; 0 likewise.
    """

    cook: str
    taster: str
    set: int
    place: int
    code: str
    arm: str
    piece: str = ""
    bone: int = 0


@dataclass(frozen=True)
class Answer:
    """One row of ``tastings.csv``.

    Attributes
    ----------
    line : int
        In the file, from 1.
    cook, trial, taster : str
    codes : tuple of str
        Plate or plates it is about; names of arms where there was no key.
    asked : str
        Key of what was asked.
    said : str
        A number, ``neither``, ``same`` …; empty where the codes are the answer.
    """

    line: int
    cook: str
    trial: str
    taster: str
    codes: tuple[str, ...]
    asked: str
    said: str


@dataclass(frozen=True)
class TrialRecord:
    """A trial with its key and its answers, over all its cooks."""

    name: str
    trial: Trial
    key: tuple[KeyRow, ...]
    answers: tuple[Answer, ...]

    @property
    def state(self) -> str:
        """``planned``, ``locked``, ``closed``, or ``noticed`` for what nobody planned."""
        if self.trial.closed:
            return "closed"
        if not self.trial.planned:
            return "noticed"
        return "locked" if self.trial.locked else "planned"

    @property
    def changed(self) -> dict[str, tuple[Any, Any]]:
        """What of the plan was changed after it was locked: before and now, by key."""
        if self.trial.locked is None:
            return {}
        now = plan_of(self.trial)
        was = self.trial.locked.plan
        return {
            key: (was.get(key), now.get(key)) for key in PLANNED if was.get(key) != now.get(key)
        }


def plan_of(trial: Trial) -> dict[str, Any]:
    """Take the part of a trial that is locked, as plain data."""
    plain = trial.model_dump(mode="json", exclude_none=True, exclude_defaults=False)
    return {key: plain[key] for key in PLANNED if key in plain}
