"""The same work on a dask cluster: the only door to distributed.

Figures travel by value: the record of a cook goes out, its figures come back, and only this
process writes. A notebook is executed beside a cookbook that the cluster's machines share. A worker
that dies takes no result with it, for its work is done again by another.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from stallwise.ground.errors import InputError
from stallwise.surfaces.rerun.batch import Done, team, with_retry
from stallwise.surfaces.rerun.engine import Item, Trouble, attempt
from stallwise.surfaces.rerun.execute import STATES, Job, Run
from stallwise.surfaces.rerun.keys import program

__all__ = ["Cluster"]

#: How long the scheduler, or a first worker, may take to answer [s].
_ANSWER_S = 10.0
#: How long a cluster may be without any worker before it is given up [s].
_ALONE_S = 30.0
_LOOK_S = 2.0
#: Work that waits at a worker beside what it is doing.
_AHEAD = 2


class Cluster:
    """An engine (`stallwise.surfaces.rerun.engine`) on the workers of a dask scheduler.

    Parameters
    ----------
    address : str
        Of the scheduler, such as ``tcp://127.0.0.1:8786``. Whoever answers there runs code with
        the rights of its workers, and gets to read the cooks that are sent.
    """

    def __init__(self, address: str) -> None:
        self.address = address

    def each(
        self, work: Callable[..., Any], items: Iterable[Item]
    ) -> Iterator[tuple[str, Any | Trouble]]:
        """Give the outcome for each item as it comes; nobody there is an outcome for all."""
        client = _client(self.address)
        if isinstance(client, Trouble):
            yield from ((name, client) for name, _ in items)
            return
        with client:
            yield from _Flight(client, work, self.address).outcomes(iter(items))

    def run_all(self, jobs: Mapping[str, Job], done: Done) -> dict[str, Run]:
        """Execute notebooks; see `stallwise.surfaces.rerun.batch.run_all`."""
        runs = {}
        try:
            items = ((name, {"job": asdict(job)}) for name, job in jobs.items())
            for name, outcome in self.each(_execute, items):
                if isinstance(outcome, Trouble):
                    run = Run(outcome.state, outcome.message)
                else:
                    run = Run(**outcome)
                runs[name] = run
                done(name, run)
        except KeyboardInterrupt:
            pass
        stopped = Run("stopped", STATES["stopped"])
        return {name: runs.get(name, stopped) for name in jobs}


class _Flight:
    """Items on their way: never more of them than the workers can do soon."""

    def __init__(self, client: Any, work: Callable[..., Any], address: str) -> None:
        self._client = client
        self._work = work
        self._address = address
        self._token = os.urandom(4).hex()
        self._out: dict[Any, str] = {}
        self._alone_s = 0.0

    def outcomes(self, items: Iterator[Item]) -> Iterator[tuple[str, Any | Trouble]]:
        """Send, wait, give back; when no worker is left, so is an outcome for what is open."""
        try:
            while self._send(items):
                settled = self._settled()
                self._alone_s = 0.0 if settled or self._threads() else self._alone_s + _LOOK_S
                for future in settled:
                    yield self._out.pop(future), self._outcome(future)
                if self._alone_s >= _ALONE_S:
                    break
            gone = Trouble("no cluster", f"no worker is left at {self._address}")
            rest = [*self._out.values(), *(name for name, _ in items)]
            yield from ((name, gone) for name in rest)
        finally:
            with suppress(Exception):
                self._client.cancel(list(self._out))

    def _settled(self) -> set[Any]:
        """Wait a little for what is on its way; what of it has an outcome."""
        from distributed import wait

        with self._client.as_current(), suppress(TimeoutError):
            flying = list(self._out)
            return set(wait(flying, timeout=_LOOK_S, return_when="FIRST_COMPLETED").done)
        return set()

    def _send(self, items: Iterator[Item]) -> bool:
        """Send as much as there is room for; whether anything is on its way."""
        room = max(self._threads() * (1 + _AHEAD), 1)
        while len(self._out) < room:
            item = next(items, None)
            if item is None:
                break
            name, arguments = item
            future = self._client.submit(
                _attempt,
                self._work,
                arguments,
                program(),
                key=f"{self._work.__name__}-{self._token}-{name}",
                pure=False,
            )
            self._out[future] = name
        return bool(self._out)

    def _threads(self) -> int:
        with suppress(OSError, TimeoutError):
            workers = self._client.scheduler_info(n_workers=-1)["workers"]
            return sum(worker["nthreads"] for worker in workers.values())
        return 0

    def _outcome(self, future: Any) -> Any | Trouble:
        if future.status == "finished":
            try:
                return future.result(timeout=_ANSWER_S)
            except Exception as error:  # noqa: BLE001 - it came from elsewhere
                return Trouble("no cluster", f"the result did not arrive: {_said(error)}")
        if future.status == "error":
            raised = future.exception()
            if type(raised).__name__ == "KilledWorker":
                return Trouble(
                    "kernel lost", "several workers of the cluster died while they had it"
                )
            return Trouble("failed", _said(raised))
        return Trouble("no cluster", f"the scheduler at {self._address} let it go")


def _client(address: str) -> Any | Trouble:
    """Open a connection that has a worker behind it."""
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            "dask is not installed here", "", "Install it with: pip install 'stallwise[batch]'"
        ) from None
    _known_form(address)
    nobody = Trouble("no cluster", f"nobody answers at {address}; nothing was run")
    # What it would print of a lost connection is told in a row.
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        client = Client(address, timeout=_ANSWER_S, set_as_default=False)
    except (OSError, TimeoutError):
        return nobody
    try:
        client.wait_for_workers(1, timeout=_ANSWER_S)
    except TimeoutError:
        client.close()
        return Trouble("no cluster", f"the scheduler at {address} has no worker; nothing was run")
    return client


def _known_form(address: str) -> None:
    """Refuse what is no address before anybody is asked."""
    from distributed.comm.addressing import parse_address, parse_host_port

    try:
        parse_host_port(parse_address(address, strict=True)[1])
    except ValueError:
        raise InputError(
            f"--dask {address!r} is no address of a scheduler", "such as tcp://127.0.0.1:8786"
        ) from None


def _attempt(work: Callable[..., Any], arguments: dict[str, Any], wanted: str) -> Any | Trouble:
    """Do one piece of work on a worker, if it is of the same release."""
    if program() != wanted:
        return Trouble(
            "no cluster", f"a worker runs stallwise {program()[:14]}…, here it is {wanted[:14]}…"
        )
    return attempt(work, arguments)


def _execute(job: dict[str, Any]) -> dict[str, Any]:
    """Execute a notebook on a worker, in a process of its own."""
    one = Job(**job)
    if not (Path(one.folder) / "cook.toml").is_file():
        said = "a worker of the cluster does not see the cookbook's folder; --numbers needs none"
        return asdict(Run("failed", said))
    # Of this very process: one that was taken for dead and is not writes to a file of its own.
    one = replace(one, run=f"{one.run}-{os.getpid()}")
    with team(1, warm=False) as ((worker,), _):
        return asdict(with_retry(worker, one))


def _said(error: BaseException | None) -> str:
    return f"{type(error).__name__}: {error}"
