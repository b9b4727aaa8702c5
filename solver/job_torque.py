"""Torques in a job file: a reading in one of three ways, the tool, the radius of its line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from solver.job_table import FAULTY, Page
from solver.torque_reading import Torque, TorqueTool, read_torque
from solver.torque_units import (
    force_newton,
    mass_kg,
    torque_newton_m,
)
from solver.units import NotAQuantity, length_um, number_and_word, said

KINDS = ("wrench", "pull", "weight")
WAYS = {"torque": "wrench", "values": "wrench", "pull": "pull", "weight": "weight"}
CALLED = {"wrench": "torque wrench", "pull": "spring balance", "weight": "weight on a line"}
MOST_REPEATS = 100
_WITHIN_SHARE, _REPEAT_SHARE = 0.04, 0.03
_STEPS = {"wrench": (0.1, "0.1 N·m"), "pull": (1.0, "1 N"), "weight": (0.05, "0.05 kg")}
_SAID_BY = {
    "wrench": "within: ISO 6789, dial wrench, from memory; else common practice, no source",
    "pull": "common practice, no source",
    "weight": "common practice, no source",
}
_NUT_UNITS = ("N.m", "lbf.ft", "kgf.m")  # a nut's bare number in another is a slip of the unit


@dataclass(frozen=True, slots=True)
class Bench:
    """What the torques of the table are read in and with."""

    unit: str | None  # of bare torques
    tool: TorqueTool


def read_amount(
    page: Page,
    key: str,
    read: Callable[[object], float],
    *,
    above: bool = False,
    number: int | None = None,
) -> float:
    """Read a quantity of any kind; a bad one is noted.

    page; key: of the value; read: turns it into a number [its own unit] of 0 or more; above: of
    more than 0; number: its place in the list that stands at the key, None where none does. Returns
    it, or FAULTY.
    """
    value, place = page.table.get(key), (*page.place, key)
    if number is not None and isinstance(value, list):
        value, place = value[number], (*place, number)
    try:
        found = read(value)
    except NotAQuantity as bad:
        page.notes.fault(place, bad.found, bad.wanted, bad.way_out)
        return FAULTY
    if found > 0.0 or (found == 0.0 and not above):
        return found
    wanted = "more than 0" if above else "0 or more"
    page.notes.fault(place, said(value), wanted, "check its sign and its unit")
    return FAULTY


def torques_in(unit: str | None) -> Callable[[object], float]:
    """Make a reader of torques. unit: of bare ones, or None. Returns: value to [N·m]."""
    return lambda value: torque_newton_m(value, unit)


def nut_torque(page: Page, key: str, unit: str | None) -> float | None:
    """Read a torque on the nut; a bare number only in a unit that nuts are tightened in.

    page; key: its name; unit: of bare torques. Returns it [N·m], None where there is none.
    """
    if not page.has(key):
        return None
    value = page.table[key]
    if unit not in _NUT_UNITS and isinstance(value, int | float) and not isinstance(value, bool):
        found = f"{said(value)} without a unit of its own"
        page.fault(key, found, "a torque on the nut", "write its unit too: '120 lbf.ft', say")
        return FAULTY
    return read_amount(page, key, torques_in(unit), above=True)


def way_of(table: dict[str, object]) -> str | None:
    """Find in which way a table tells a torque. table: unchecked. Returns: a key, or None."""
    return next((way for way in WAYS if way in table), None)


def read_tool(page: Page, guess: str, unit: str | None) -> TorqueTool:
    """Read the tool and the radius of the line.

    page: the table [crush]; guess: kind where it does not say; unit: of bare torques. Returns: the
    tool; what stands in for missing keys is noted as assumed.
    """
    inner = page.page("tool", "a table for the tool") if page.has("tool") else None
    inner = inner or Page({}, (*page.place, "tool"), page.notes, page.unit)
    inner.only(("kind", "within", "repeat", "step"))
    kind = inner.choice("kind", KINDS, guess)
    reads = _reader(kind, unit)
    stood_in: list[str] = []
    within, repeat = (
        _either(inner, key, reads, usual, stood_in)
        for key, usual in (("within", _WITHIN_SHARE), ("repeat", _REPEAT_SHARE))
    )
    step, shown_step = _STEPS[kind]
    if inner.has("step"):
        step = read_amount(inner, "step", reads, above=True)
    else:
        stood_in.append(f"step {shown_step}")
    if stood_in:
        page.notes.assumed.append(f"{CALLED[kind]}: {', '.join(stood_in)} ({_SAID_BY[kind]})")
    radius_um, radius_within_um = _read_radius(page, kind)
    return TorqueTool(kind, *within, *repeat, step, radius_um, radius_within_um)


def _either(
    page: Page, key: str, reads: Callable[[object], float], usual: float, stood_in: list[str]
) -> tuple[float, float]:
    """A share such as '3 %', or an amount; the other of the two is 0."""
    if not page.has(key):
        stood_in.append(f"{key} {100 * usual:g} %")
        return usual, 0.0
    value = page.table[key]
    if isinstance(value, str) and "%" in value:
        share = read_amount(page, key, _percent, above=key == "repeat")
        if share > 0.5:
            page.fault(key, said(value), "at most 50 %", "write it in percent of the reading")
        return share, 0.0
    return 0.0, read_amount(page, key, reads, above=key == "repeat")


def _percent(value: object) -> float:
    """A share from text such as '3 %'."""
    wanted, way_out = "a share", "write text such as '3 %'"
    number, word = number_and_word(str(value), wanted, way_out)
    if word != "%":
        raise NotAQuantity(said(value), wanted, way_out)
    return number / 100.0


def _reader(kind: str, unit: str | None) -> Callable[[object], float]:
    return {"pull": force_newton, "weight": mass_kg}.get(kind, torques_in(unit))


def _read_radius(page: Page, kind: str) -> tuple[float, float]:
    """Radius of the line and how well it is known [µm]; zeros for a wrench."""
    if kind == "wrench":
        if page.has("radius"):
            page.notes.assumed.append("radius without effect: a wrench reads the torque itself")
        return 0.0, 0.0
    value = page.table.get("radius")
    if value is None:
        page.missing("radius", "the radius that the line is wound round", _RADIUS)
        return FAULTY, FAULTY
    inner = Page({"value": value}, (*page.place, "radius"), page.notes, page.unit)
    if isinstance(value, dict):
        inner = Page(value, (*page.place, "radius"), page.notes, page.unit)
        inner.only(("value", "within"))
    lengths = _lengths_in(page.unit or None)
    radius_um = read_amount(inner, "value", lengths, above=True)
    within_um = read_amount(inner, "within", lengths) if inner.has("within") else 0.0
    if not within_um:
        page.notes.assumed.append("radius of the line taken as exact")
    if within_um > radius_um / 2.0:
        page.fault("radius", said(inner.table["within"]), "a radius that is known", _RADIUS)
    return radius_um, within_um


_RADIUS = 'write radius = { value = "3 in", within = "0.03 in" }, to the middle of the line'


def _lengths_in(unit: str | None) -> Callable[[object], float]:
    return lambda value: length_um(value, unit)


def read_reading(page: Page, bench: Bench) -> Torque:
    """Read one torque with its repeats.

    page: of the reading; bench: what it was read in and with. Returns: the torque, not-a-number
    where it is faulty.
    """
    faulty = Torque(FAULTY, FAULTY)
    ways = [way for way in WAYS if page.has(way)]
    if len(ways) != 1:
        wanted = f"exactly one of {', '.join(WAYS)}"
        if ways:
            page.fault(None, " and ".join(ways), wanted, "keep one, or make two readings of it")
        else:
            page.missing("torque", wanted, "write what was read")
        return faulty
    (way,) = ways
    kind = bench.tool.kind
    if WAYS[way] != kind:
        wanted = f"{way_named(kind)}, as the tool is a {CALLED[kind]}"
        page.fault(way, f"{way} of a {CALLED[WAYS[way]]}", wanted, _ONE_TOOL)
        return faulty
    amounts = _amounts(page, way, _reader(kind, bench.unit))
    if not amounts or any(math.isnan(one) for one in amounts):
        return faulty
    return read_torque(bench.tool, amounts)


_ONE_TOOL = "read all with one tool: what is wrong with it is then wrong alike"


def way_named(kind: str) -> str:
    """Say which key tells a torque. kind: of the tool. Returns: 'torque', 'pull' or 'weight'."""
    return next(way for way, of in WAYS.items() if of == kind)


def _amounts(page: Page, way: str, reads: Callable[[object], float]) -> tuple[float, ...]:
    """The repeats of one reading; an empty tuple where there are none."""
    value = page.table[way]
    if not isinstance(value, list):
        return (read_amount(page, way, reads),)
    if not value:
        page.fault(way, "an empty list", "at least one reading", "write what was read")
    if len(value) > MOST_REPEATS:
        page.fault(way, f"{len(value)} numbers", f"at most {MOST_REPEATS}", "write fewer")
        return ()
    return tuple(read_amount(page, way, reads, number=number) for number in range(len(value)))
