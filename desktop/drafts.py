"""Work kept as it is typed, offered back after a crash or a power cut.

Each open window keeps one draft, and holds a lock beside it for as long as it lives. The system
lets go of the lock however the program ends, so a draft with no hand on its lock was left behind.
"""

from __future__ import annotations

import base64
import contextlib
import json
import secrets
import time
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from desktop.disk import Stamp, state_folder
from desktop.document import Document
from desktop.toml_text import table_of, toml_with
from solver.drawer_sheet import Sheet, bytes_of, sheet_of
from solver.file_lock import locked, still_there
from solver.plain_file import replace_bytes
from solver.trouble import Trouble

VERSION = 1
DAMAGED_KEPT = 5  # of drafts that cannot be read; older ones go


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """A draft of a window that did not end as it should."""

    file: Path
    document: Document
    kept_at_s: float  # seconds since the epoch

    @property
    def name(self) -> str:
        """What to call the job it is of."""
        title = self.document.table.get("title")
        return title if isinstance(title, str) and title.strip() else self.document.name


class DraftKeeper:
    """Keeps one window's draft."""

    def __init__(self, folder: Path | None = None) -> None:
        """folder: for the draft; the user's own state folder if not given."""
        self._folder = folder or state_folder() / "drafts"
        self._file = self._folder / f"{time.strftime('%Y%m%d-%H%M%S')}-{secrets.token_hex(4)}.json"
        self._lock: IO[bytes] | None = None

    def keep(self, document: Document) -> str:
        """Keep the work as it is now.

        document: with unsaved work; one without takes the draft away. Returns: '' or, where it
        cannot be kept, the reason in words; nobody's work stops for it.
        """
        if not document.unsaved:
            self.drop()
            return ""
        try:
            self._take_lock()
            replace_bytes(self._file, _written(document))
        except Trouble as trouble:
            return trouble.faults[0].found
        except OSError as error:
            return (error.strerror or str(error)).lower()
        return ""

    def drop(self) -> None:
        """Take the draft away: its work is saved, or given up by its owner."""
        with contextlib.suppress(OSError):
            self._file.unlink()

    def close(self) -> None:
        """Take the draft and its lock away: the window ends as it should."""
        self.drop()
        if self._lock is not None:
            self._lock.close()
            self._lock = None
            with contextlib.suppress(OSError):
                _lock_of(self._file).unlink()

    def _take_lock(self) -> None:
        if self._lock is None:
            self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            lock = _lock_of(self._file)
            self._lock = locked(lock)
            # Another window, clearing up, may have taken the file away between making and locking.
            while self._lock is not None and not still_there(self._lock, lock):
                self._lock.close()
                self._lock = locked(lock)
            if self._lock is None:
                raise OSError("its lock is held")


def left_behind(folder: Path | None = None) -> tuple[LeftBehind, ...]:
    """Find what windows that crashed have left behind.

    folder: as for DraftKeeper. Returns: the drafts, the newest first; one that cannot be read is
    set aside with `.damaged` at its name.
    """
    folder = folder or state_folder() / "drafts"
    found = []
    for file in folder.glob("*.json"):
        if not _abandoned(_lock_of(file)):
            continue  # its window is open
        try:
            found.append(_read(file))
        except (OSError, ValueError, KeyError, TypeError, RecursionError, Trouble):
            _set_aside(file)
    _clear_locks(folder)
    return tuple(sorted(found, key=lambda draft: -draft.kept_at_s))


def discard(draft: LeftBehind) -> None:
    """Take a draft away, once its work goes on in a window or is not wanted. draft."""
    for file in (draft.file, _lock_of(draft.file)):
        with contextlib.suppress(OSError):
            file.unlink()


def _written(document: Document) -> bytes:
    """A draft as bytes: both texts as they would be saved, and what they started from."""
    text, _ = toml_with(document.source, document.table)
    content = {
        "version": VERSION,
        "kept_at_s": time.time(),
        "path": _text_of(document.path),
        "drawer_path": _text_of(document.drawer_path),
        "source": document.source,
        "text": text,
        "saved": document.path is not None,
        "sheet": _packed(document.sheet),
        "saved_sheet": _packed(document.saved_sheet),
        "sheet_name": document.sheet.source if document.sheet else "",
        "job_stamp": _stamp_list(document.job_stamp),
        "drawer_stamp": _stamp_list(document.drawer_stamp),
    }
    return json.dumps(content).encode("ascii")


def _read(file: Path) -> LeftBehind:
    content: dict[str, Any] = json.loads(file.read_bytes())
    if content["version"] != VERSION:
        raise ValueError("a draft of another version")
    name = content["sheet_name"]
    sheet, saved_sheet = (
        None if content[key] is None else sheet_of(base64.b64decode(content[key]), name)
        for key in ("sheet", "saved_sheet")
    )
    source = content["source"]
    document = Document(
        table=table_of(content["text"]),
        sheet=sheet,
        path=_path_of(content["path"]),
        drawer_path=_path_of(content["drawer_path"]),
        source=source,
        saved_table=table_of(source) if content["saved"] else None,
        saved_sheet=saved_sheet,
        job_stamp=_stamp_of_list(content["job_stamp"]),
        drawer_stamp=_stamp_of_list(content["drawer_stamp"]),
    )
    return LeftBehind(file, document, float(content["kept_at_s"]))


def _packed(sheet: Sheet | None) -> str | None:
    return None if sheet is None else base64.b64encode(bytes_of(sheet)).decode("ascii")


def _text_of(path: Path | None) -> str | None:
    return None if path is None else str(path.absolute())


def _path_of(text: str | None) -> Path | None:
    return None if text is None else Path(text)


def _stamp_list(stamp: Stamp | None) -> list[int | str] | None:
    return None if stamp is None else [stamp.size_bytes, stamp.changed_ns, stamp.digest]


def _stamp_of_list(parts: list[Any] | None) -> Stamp | None:
    return None if parts is None else Stamp(int(parts[0]), int(parts[1]), str(parts[2]))


def _set_aside(file: Path) -> None:
    with contextlib.suppress(OSError):
        file.replace(file.with_suffix(".damaged"))
        for old in sorted(file.parent.glob("*.damaged"))[:-DAMAGED_KEPT]:
            old.unlink()


def _clear_locks(folder: Path) -> None:
    """Take away locks whose window crashed with nothing unsaved."""
    for file in folder.glob("*.lock"):
        if file.with_suffix(".json").exists():
            continue
        if _abandoned(file):
            with contextlib.suppress(OSError):
                file.unlink()


def _abandoned(file: Path) -> bool:
    """Whether nobody holds a lock; one that cannot even be tried counts as held."""
    try:
        lock = locked(file)
    except OSError:
        return False
    if lock is None:
        return False
    lock.close()
    return True


def _lock_of(file: Path) -> Path:
    return file.with_suffix(".lock")
