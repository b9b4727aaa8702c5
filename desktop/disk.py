"""What a file was like when it was last seen, and the folders that belong to this program."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

NAME = "shimwright"


@dataclass(frozen=True, slots=True)
class Stamp:
    """What a file was like when it was read or written, to notice another program's hand."""

    size_bytes: int
    changed_ns: int
    digest: str

    def same_bytes(self, other: Stamp | None) -> bool:
        """Whether two stamps are of the same bytes, touched or not. other: or None: no file."""
        return other is not None and (self.size_bytes, self.digest) == (
            other.size_bytes,
            other.digest,
        )


def stamp_of(path: Path, data: bytes | None = None) -> Stamp | None:
    """Take the stamp of a file.

    path: of the file; data: its bytes, where they have been read already.
    Returns: the stamp, or None where no file can be read.
    """
    try:
        changed_ns = path.stat().st_mtime_ns
        if data is None:
            data = path.read_bytes()
    except OSError:
        return None
    return Stamp(len(data), changed_ns, hashlib.sha256(data).hexdigest())


def still_same(path: Path, stamp: Stamp | None) -> bool:
    """Whether a file is as it was when its stamp was taken.

    path: of the file; stamp: None where there was none. Returns it. A file that was only touched is
    the same; one of the same size and time is read all the same, for copying can keep both.
    """
    now = stamp_of(path)
    return now is None if stamp is None else stamp.same_bytes(now)


def state_folder(
    *, platform: str = sys.platform, given: Mapping[str, str] = os.environ, home: Path | None = None
) -> Path:
    """Name the user's folder for drafts; it need not exist yet.

    platform: as `sys.platform`; given: the environment; home: the user's own folder.
    Returns: its path. Source: XDG Base Directory Specification 0.8 for Linux and its like.
    """
    return _own_folder("XDG_STATE_HOME", (".local", "state"), platform, given, home)


def config_folder(
    *, platform: str = sys.platform, given: Mapping[str, str] = os.environ, home: Path | None = None
) -> Path:
    """Name the user's folder for settings; it need not exist yet.

    platform: as `sys.platform`; given: the environment; home: the user's own folder.
    Returns: its path. Source: XDG Base Directory Specification 0.8 for Linux and its like.
    """
    return _own_folder("XDG_CONFIG_HOME", (".config",), platform, given, home)


def _own_folder(
    variable: str,
    default: tuple[str, ...],
    platform: str,
    given: Mapping[str, str],
    home: Path | None,
) -> Path:
    home = home or Path.home()
    if platform == "win32":
        roaming = given.get("APPDATA", "")
        return (Path(roaming) if roaming else home / "AppData" / "Roaming") / NAME
    if platform == "darwin":
        return home / "Library" / "Application Support" / NAME
    named = given.get(variable, "")
    # The specification has relative paths ignored.
    folder = Path(named) if named.startswith("/") else home.joinpath(*default)
    return folder / NAME
