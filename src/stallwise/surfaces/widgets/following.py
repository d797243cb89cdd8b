"""Looking at a file again and again from a notebook: in a thread of its own, so that no panel waits."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from stallwise.record.following import EVERY_S, Look

__all__ = ["Watch"]


class Watch:
    """Look, tell, pause; until it is stopped.

    Parameters
    ----------
    told : callable
        Told each look, on the kernel's own thread.
    every_s : float
        Pause between two looks [s].
    """

    def __init__(self, told: Callable[[Look], None], *, every_s: float = EVERY_S) -> None:
        self._told = told
        self.every_s = every_s
        self._task: asyncio.Task[None] | None = None

    @property
    def runs(self) -> bool:
        """Whether it looks."""
        return self._task is not None and not self._task.done()

    def start(self, look: Callable[[], Look]) -> None:
        """Begin; what ran before is stopped. Without a kernel's loop there is one look."""
        self.stop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._told(look())
            return
        self._task = loop.create_task(self._run(look))

    def stop(self) -> None:
        """Stop; a look under way is finished, and what it brought in stays."""
        if self._task is not None:
            self._task.cancel()
            self._task = None

    async def _run(self, look: Callable[[], Look]) -> None:
        while True:
            self._told(await asyncio.to_thread(look))
            await asyncio.sleep(self.every_s)
