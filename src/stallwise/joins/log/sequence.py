"""Times run forward down a sheet: which readings of its times fit together."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["SLACK_S", "settle"]

#: A step back of so little [s] is two things that happened together.
SLACK_S = 300.0


def settle(options: Sequence[Sequence[float]]) -> list[tuple[float, ...]]:
    """Keep the readings of each line's time that fit the most other lines.

    Parameters
    ----------
    options : sequence of sequences of float
        For each line, in the order of the sheet, the times [s] that it can mean.

    Returns
    -------
    list of tuple of float
        One: the line is clear. Several: it can be read in as many ways. None: it stands
        out of order, or contends with another line over which of the two does.
    """
    before = _longest(options)
    after = _longest([[-at for at in line] for line in reversed(options)])[::-1]
    best = max((a for line in before for a in line), default=0)
    fits = [
        [at for at, a, b in zip(line, ahead, behind, strict=True) if a + b - 1 == best]
        for line, ahead, behind in zip(options, before, after, strict=True)
    ]
    # Two lines that could both be the n-th of a longest run cannot both be in it.
    rank: dict[int, set[int]] = {}
    for index, (line, ahead) in enumerate(zip(options, before, strict=True)):
        for at, a in zip(line, ahead, strict=True):
            if at in fits[index]:
                rank.setdefault(a, set()).add(index)
    contended = {index for lines in rank.values() if len(lines) > 1 for index in lines}
    return [() if index in contended else tuple(line) for index, line in enumerate(fits)]


def _longest(options: Sequence[Sequence[float]]) -> list[list[int]]:
    """For each reading, how many lines up to it can stand in order with it."""
    found: list[list[int]] = []
    for index, line in enumerate(options):
        lengths = []
        for at in line:
            ahead = (
                length
                for earlier in range(index)
                for was, length in zip(options[earlier], found[earlier], strict=True)
                if was <= at + SLACK_S
            )
            lengths.append(1 + max(ahead, default=0))
        found.append(lengths)
    return found
