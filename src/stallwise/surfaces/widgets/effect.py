"""What is in effect for one piece: as typed where it was, the cut's own where it was not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stallwise.ground import units
from stallwise.ground.errors import InputError, NotFoundError
from stallwise.joins import words
from stallwise.joins.fire.pitplan import usual_climb
from stallwise.joins.parameters import PARAMETERS
from stallwise.joins.plan import piece_cut, piece_sizes
from stallwise.record.cook import CookRecord
from stallwise.record.schema import Cook, Piece, PitUse
from stallwise.surfaces.desk import Desk
from stallwise.surfaces.widgets.fields import si_of
from stallwise.tables.catalogue import cut as find_cut
from stallwise.tables.catalogue import search

__all__ = ["InEffect", "cut_name", "cut_names", "find_one", "finish_words", "in_effect"]

#: So many cuts are named where several would do.
_MANY = 6


@dataclass(frozen=True)
class InEffect:
    """One piece, its pit and its cook as changed, with the cut's values where nothing is set."""

    cook: Cook
    piece: Piece
    pit: PitUse
    finish: str
    wrap: str
    usual_mass_kg: float
    usual: Mapping[str, float]
    half_m: tuple[float, float, float]
    cut_name: str

    @property
    def measured(self) -> str | None:
        """Thickness as it was measured; None where a word stands for it."""
        return None if self.thickness else self.piece.thickness

    @property
    def cut(self) -> str:
        """Key of the cut."""
        return self.piece.cut

    @property
    def count(self) -> int:
        """Alike pieces."""
        return self.piece.count

    @property
    def thickness(self) -> str:
        """Thin, usual or thick; empty when it was measured."""
        return self.piece.thickness if self.piece.thickness in {"thin", "usual", "thick"} else ""

    @property
    def odds(self) -> str:
        """How sure it must be."""
        return self.cook.odds

    @property
    def climbs(self) -> bool:
        """Whether the pit is set to climb."""
        return bool(self.pit.climb_to) and self.pit.climb_to != self.pit.start

    def typed(self, name: str) -> str | None:
        """Text of a parameter as it stands in the cook; None when it is not set."""
        parameter = PARAMETERS[name]
        if parameter.level == "piece":
            value = getattr(self.piece, parameter.key)
            if value is None and parameter.shared:
                value = getattr(self.cook, parameter.key)
        elif parameter.level == "pit":
            value = getattr(self.pit, parameter.key)
        else:
            value = getattr(
                self.cook.weather if parameter.level == "weather" else self.cook, parameter.key
            )
        if isinstance(value, bool):
            return "yes" if value else "no"
        return None if value is None else str(value)

    def quantity(self, name: str, system: str) -> tuple[str | None, str, float | None]:
        """Text as typed, the hint for an empty box, and the SI value in effect."""
        text, kind = self.typed(name), PARAMETERS[name].kind
        if text is not None:
            return text, "", si_of(kind, text)
        value = self.usual.get(name)
        shown = "" if value is None or kind not in _SHOWN else _SHOWN[kind](value, system)
        return None, shown, value

    def hint(self, name: str, system: str) -> str:
        """Say what an empty box stands for; nothing where that is no one value."""
        value = self.usual.get(name)
        if value is None:
            return ""
        return f"usual {_SHOWN[PARAMETERS[name].kind](value, system)}"

    def folded(self, name: str, changes: Mapping[str, Any]) -> str | None:
        """Text of a field behind the fold."""
        if PARAMETERS[name].level == "run":
            return str(changes[name]) if name in changes else None
        return self.typed(name)

    def start_text(self, system: str) -> str:
        """Pit at first, as text: a climb to it is no climb."""
        return self.pit.start or _temperature(self.usual["pit_start"], system)

    def climb_text(self, system: str) -> str:
        """Pit after a climb that was just asked for."""
        return _temperature(self.usual["pit_climb_to"], system)


def in_effect(desk: Desk, letter: str) -> InEffect:
    """Gather what is in effect for the piece of a letter."""
    cook = desk.cook
    piece = next(piece for piece in cook.pieces if piece.letter == letter)
    entry = piece_cut(desk.record, piece)
    pit = next((pit for pit in cook.pits if pit.letter == piece.pit), None)
    pit = pit or (cook.pits[0] if cook.pits else PitUse())
    half_m = piece_sizes(piece, entry).half_m
    climb = usual_climb(si_of("temperature", pit.start) or entry.pit_c)
    usual = {
        "mass": entry.usual_mass_kg,
        "pit_start": entry.pit_c,
        "pit_climb_to": climb.to_c,
        "pit_climb_from": climb.from_s,
        "pit_climb_over": climb.over_s,
        "wrap_from": entry.wrap.earliest_s,
        "wrap_to": entry.wrap.latest_s,
        "rest": entry.rest_s,
        "start_core": entry.start_core_c,
        "thickness": 2.0 * half_m[0],
        "width": 2.0 * half_m[1],
        "length": 2.0 * half_m[2],
    }
    return InEffect(
        cook,
        piece,
        pit,
        entry.finish(piece.finish).words,
        piece.wrap or entry.wrap.kind,
        entry.usual_mass_kg,
        usual,
        half_m,
        entry.name,
    )


def cut_names(record: CookRecord) -> list[str]:
    """Cuts to choose from, the cook's own among them."""
    return [entry.name for entry in search("", overlay=record.cuts)]


def cut_name(record: CookRecord, key: str) -> str:
    """Name of a cut."""
    return find_cut(key, overlay=record.cuts).name


def finish_words(record: CookRecord, key: str) -> list[tuple[str, str]]:
    """How a cut may be wanted, in words."""
    return [(word, word) for word in find_cut(key, overlay=record.cuts).finish_words]


def find_one(record: CookRecord, text: str) -> str:
    """Key of the one cut that is meant by what was typed.

    Raises
    ------
    InputError
        Several would do; they are named.
    NotFoundError
        None would; the nearest are named.
    """
    entries = search("", overlay=record.cuts)
    said = text.strip().casefold()
    for found in (
        [one for one in entries if said in {one.name.casefold(), one.key}],
        [one for one in entries if said in one.name.casefold()],
        search(text, overlay=record.cuts),
    ):
        if len(found) == 1:
            return found[0].key
    if found:
        names = ", ".join(one.name for one in found[:_MANY])
        more = f" and {len(found) - _MANY} more" if len(found) > _MANY else ""
        raise InputError(f"several cuts are called {text!r}", names + more, "Type more of one")
    raise NotFoundError("cut", text, [name for one in entries for name in (one.name, *one.aliases)])


def _temperature(value_c: float, system: str) -> str:
    return words.temperature(value_c, system).replace("°", "")


_SHOWN = {
    "temperature": words.temperature,
    "mass": words.mass,
    "duration": lambda value, _system: words.hours(value / 3600),
    "length": units.format_length,
    "thickness": units.format_length,
    "clock": lambda value, _system: f"{int(value):02d}:{round(value % 1 * 60):02d}",
}
