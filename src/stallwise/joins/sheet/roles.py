"""What the people of a cook are called on paper: what the cook chose, or no names at all."""

from __future__ import annotations

from stallwise.record.schema import Cook

__all__ = ["roles"]

_USUAL = ("cook", "second pair of hands", "third pair of hands")


def roles(cook: Cook) -> tuple[str, ...]:
    """Give one name for each of the people counted, in order.

    Parameters
    ----------
    cook : Cook
        Its `roles` come first; who has none is a pair of hands.

    Returns
    -------
    tuple of str
        Empty where neither people nor roles are said.
    """
    count = cook.people or len(cook.roles)
    usual = [*_USUAL, *(f"hands {number}" for number in range(len(_USUAL) + 1, count + 1))]
    return tuple(cook.roles[:count]) + tuple(usual[len(cook.roles) : count])
