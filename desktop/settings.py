"""What the window remembers from one day to the next: its size, its choices, its recent jobs."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, fields, replace
from pathlib import Path
from typing import Any

from desktop.disk import config_folder
from solver.plain_file import replace_bytes
from solver.trouble import Trouble
from solver.units import UNITS

THEMES = ("system", "light", "dark")
WORDS = ("", "UK", "US")  # '': as the job says
MOST_RECENT = 8
USUAL_SIZE_PX = (1280, 800)
LEAST_SIZE_PX, MOST_SIZE_PX = (480, 320), (16_000, 16_000)


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything remembered; each has a default, so nothing has to be."""

    width_px: int = USUAL_SIZE_PX[0]
    height_px: int = USUAL_SIZE_PX[1]
    maximised: bool = False
    theme: str = "system"
    large: bool = False  # large type
    shown_unit: str = ""  # '': that of the job
    words: str = ""
    recent: tuple[str, ...] = ()  # paths of job files, the last one first
    last_job: str = ""  # '': the example
    strange: tuple[tuple[str, Any], ...] = field(default=(), compare=False)  # of newer versions

    def with_job(self, path: Path) -> Settings:
        """The settings once a job was opened or saved. path: of its file. Returns them."""
        name = str(path.absolute())
        others = (one for one in self.recent if one != name)
        return replace(self, recent=(name, *others)[:MOST_RECENT], last_job=name)

    def without_job(self, path: Path) -> Settings:
        """The settings once a recent job turned out to be gone. path: of its file. Returns them."""
        name = str(path.absolute())
        last = "" if self.last_job == name else self.last_job
        return replace(self, recent=tuple(one for one in self.recent if one != name), last_job=last)


def settings_path() -> Path:
    """Where the settings are kept. Returns it."""
    return config_folder() / "settings.json"


def load_settings(path: Path | None = None) -> Settings:
    """Read the settings.

    path: of the file; the user's own if not given. Returns: them, with the default for each that is
    missing or makes no sense; a file that is no JSON table is set aside as `.damaged`.
    """
    path = path or settings_path()
    try:
        content = json.loads(path.read_bytes())
        if not isinstance(content, dict):
            raise ValueError("no table")
    except OSError:
        return Settings()  # none yet, or not ours to read: the defaults serve
    except (ValueError, RecursionError):
        with contextlib.suppress(OSError):
            path.replace(path.with_suffix(".damaged"))
        return Settings()
    good = {key: content[key] for key in content if key in _SOUND and _SOUND[key](content[key])}
    if "recent" in good:
        good["recent"] = tuple(dict.fromkeys(good["recent"]))[:MOST_RECENT]
    strange = tuple((key, value) for key, value in content.items() if key not in _SOUND)
    return Settings(**good, strange=strange)


def save_settings(settings: Settings, path: Path | None = None) -> str:
    """Write the settings.

    settings; path: as for load_settings. Returns: '' or, where they cannot be kept, the reason.
    """
    path = path or settings_path()
    content = asdict(settings)
    content = {**dict(content.pop("strange")), **content}
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_bytes(path, (json.dumps(content, indent=1) + "\n").encode("ascii"))
    except Trouble as trouble:
        return trouble.faults[0].found
    except OSError as error:
        return (error.strerror or str(error)).lower()
    return ""


def _whole_between(low: int, high: int) -> Callable[[Any], bool]:
    return lambda value: type(value) is int and low <= value <= high


def _one_of(words: tuple[str, ...]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and value in words


def _is_path(value: Any) -> bool:
    return isinstance(value, str) and "\0" not in value


_SOUND: dict[str, Callable[[Any], bool]] = {
    "width_px": _whole_between(LEAST_SIZE_PX[0], MOST_SIZE_PX[0]),
    "height_px": _whole_between(LEAST_SIZE_PX[1], MOST_SIZE_PX[1]),
    "maximised": lambda value: isinstance(value, bool),
    "theme": _one_of(THEMES),
    "large": lambda value: isinstance(value, bool),
    "shown_unit": _one_of(("", *UNITS)),
    "words": _one_of(WORDS),
    "recent": lambda value: isinstance(value, list) and all(map(_is_path, value)),
    "last_job": _is_path,
}
if {one.name for one in fields(Settings)} != {*_SOUND, "strange"}:
    raise AssertionError("a setting without its check")
