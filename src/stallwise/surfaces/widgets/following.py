"""Looking at a file again and again from a notebook: in a thread of its own, so that no panel waits."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from stallwise.record.following import EVERY_S, Look

__all__ = ["Watch"]


#: By cook, who looks: a cell that is run again makes a new panel, and the old one's looks end.
_RUNNING: dict[str, Watch] = {}


class Watch:
    """Look, tell, pause; until it is stopped.

    Parameters
    ----------
    cook : str
        Whose file it is; one is watched at a time.
    told : callable
        Told each look, on the kernel's own thread.
    broke : callable
        Told what nobody foresaw; looking ends with it.
    every_s : float
        Pause between two looks [s].
    """

    def __init__(
        self,
        cook: str,
        told: Callable[[Look], None],
        broke: Callable[[Exception], None],
        *,
        every_s: float = EVERY_S,
    ) -> None:
        self._cook = cook
        self._told = told
        self._broke = broke
        self.every_s = every_s
        self._task: asyncio.Task[None] | None = None

    @property
    def runs(self) -> bool:
        """Whether it looks."""
        return self._task is not None and not self._task.done()

    def start(self, look: Callable[[], Look]) -> None:
        """Begin; what ran before is stopped. Without a kernel's loop there is one look."""
        if earlier := _RUNNING.get(self._cook):
            earlier.stop()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self._told(look())
            return
        self._task = loop.create_task(self._run(look))
        _RUNNING[self._cook] = self

    def stop(self) -> None:
        """Stop; a look under way is finished, and what it brought in stays."""
        if self._task is not None:
            self._task.cancel()
            self._task = None
        if _RUNNING.get(self._cook) is self:
            del _RUNNING[self._cook]

    async def _run(self, look: Callable[[], Look]) -> None:
        while True:
            try:
                found = await asyncio.to_thread(look)
            except Exception as error:  # noqa: BLE001 - it would vanish with the task
                self._task = None
                self._broke(error)
                return
            self._told(found)
            await asyncio.sleep(self.every_s)
