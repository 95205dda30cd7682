"""Kernels that start in a blink: forked from a warm process where the system can, ordinary ones elsewhere."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any, cast

from jupyter_client.provisioning.factory import KernelProvisionerFactory
from jupyter_client.provisioning.local_provisioner import LocalProvisioner

NAME = "kit-forked"
LAUNCHER = "ipykernel_launcher"
SECONDS_TO_WARM = 60
CAN_FORK = sys.platform == "linux"
"""Forking a process that has numpy loaded is safe here; on other systems it is not to be relied on."""


class _Server:
    """The warm process and the way to ask it for a kernel; safe to ask from several threads."""

    def __init__(self) -> None:
        ours, theirs = socket.socketpair()
        command = [sys.executable, "-P", "-m", "kit.report.kernel_server", str(theirs.fileno())]
        environment = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
        self._process = subprocess.Popen(
            command, pass_fds=[theirs.fileno()], env=environment, stdin=subprocess.DEVNULL, start_new_session=True
        )
        theirs.close()
        ours.settimeout(SECONDS_TO_WARM)
        self._socket, self._lines, self._lock = ours, ours.makefile("rwb", buffering=0), threading.Lock()
        if not self._read().get("ready"):
            raise OSError("the warm process did not start")

    def launch(self, arguments: list[str], environment: dict[str, str], folder: str) -> int:
        """The process id of a new kernel."""
        request = {"arguments": arguments, "environment": environment, "folder": folder}
        with self._lock:
            self._lines.write(json.dumps(request).encode() + b"\n")
            return int(self._read()["pid"])

    def close(self) -> None:
        """End the warm process; it takes its kernels along."""
        self._lines.close()
        self._socket.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(timeout=5)
        if self._process.poll() is None:
            self._process.kill()
            self._process.wait()

    def _read(self) -> dict[str, Any]:
        line = self._lines.readline()
        if not line:
            raise OSError("the warm process is gone")
        return dict(json.loads(line))


class _Process:
    """A kernel that is nobody's child here, with as much of Popen as a provisioner asks for."""

    stdin = stdout = stderr = None

    def __init__(self, pid: int) -> None:
        self.pid = pid

    def poll(self) -> int | None:
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            return 0
        return None

    def wait(self) -> int:
        return 0

    def send_signal(self, signum: int) -> None:
        os.kill(self.pid, signum)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def terminate(self) -> None:
        self.send_signal(signal.SIGTERM)


_server: _Server | None = None


class ForkedProvisioner(LocalProvisioner):
    """Launches a Python kernel by asking the warm process; any other kernel in the ordinary way."""

    async def launch_kernel(self, cmd: list[str], **kwargs: Any) -> Any:
        """Launch, and give how to connect."""
        if _server is None or LAUNCHER not in cmd:
            return await super().launch_kernel(cmd, **kwargs)
        arguments = cmd[cmd.index(LAUNCHER) + 1 :]
        pid = _server.launch(arguments, dict(kwargs.get("env") or os.environ), str(kwargs.get("cwd") or Path.cwd()))
        self.process = cast(Any, _Process(pid))  # as much of Popen as is asked for
        self.pid = self.pgid = pid
        return self.connection_info


@contextmanager
def forked_kernels() -> Iterator[bool]:
    """While this lasts, kernels are forked from a warm process; gives whether they are."""
    global _server
    if not CAN_FORK:
        yield False
        return
    try:
        _server = _Server()
    except OSError:
        yield False
        return
    factory = KernelProvisionerFactory.instance()
    before = factory.default_provisioner_name
    group = KernelProvisionerFactory.GROUP_NAME
    factory.provisioners[NAME] = EntryPoint(NAME, "kit.report.kernels:ForkedProvisioner", group)
    factory.default_provisioner_name = NAME
    try:
        yield True
    finally:
        factory.default_provisioner_name = before
        _server.close()
        _server = None
