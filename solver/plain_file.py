"""Files of a bounded size, read and written so that nothing is half done."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from pathlib import Path

from solver.trouble import Fault, Trouble, shown

_RIGHTS = "check its name and who may read it"


def read_text(path: Path, largest_bytes: int, wanted: str) -> str:
    """Read a file of text in UTF-8, with or without a mark at its head.

    path: of the file; largest_bytes: a larger one is not opened; wanted: what it should be.
    Returns: the text. Raises: Trouble.
    """
    data = read_bytes(path, largest_bytes, wanted)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        found = f"bytes that are not UTF-8 text in line {line}"
        fault = Fault(path.name, found, wanted, "save it as text in UTF-8")
        raise Trouble([fault]) from None
    return text.replace("\r\n", "\n")


def read_bytes(path: Path, largest_bytes: int, wanted: str) -> bytes:
    """Read a plain file of a bounded size.

    path: of the file; largest_bytes: a larger one is not opened; wanted: what it should be.
    Returns: its bytes. Raises: Trouble.
    """
    name = shown(path.name or str(path))[1:-1]
    try:
        if not path.exists():
            raise Trouble([Fault(name, "no such file", wanted, "check the name and the folder")])
        if not path.is_file():
            raise Trouble([Fault(name, "no plain file", wanted, "name a file")])
        size = path.stat().st_size
        if size > largest_bytes:
            found = f"{size / 1e6:.0f} MB"
            most = f"{wanted} of at most {largest_bytes / 1e6:.0f} MB"
            raise Trouble([Fault(name, found, most, "check that it is the right file")])
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "a name no file can have"
        fault = Fault(name, f"a file that cannot be read ({reason.lower()})", wanted, _RIGHTS)
        raise Trouble([fault]) from None


def replace_bytes(path: Path, data: bytes, *, beside_as: str = "") -> None:
    """Write a file whole or not at all: beside it first, then in its place.

    path: of the file, which may not be there yet; data: its new bytes; beside_as: what the file
    beside it is called, where a lock sees to it that there is only one. Raises: Trouble.
    """
    beside = ""
    try:
        target = Path(os.path.realpath(path))  # a link stays a link
        if beside_as:  # what a power cut left is written over, not added to
            beside = str(target.with_name(beside_as))
            binary = getattr(os, "O_BINARY", 0)  # Windows alone has it, and needs it
            handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | binary, 0o600)
        else:
            handle, beside = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, beside)
        else:
            os.chmod(beside, 0o644)
        os.replace(beside, target)
        _keep_name(target.parent)
    except (OSError, ValueError) as error:
        if beside and os.path.exists(beside):
            os.unlink(beside)
        reason = (getattr(error, "strerror", None) or "a name no file can have").lower()
        wanted = "a place that can be written"
        fault = Fault(shown(path.name)[1:-1], f"no way to write it ({reason})", wanted, _RIGHTS)
        raise Trouble([fault]) from None


def _keep_name(folder: Path) -> None:
    """Have the disk keep the new name too, where the system lets a folder be opened."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
