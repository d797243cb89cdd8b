"""Starting a kernel by asking the warm process for a fork; the usual way where that cannot be had."""

from __future__ import annotations

import json
import os
import select
import signal
import socket
from contextlib import suppress
from importlib.metadata import EntryPoint
from typing import Any

from jupyter_client.provisioning.factory import KernelProvisionerFactory
from jupyter_client.provisioning.local_provisioner import LocalProvisioner

from stallwise.surfaces.rerun.warm import WARM

__all__ = ["NAME", "WarmProvisioner", "offer"]

#: Name of the way to start a kernel, in its description.
NAME = "stallwise-warm"
_LAUNCHER = "ipykernel_launcher"
#: How long the warm process may take to get ready [s].
_WAIT_S = 120.0


def offer() -> None:
    """Make the way known to jupyter_client, in this process alone."""
    place = f"{__name__}:{WarmProvisioner.__name__}"
    known = KernelProvisionerFactory.instance().provisioners
    known[NAME] = EntryPoint(NAME, place, KernelProvisionerFactory.GROUP_NAME)


class WarmProvisioner(LocalProvisioner):
    """Starts kernels as forks of the warm process, or else as children of this one."""

    #: A child of this process, or a fork of the other one.
    process: Any = None

    async def launch_kernel(self, cmd: list[str], **kwargs: Any) -> Any:
        """Start a kernel; see the class it is made from."""
        process = _forked(cmd, dict(kwargs.get("env") or os.environ), kwargs.get("cwd"))
        if process is None:
            return await super().launch_kernel(cmd, **kwargs)
        self.process = process
        self.pid = self.pgid = process.pid
        self.cwd = kwargs.get("cwd")
        return self.connection_info


def _forked(cmd: list[str], env: dict[str, str], cwd: str | None) -> _Fork | None:
    """Ask for a fork; None where there is no warm process, or it will not."""
    path = os.environ.get(WARM, "")
    if not path or _LAUNCHER not in cmd:
        return None
    request = {
        "argv": cmd[cmd.index(_LAUNCHER) + 1 :],
        "env": env,
        "cwd": str(cwd or os.getcwd()),  # noqa: PTH109 - a text is sent
    }
    connection = socket.socket(socket.AF_UNIX)
    try:
        connection.settimeout(_WAIT_S)
        connection.connect(path)
        connection.sendall(json.dumps(request).encode() + b"\n")
        said = connection.makefile("rb").readline().strip()
        if said.isdigit():
            return _Fork(int(said), connection)
    except OSError:
        pass
    connection.close()
    return None


class _Fork:
    """A process that is not our child, with what is asked of one that is."""

    stdin = stdout = stderr = None

    def __init__(self, pid: int, connection: socket.socket) -> None:
        self.pid = pid
        self.returncode: int | None = None
        self._connection = connection
        self._handle: int | None = None
        with suppress(OSError, AttributeError):  # no such call, or it has ended already
            self._handle = os.pidfd_open(pid)

    def poll(self) -> int | None:
        """Give None while it runs."""
        if self.returncode is None and not self._runs():
            self.returncode = -1
            self._connection.close()
            if self._handle is not None:
                os.close(self._handle)
        return self.returncode

    def _runs(self) -> bool:
        if self._handle is not None:
            return not select.select([self._handle], [], [], 0)[0]
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return False
        return True

    def wait(self) -> int | None:
        """Give how it ended; asked only when it has."""
        return self.poll()

    def send_signal(self, number: int) -> None:
        """Send a signal, if it still runs."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        """End it now."""
        self.send_signal(signal.SIGKILL)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)
