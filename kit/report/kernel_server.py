"""A warm process that forks kernels: what every notebook imports is imported once, each keeps a process of its own.

Started by `kit.report.kernels` as `python -m kit.report.kernel_server FD`. Reads one JSON line for each kernel wanted
(`arguments`, `environment`, `folder`) from the socket FD and answers with one (`pid`). Ends with the process that
started it, and takes its kernels along. Nothing here may start a thread or open a zmq context before the fork.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import json
import os
import random
import select
import signal
import socket
import sys
from importlib import import_module
from typing import Any

PRELOADED = (
    "numpy",
    "pandas",
    "altair",
    "ipykernel.kernelapp",
    "ipykernel.ipkernel",
    "IPython.core.interactiveshell",
    "kit.report.charts",
    "kit.report.pages",
    "kit.report.tables",
)
PR_SET_PDEATHSIG = 1


def serve(requests: socket.socket) -> None:
    """Fork a kernel for each request until the other end is gone, then end the kernels that still run."""
    os.environ["JPY_PARENT_PID"] = str(os.getpid())  # read by ipykernel at import: a kernel with a parent keeps quiet
    for module in PRELOADED:
        import_module(module)
    _draw_once()
    gc.collect()
    gc.freeze()
    children: set[int] = set()
    woken = _wake_on_death()
    lines = requests.makefile("rwb", buffering=0)
    lines.write(b'{"ready": true}\n')
    while True:
        ready, _, _ = select.select([requests.fileno(), woken], [], [])
        if woken in ready:
            os.read(woken, 4096)
            _reap(children)
        if requests.fileno() in ready:
            line = lines.readline()
            if not line:
                break
            children.add(_answer(json.loads(line), requests, lines))
    for pid in children:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(pid, signal.SIGKILL)


def _draw_once() -> None:
    """The first chart of a process reads the grammar it is checked against; do that before the fork."""
    altair, pandas = import_module("altair"), import_module("pandas")
    altair.Chart(pandas.DataFrame({"x": [1.0]})).mark_point().encode(x="x:Q").configure(background="white").to_dict()


def _answer(request: dict[str, Any], requests: socket.socket, lines: Any) -> int:
    server = os.getpid()
    pid = os.fork()
    if pid == 0:
        _become_kernel(request, requests, server)
    lines.write(json.dumps({"pid": pid}).encode() + b"\n")
    return pid


def _become_kernel(request: dict[str, Any], requests: socket.socket, server: int) -> None:
    """In the child: a session, environment and folder of its own, fresh random numbers, then the kernel's loop."""
    code = 1
    try:
        os.setsid()
        _die_with(server)
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        requests.close()
        os.environ.clear()
        os.environ.update(request["environment"])
        os.chdir(request["folder"])
        random.seed()
        import_module("numpy").random.seed()
        sys.argv = ["ipykernel_launcher", *request["arguments"]]
        import_module("ipykernel.kernelapp").IPKernelApp.launch_instance()
        code = 0
    finally:
        os._exit(code)


def _die_with(server: int) -> None:
    """Have Linux end this process when the server ends, by whatever means."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != server:
        os._exit(1)


def _wake_on_death() -> int:
    """A file descriptor that becomes readable when a child ends."""
    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    signal.set_wakeup_fd(writing, warn_on_full_buffer=False)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    return reading


def _reap(children: set[int]) -> None:
    with contextlib.suppress(ChildProcessError):
        while (pid := os.waitpid(-1, os.WNOHANG)[0]) != 0:
            children.discard(pid)


if __name__ == "__main__":
    serve(socket.socket(fileno=int(sys.argv[1])))
