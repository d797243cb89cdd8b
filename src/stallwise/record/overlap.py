"""Readings that lie over earlier ones of the same probe: the same again, or a choice of the cook's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from stallwise.record.clocks import rfc3339
from stallwise.record.readings import Channel, Dropped, Readings, spot_of

__all__ = ["WAYS", "Laid", "Way", "counted", "lay_over", "masked"]

Way = Literal["skip", "merge", "replace"]

#: Two readings are the same when they differ by less [K]: kept files hold thousandths.
_SAME_K = 0.0011


@dataclass(frozen=True)
class Laid:
    """What is to be added.

    Attributes
    ----------
    channels : tuple of Channel
        Only what is new.
    already : str
        Name of an import that holds some of it.
    question : str
        What has to be said first.
    replaces : tuple of dict
        Stretches of earlier imports that no longer count: file, piece, pit, place, from, to.
    """

    channels: tuple[Channel, ...]
    already: str = ""
    question: str = ""
    replaces: tuple[dict[str, str], ...] = ()


def lay_over(
    channels: Iterable[Channel],
    held: Sequence[Readings],
    way: Way | None,
    *,
    again: Collection[str] = (),
) -> Laid:
    """Tell what of an import is new, and what is in doubt.

    Parameters
    ----------
    channels : iterable of Channel
        As understood.
    held : sequence of Readings
        What the cook has.
    way : {"skip", "merge", "replace"}, optional
        Over a stretch that earlier readings of the same piece or pit and place cover: keep those
        and add nothing; add what has another time; or let the new ones count instead.
        By default readings that are the same again are passed over and others are asked about.
    again : collection of str
        Imports of the same file, read in another way: when replaced, they go as a whole.
    """
    new: list[Channel] = []
    replaces: list[dict[str, str]] = []
    asked: list[str] = []
    already = ""
    for channel in channels:
        mine = [one for one in held if _same_probe(one, channel) and one.at]
        if way == "replace" and all(_name(one) in again for one in mine):
            new.append(channel)
            continue
        already = already or next((_name(one) for one in mine if _meets(one, channel)), "")
        fresh = _without(channel, _held(mine).__contains__)
        clash = [one for one in mine if _clashes(one, channel, fresh)]
        if not clash:
            new.append(fresh)
        elif way is None:
            asked.append(f"{channel.name!r} over {', '.join(sorted(set(map(_name, clash))))}")
        else:
            made, gone = _WAYS[way](channel, fresh, mine)
            new.append(made)
            replaces += gone
    if way == "replace":
        replaces += [_whole(one) for one in held if _name(one) in again and one.at]
    question = ""
    if asked:
        question = (
            f"There are other readings already for the same time: {'; '.join(asked)}. Say --overlap skip "
            "(keep those), --overlap merge (add what has another time) or --overlap replace (count "
            "the new ones; the old ones stay in their file)"
        )
    return Laid(tuple(new), already, question, tuple(replaces))


def counted(laid: Laid, channels: Iterable[Channel]) -> tuple[str, ...]:
    """Say of each channel how many readings are added and how many passed over.

    Parameters
    ----------
    laid : Laid
        What is to be added.
    channels : iterable of Channel
        What came, in the same order.
    """
    return tuple(
        f"{came.name}: {len(made.at)} of {len(came.at)} readings would be added, "
        f"{len(came.at) - len(made.at)} skipped"
        for came, made in zip(channels, laid.channels, strict=True)
    )


def _same_probe(one: Readings, channel: Channel) -> bool:
    return (one.piece, one.pit, spot_of(one)) == (channel.piece, channel.pit, spot_of(channel))


def _name(one: Readings) -> str:
    return one.file.rpartition("/")[2].removesuffix(".csv")


def _meets(one: Readings, channel: Channel) -> bool:
    return bool(channel.at) and one.at[0] <= channel.at[-1] and channel.at[0] <= one.at[-1]


def _held(mine: Sequence[Readings]) -> set[dt.datetime]:
    return {when for one in mine for when in one.at}


def _clashes(one: Readings, channel: Channel, fresh: Channel) -> bool:
    """Whether there is another value at a time, or another time among those held."""
    if not _meets(one, channel):
        return False
    if any(one.at[0] < when < one.at[-1] for when in fresh.at):
        return True
    values: dict[dt.datetime, list[float]] = {}
    for when, value in zip(one.at, one.temperature_c, strict=True):
        if value is not None:
            values.setdefault(when, []).append(value)
    return any(
        when in values and all(abs(value - other) > _SAME_K for other in values[when])
        for when, value in zip(channel.at, channel.temperature_c, strict=True)
    )


def _without(channel: Channel, known: Callable[[dt.datetime], bool]) -> Channel:
    rows = [
        (when, value)
        for when, value in zip(channel.at, channel.temperature_c, strict=True)
        if not known(when)
    ]
    if len(rows) == len(channel.at) and not channel.dropped:
        return channel
    return replace(
        channel,
        at=tuple([when for when, _ in rows]),
        temperature_c=tuple([value for _, value in rows]),
        dropped=tuple(one for one in channel.dropped if not known(one.at)),
    )


_Made = tuple[Channel, list[dict[str, str]]]


def _skip(channel: Channel, fresh: Channel, mine: Sequence[Readings]) -> _Made:
    del channel
    return _without(fresh, lambda when: any(one.at[0] <= when <= one.at[-1] for one in mine)), []


def _merge(channel: Channel, fresh: Channel, mine: Sequence[Readings]) -> _Made:
    if all(one.channel == channel.name for one in mine):
        return fresh, []
    # Another probe in the same piece: only the very same readings are the same again.
    own = _held([one for one in mine if one.channel == channel.name])
    same = {
        (when, round(value, 2))
        for one in mine
        for when, value in zip(one.at, one.temperature_c, strict=True)
        if value is not None
    }
    again = {
        when
        for when, value in zip(channel.at, channel.temperature_c, strict=True)
        if when in own or (when, round(value, 2)) in same
    }
    return _without(channel, again.__contains__), []


def _replace(channel: Channel, fresh: Channel, mine: Sequence[Readings]) -> _Made:
    del fresh
    gone = [_gone(one, channel.at) for one in mine if _meets(one, channel)]
    return channel, list({tuple(each.items()): each for each in gone}.values())


def _gone(one: Readings, at: Sequence[dt.datetime]) -> dict[str, str]:
    return {
        "file": _name(one),
        "piece": one.piece,
        "pit": one.pit,
        "place": one.place,
        "from": rfc3339(at[0]),
        "to": rfc3339(at[-1]),
    }


def _whole(one: Readings) -> dict[str, str]:
    return _gone(one, one.at)


_WAYS: Mapping[str, Callable[[Channel, Channel, Sequence[Readings]], _Made]] = {
    "skip": _skip,
    "merge": _merge,
    "replace": _replace,
}
WAYS: tuple[str, ...] = tuple(_WAYS)


# --- readings that later ones replace -------------------------------------------------


def masked(
    found: Iterable[Readings], told: Mapping[str, Mapping[str, Any]]
) -> tuple[Readings, ...]:
    """Take away the stretches that later imports replaced.

    Parameters
    ----------
    found : iterable of Readings
        As the kept files say.
    told : mapping of str to mapping
        Records of the imports by name; ``replaces`` names what each took the place of.
    """
    gone: dict[tuple[str, str, str, str], list[tuple[dt.datetime, dt.datetime, str]]] = {}
    for name, record in told.items():
        for each in record.get("replaces", ()):
            key = (each["file"], each["piece"], each["pit"], each["place"])
            span = [dt.datetime.fromisoformat(each[end]) for end in ("from", "to")]
            gone.setdefault(key, []).append((span[0], span[1], name))
    if not gone:
        return tuple(found)
    return tuple(
        _mask(one, gone.get((_name(one), one.piece, one.pit, one.place), ())) for one in found
    )


def _mask(one: Readings, spans: Sequence[tuple[dt.datetime, dt.datetime, str]]) -> Readings:
    values = list(one.temperature_c)
    dropped = list(one.dropped)
    for row, (when, value) in enumerate(zip(one.at, one.temperature_c, strict=True)):
        by = next((name for start, end, name in spans if start <= when <= end), "")
        if by and value is not None:
            values[row] = None
            dropped.append(Dropped(when, f"{value:g}", f"replaced by {by}", value))
    dropped.sort(key=lambda each: each.at)
    return replace(one, temperature_c=tuple(values), dropped=tuple(dropped))
