"""Lines added to the end of a file so that none is lost or torn, whatever stops the writer.

One writer at a time holds a lock. What will be added, and where, is first written beside the file and forced to the
disk; then the file grows and is forced to the disk; then the plan is taken away. A writer that was stopped in between
left its plan behind, and the next one finishes it. What cannot be written whole is taken back.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kit.errors import CannotGoOnError

TRIES, BETWEEN_TRIES_S = 1000, 0.02
"""A note is written in a moment; who waits longer than so often for another writer is told so."""


@contextmanager
def locked(file: Path) -> Iterator[None]:
    """Alone with a file; what an earlier writer left half done is finished first.

    Raises
    ------
    CannotGoOnError
        When another writer does not come to an end, or the folder cannot be written.
    """
    with _beside(file, "lock").open("ab") as lock:
        _take(lock.fileno(), file)
        finish(file)
        yield


def append(file: Path, data: bytes) -> None:
    """Add bytes to the end of a file, whole or not at all; call it `locked`.

    Raises
    ------
    OSError
        When they cannot be written; the file is as it was.
    """
    at = file.stat().st_size
    plan = _beside(file, "plan")
    try:
        write_whole(plan, json.dumps({"at": at, "data": data.hex()}).encode("ascii"))
        _write_at(file, at, data)
    finally:
        plan.unlink(missing_ok=True)


def finish(file: Path) -> None:
    """Finish what a stopped writer planned, unless the file was changed by someone else since; call it `locked`."""
    plan = _beside(file, "plan")
    if not plan.exists():
        return
    planned = json.loads(plan.read_bytes())
    data = bytes.fromhex(planned["data"])
    with file.open("rb") as written:
        written.seek(planned["at"])
        tail = written.read()
    if len(tail) < len(data) and data.startswith(tail) and file.stat().st_size >= planned["at"]:
        _write_at(file, planned["at"], data)
    plan.unlink()


def write_whole(file: Path, data: bytes) -> None:
    """Write a file of its own: forced to the disk, then given its name, so that it is whole or not there."""
    part = _beside(file, "part")
    try:
        with part.open("wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        part.replace(file)
        _sync_folder(file.parent)
    finally:
        part.unlink(missing_ok=True)


def _write_at(file: Path, at: int, data: bytes) -> None:
    """Write at a place, forced to the disk; whatever stops it, the file ends there as before."""
    with file.open("r+b", buffering=0) as out:
        try:
            out.seek(at)
            rest = memoryview(data)
            while rest:
                rest = rest[out.write(rest) :]
            os.fsync(out.fileno())
        except OSError:
            out.truncate(at)
            os.fsync(out.fileno())
            raise


def _beside(file: Path, what: str) -> Path:
    return file.with_name(f".{file.name}.{what}")


def _take(lock: int, file: Path) -> None:
    for _ in range(TRIES):
        if _try_lock(lock):
            return
        time.sleep(BETWEEN_TRIES_S)
    raise CannotGoOnError(f"another note is being written into {file.name}; nothing was written, try again")


if sys.platform == "win32":
    import msvcrt

    def _try_lock(lock: int) -> bool:
        try:
            msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _sync_folder(folder: Path) -> None:
        """Nothing to do: the system forces a new name to the disk by itself."""
else:
    import fcntl

    def _try_lock(lock: int) -> bool:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _sync_folder(folder: Path) -> None:
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
