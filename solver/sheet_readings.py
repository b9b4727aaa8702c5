"""Readings as they were taken, one line each, for the bench sheet."""

from __future__ import annotations

from dataclasses import dataclass

from solver.job import DIRECTIONS, Job, Reading, Stack
from solver.report_words import TRADE_WORDS, UNIT_SHOWN, bare_length, length

MOST_VALUES = 8  # more are told by their number, mean and ends


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading."""

    number: str
    of: str
    read: str
    tool: str
    how: str  # what was fitted, where it was read, how warm, the note


def reading_rows(job: Job) -> tuple[ReadingRow, ...]:
    """Say every reading that counts. job. Returns: a row each, in the file's order."""
    return tuple(_row(reading, job) for reading in job.readings)


def _row(reading: Reading, job: Job) -> ReadingRow:
    name = TRADE_WORDS[job.words].end_float if reading.of == "end float" else reading.of
    if reading.of == "pinion end float":
        name = TRADE_WORDS[job.words].result(reading.of)
    tool = reading.tool.name if reading.tool else f"within {length(reading.within_um, job.unit)}"
    how = "; ".join(part for part in _circumstances(reading, job) if part)
    return ReadingRow(str(reading.number), name, _read(reading, job.unit), tool, how)


def _read(reading: Reading, unit: str) -> str:
    """What the tool showed."""
    if reading.at_least_um is not None:
        return f"{length(reading.at_least_um, unit, True)}, thickest leaf, goes"
    if reading.at_most_um is not None:
        return f"no more than {length(reading.at_most_um, unit, True)} to be felt"
    if reading.stops_um is not None:
        goes = bare_length(max(reading.goes_um), unit, True)
        return f"{goes} goes, {length(reading.stops_um, unit, True)} stops"
    if reading.around_um:
        return f"{_listed(reading.around_um, unit)} round the wheel"
    if reading.goes_um:
        return f"{_listed(reading.goes_um, unit)} goes"
    return _listed(reading.values_um, unit)


def _listed(values_um: tuple[float, ...], unit: str) -> str:
    if len(values_um) > MOST_VALUES:
        ends = f"{bare_length(min(values_um), unit)} to {length(max(values_um), unit)}"
        mean = bare_length(sum(values_um) / len(values_um), unit)
        return f"{len(values_um)} readings, mean {mean}, {ends}"
    shown = [bare_length(value_um, unit, True) for value_um in values_um]
    return f"{', '.join(shown)} {UNIT_SHOWN[unit]}"


def _circumstances(reading: Reading, job: Job) -> list[str]:
    spot = reading.spot
    where = spot.read if spot.read != DIRECTIONS[0] else ""
    if spot.radius_um is not None:
        where += f" {length(spot.radius_um, job.unit, True)} from the axis"
    if spot.lever_deg:
        where += f" lever at {spot.lever_deg:g} degrees"
    return [
        f"{reading.leaves} leaves" if reading.leaves > 1 else "",
        f"with {', '.join(_fitted(stack, job.unit) for stack in reading.fitted)}"
        if reading.fitted
        else "",
        where.strip(),
        f"at {reading.celsius:g} °C" if reading.celsius is not None else "",
        f"wheel turned {reading.turn_deg:g} degrees" if reading.turn_deg is not None else "",
        "under preload" if reading.loaded else "",
        " ".join(reading.note.split()),
    ]


def _fitted(stack: Stack, unit: str) -> str:
    if stack.lots:
        names = (f"{count} x {lot}" if count > 1 else lot for lot, count in stack.lots)
        return f"{stack.seat} {' + '.join(names)}"
    return f"{stack.seat} {length(stack.thickness_um, unit, True)}"
