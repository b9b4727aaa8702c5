"""A job that is still being filled in, read for questions that need no readings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from solver.job import PINION_SEATS, Job
from solver.job_file import about_carrier, read_job

_NONE = "no limit"
_STAND_IN = {  # taken out again: nobody sees them
    "limits": {"backlash": _NONE, "pinch": _NONE},
    "readings": [
        {"of": "total clearance", "value": 1, "within": 1},
        {"of": "mesh gap", "value": 1, "within": 1},
    ],
}


def read_job_so_far(table: dict[str, object], source: str, folder: Path) -> Job:
    """Read a job whose limits or readings are not there yet; what is there has to be sound.

    table: as TOML gives it; source: the file's name, for messages; folder: that the drawer's path
    starts from. Returns: the job, without limits and readings where the file has none; then its
    pinion is left out too. Raises: Trouble.
    """
    lacking = [key for key in _STAND_IN if key not in table]
    if not lacking or ("lines" in table and not about_carrier(table)):
        return read_job(table, source, folder)
    kept = {key: value for key, value in table.items() if key != "pinion"}
    seats = kept.get("seats")
    if isinstance(seats, dict):
        kept["seats"] = {key: seats[key] for key in seats if key not in PINION_SEATS}
    job = read_job({**kept, **{key: _STAND_IN[key] for key in lacking}}, source, folder)
    if "readings" in lacking:
        job = replace(job, readings=())
    return replace(job, limits=()) if "limits" in lacking else job
