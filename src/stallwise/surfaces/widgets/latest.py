"""The latest request wins: moves of a slider are never queued.

A kernel reads one message after the other. A move only notes that something changed; the
work is done a moment later, once, with whatever position is the newest by then.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

__all__ = ["Latest"]

#: Pause between a move and its drawing [s]; short enough to feel at once.
PAUSE_S = 0.002

Later = Callable[[float, Callable[[], None]], None]


def _soon(seconds: float, work: Callable[[], None]) -> None:
    """Call on the kernel's loop; at once where none runs (a script, a test)."""
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        work()
    else:
        loop.call_later(seconds, work)


class Latest:
    """Do `work` soon after the newest of any number of requests.

    Parameters
    ----------
    work : callable
        What to do; reads the newest state itself.
    later : callable, optional
        ``later(seconds, work)``; the default is the kernel's event loop.
    rest_s : float, optional
        Work only once nothing was asked for so long [s]: for what nobody waits for while a slider
        moves. The default works a moment after the first request.

    Attributes
    ----------
    generation : int
        Grows with every request: what was made for an older one is not to be shown.
    """

    def __init__(
        self, work: Callable[[], None], later: Later = _soon, *, rest_s: float = 0.0
    ) -> None:
        self._work = work
        self._later = later
        self._rest_s = rest_s
        self._waiting = False
        self.generation = 0

    def ask(self) -> None:
        """Note that something changed."""
        self.generation += 1
        if self._rest_s:
            newest = self.generation
            self._later(self._rest_s, lambda: self._do() if newest == self.generation else None)
        elif not self._waiting:
            self._waiting = True
            self._later(PAUSE_S, self._do)

    def drop(self) -> None:
        """Do not do what waits for a rest: something changed, and is not ready to be worked on."""
        self.generation += 1

    def _do(self) -> None:
        self._waiting = False
        self._work()
