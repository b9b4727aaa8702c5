"""A lock on a file that ends with the process that holds it, however that process ends."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from solver.trouble import Fault, Trouble, shown

WAIT_S = 5.0  # for another program to finish; a booking takes a few hundredths
_HELD = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)  # what systems say of a lock that is held


@contextlib.contextmanager
def held(path: Path, *, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the lock of a file while a block runs.

    path: of the file, whose lock lies beside it as a hidden file and goes with the block; wait_s:
    how long to wait for another program [s]. The system lets go of the lock when its process ends,
    so a lock file that was left behind locks nothing. Raises: Trouble. Limits: a disk that knows no
    locks is refused; a program that asks for no lock, such as a spreadsheet, is not kept out.
    """
    target = Path(os.path.realpath(path))
    file = target.with_name(f".{target.name}.lock")
    lock = _waited_for(file, path, wait_s)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            file.unlink()
        lock.close()


def _waited_for(file: Path, path: Path, wait_s: float) -> IO[bytes]:
    """The lock, once nobody else has it."""
    name, end = shown(path.name)[1:-1], time.monotonic() + wait_s
    while True:
        try:
            lock = locked(file)
        except (OSError, ValueError) as error:
            reason = (getattr(error, "strerror", None) or "a name no file can have").lower()
            found = f"no way to lock it ({reason})"
            way_out = "keep it in a folder of this machine that you may write to"
            raise Trouble(
                [Fault(name, found, "a file of one's own for a while", way_out)]
            ) from None
        if lock is not None and still_there(lock, file):
            return lock
        if lock is not None:
            lock.close()  # whoever had it before has taken the file away
        elif time.monotonic() > end:
            found, wanted = "another program at work on it", "it free"
            raise Trouble([Fault(name, found, wanted, "wait until it is done, then try again")])
        else:
            time.sleep(0.02)


def locked(file: Path) -> IO[bytes] | None:
    """Take a lock that ends with this process.

    file: that is locked, made where it is not there. Returns: the open file, None if another has
    it. Raises: OSError where it cannot be opened or locked at all.
    """
    lock = file.open("ab")
    try:
        if sys.platform == "win32":
            import msvcrt

            lock.seek(0)
            msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(lock.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        lock.close()
        if error.errno not in _HELD:
            raise
        return None
    os.set_inheritable(lock.fileno(), False)
    return lock


def still_there(lock: IO[bytes], file: Path) -> bool:
    """Whether a lock is on the file of that name, and not on one since taken away.

    lock: as taken; file: its name. Returns it.
    """
    try:
        return os.path.samestat(os.fstat(lock.fileno()), file.stat())
    except FileNotFoundError:
        return False
