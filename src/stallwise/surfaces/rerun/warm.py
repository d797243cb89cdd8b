"""A process that has imported what every notebook imports, and forks their kernels.

A kernel that starts from nothing spends two seconds of processor on imports. Here they are done
once. No cook's code ever runs in this process, so each kernel begins as clean as one that was
started alone. To fork is sound from a single thread only: where there are more, or no way to
fork, it says so and kernels start the usual way (`stallwise.surfaces.rerun.forked`).
"""

from __future__ import annotations

import contextlib
import json
import os
import select
import shutil
import signal
import socket
import sys
from collections.abc import Iterable
from importlib import import_module
from pathlib import Path
from typing import Any

__all__ = ["WARM", "can_fork", "serve"]

#: Environment of a worker: where the process listens that forks kernels.
WARM = "STALLWISE_WARM"

#: What the cells of a template import in the end.
_MODULES = (
    "ipykernel.kernelapp",
    "ipykernel.zmqshell",
    "IPython.core.completer",
    "altair",
    "vl_convert",
    "ipywidgets",
    "stallwise.joins.ways.whatif",
    "stallwise.pictures.charts",
    "stallwise.surfaces.notebook",
    "stallwise.surfaces.trialcells",
    "stallwise.surfaces.widgets.display",
)
#: Pictures of so many panels are compiled beforehand.
_PANELS = (0, 1, 2, 3)
_REQUEST_BYTES = 1_000_000


def can_fork() -> bool:
    """Whether this system forks soundly: elsewhere libraries keep threads of the system's own."""
    return sys.platform == "linux"


def serve(path: Path) -> None:
    """Fork a kernel for each who asks, until the one who started this process is gone.

    Parameters
    ----------
    path : Path
        Socket to listen at; its folder is the batch's, and goes with it. Who asks sends one line, ``{"argv": …, "env": …, "cwd": …}``, and gets
        the number of the process, or ``no``. When the connection ends, so does the kernel.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGCHLD, _reap)
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(str(path))
        door.listen()
        _load()
        kernels: dict[socket.socket, int] = {}
        while True:
            watched: list[Any] = [0, door, *kernels]
            ready, _, _ = select.select(watched, [], [])
            if 0 in ready:
                break
            if door in ready:
                _answer(door.accept()[0], kernels, door)
            for one in [one for one in kernels if one in ready and not _peek(one)]:
                _end(kernels.pop(one))
                one.close()
        for pid in kernels.values():
            _end(pid)
    # Whoever was killed could not tidy up; otherwise it does the same.
    shutil.rmtree(path.parent, ignore_errors=True)


def _load() -> None:
    for name in _MODULES:
        import_module(name)
    _once()
    _compile()


def _once() -> None:
    """Forecast one made-up piece, so that compiled code is loaded and tables are read."""
    import datetime as dt

    from stallwise.joins.ask import ask, ask_what_if
    from stallwise.models.forecast import forget
    from stallwise.record.cook import CookRecord
    from stallwise.record.schema import SCHEMA, Book, Cook
    from stallwise.record.toml import validated

    said = {"schema": SCHEMA, "title": "warm", "date": dt.date(2027, 9, 25), "serve": "16:00"}
    piece = {"letter": "A", "cut": "pork-shoulder-bone-in", "mass": "8 lb"}
    cook = validated(Cook, {**said, "pieces": [piece]}, where="warm")
    book = validated(Book, {"schema": SCHEMA, "title": "warm"}, where="warm")
    record = CookRecord("warm", cook, book, {}, (), (), {}, {}, {}, None, ())
    settings = {"members": 20}
    at = dt.datetime(2027, 9, 20, tzinfo=dt.UTC)
    ask_what_if(record, ask(record, made_at=at, changes=settings), changes=settings)
    forget()


def _compile() -> None:
    """Compile the pictures in a child, for the compiler starts threads and none may start here."""
    from stallwise.pictures import charts

    reader, writer = os.pipe()
    if os.fork() == 0:
        with contextlib.suppress(BaseException), os.fdopen(writer, "w") as out:
            json.dump({panels: charts.canvas(panels).vega for panels in _PANELS}, out)
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader) as found:
        text = found.read()
    with contextlib.suppress(ValueError):
        for panels, vega in json.loads(text).items():
            charts.take_canvas(int(panels), vega)


def _alone() -> bool:
    """Whether this process has a single thread, those of libraries counted."""
    return len(os.listdir("/proc/self/task")) == 1  # noqa: PTH208 - a count of the system's, no folder


def _answer(
    connection: socket.socket, kernels: dict[socket.socket, int], door: socket.socket
) -> None:
    try:
        request = json.loads(connection.makefile("rb").readline(_REQUEST_BYTES))
        pid = os.fork() if _alone() else -1
        if pid == 0:
            _become(request, (door, connection, *kernels))
        connection.sendall(f"{pid if pid > 0 else 'no'}\n".encode())
    except (OSError, ValueError):
        connection.close()
        return
    if pid > 0:
        kernels[connection] = pid
    else:
        connection.close()


def _become(request: dict[str, Any], inherited: Iterable[socket.socket]) -> None:
    """Turn into a kernel, in the child; never come back."""
    try:
        os.setsid()
        for number in (signal.SIGINT, signal.SIGCHLD):
            signal.signal(number, signal.SIG_DFL)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        for one in inherited:
            one.close()
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.chdir(request["cwd"])
        os.environ.clear()
        os.environ.update(request["env"], JPY_PARENT_PID=str(os.getppid()))
        sys.argv = ["ipykernel_launcher", *request["argv"]]
        import numpy as np
        from ipykernel.kernelapp import launch_new_instance

        np.random.seed()  # noqa: NPY002 - whoever draws from it would draw what the others draw
        launch_new_instance()
    except BaseException as error:  # noqa: BLE001 - whatever it is, this is a child
        print(f"kernel: {type(error).__name__}: {error}", file=sys.stderr)  # noqa: T201
    finally:
        sys.stderr.flush()
        os._exit(0)


def _reap(*_: object) -> None:
    """Let kernels that have ended go."""
    with contextlib.suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def _peek(one: socket.socket) -> bytes:
    try:
        return one.recv(1)
    except OSError:
        return b""


def _end(pid: int) -> None:
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(pid, signal.SIGKILL)


if __name__ == "__main__":
    serve(Path(sys.argv[1]))
