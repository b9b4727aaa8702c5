"""What is drawn of a line: its parts, seats and gap, with what is known of each in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from desktop import line_words as say
from desktop.line_table import (
    DIMENSIONS,
    LINES,
    drawn_um,
    limits_um,
    lines_of,
    named_in,
    numbers_of,
    read_um,
    result_of,
)
from desktop.stacks_drawn import sum_words
from desktop.tokens import trade_name
from solver.line import COLD_C
from solver.plan import Plan
from solver.report_words import UNIT_SHOWN, length, window
from solver.trouble import Place

if TYPE_CHECKING:
    from solver.findings import Answer

SAME_UM = 0.5  # an estimate that is no nearer to its drawing than this tells more than that
TERM, SEAT, GAP = "term", "seat", "gap"


@dataclass(frozen=True, slots=True)
class Part:
    """One arrow of a line, in words and numbers."""

    kind: str  # TERM, SEAT or GAP
    name: str  # in the files
    title: str
    way: int  # 1 adds, -1 takes away
    um: float | None  # signed, with a lever's factor; None where it is not known [µm]
    figures: tuple[str, ...]  # the same in words, at falling width
    place: Place  # in the job
    badges: tuple[int, ...] = ()
    pieces_um: tuple[float, ...] = ()  # of a stack
    more: tuple[str, ...] = ()  # a further line, at falling width


@dataclass(frozen=True, slots=True)
class Said:
    """A whole line."""

    at: int  # which one, from 0
    title: str
    parts: tuple[Part, ...]  # terms, then seats, then the gap
    terms: int  # how many of them are terms

    def lit_by(self, number: int | None) -> str:
        """Name the part that a reading is of, '' for none. number: from 1, or None."""
        return next((one.name for one in self.parts if number in one.badges), "") if number else ""


@dataclass(frozen=True, slots=True)
class Known:
    """What an answer says of lengths."""

    lengths_um: tuple[tuple[str, float], ...] = ()  # as estimated, by dimension
    results_um: tuple[tuple[str, float], ...] = ()  # as predicted, by line


NOTHING_KNOWN = Known()


def known_of(answer: Answer | None, table: Mapping[str, Any]) -> Known:
    """Take from an answer what the drawing shows. answer: in sight, or None; table: the job's."""
    if answer is None or answer.agreement.state == "disagree" or LINES not in table:
        return NOTHING_KNOWN
    lengths = tuple((one.name, one.value) for one in answer.estimates if not one.bare)
    results = answer.verdict.results if answer.verdict else ()
    return Known(lengths, tuple((one.name, one.predicted_um) for one in results))


def say_lines(
    table: Mapping[str, Any], plan: Plan | None, known: Known, unit: str, words: str
) -> tuple[Said, ...]:
    """Say what is drawn of every line.

    table: the job's; plan: or None; known: from an answer; unit: shown; words: 'UK' or 'US'.
    Returns a Said for each.
    """
    return tuple(
        _say_line(table, at, line, plan, known, unit, words)
        for at, line in enumerate(lines_of(table))
    )


def _say_line(
    table: Mapping[str, Any],
    at: int,
    line: Mapping[str, Any],
    plan: Plan | None,
    known: Known,
    unit: str,
    words: str,
) -> Said:
    terms = [
        _term(table, at, name, factor, dict(known.lengths_um), unit)
        for name, factor in named_in(line, "terms").items()
    ]
    seats = [
        _seat(at, name, factor, plan, unit, words)
        for name, factor in named_in(line, "seats").items()
    ]
    gap = _gap(table, at, line, dict(known.results_um), unit, words)
    title = say.heading(result_of(line), words)
    return Said(at, title, (*terms, *seats, gap), len(terms))


def _term(
    table: Mapping[str, Any],
    at: int,
    name: str,
    factor: float,
    estimated: Mapping[str, float],
    unit: str,
) -> Part:
    badges = numbers_of(table, name)
    drawn, read = drawn_um(table, name), read_um(table, name)
    um = estimated.get(name, read if read is not None else drawn[0] if drawn else None)
    texts: tuple[str, ...] = (say.UNKNOWN,)
    if um is not None:
        times = f"{abs(factor):g} × " if abs(factor) != 1.0 else ""
        plain = f"{'−' if factor < 0 else '+'} {times}{length(um, unit, True)}"
        how = plain
        if read is not None:
            how = f"{plain}, read"
        elif drawn is not None and abs(um - drawn[0]) < SAME_UM:
            how = f"{plain.rsplit(' ', 1)[0]} ± {say.off_by(drawn[1], unit)} {UNIT_SHOWN[unit]}"
        elif drawn is not None:  # what was read of the whole line tells of its parts
            how = f"{plain}, worked out"
        texts = (how, plain, plain.rsplit(" ", 1)[0])
    title = name[:1].upper() + name[1:]
    return Part(
        TERM, name, title, -1 if factor < 0 else 1, None if um is None else factor * um, texts,
        (LINES, at, "terms", name), badges,
    )  # fmt: skip


def _seat(at: int, name: str, factor: float, plan: Plan | None, unit: str, words: str) -> Part:
    stack = next((one for one in plan.stacks if one.seat == name), None) if plan else None
    title, place = trade_name(name, words), (LINES, at, "seats", name)
    way = -1 if factor < 0 else 1
    if stack is None:
        return Part(SEAT, name, title, way, None, (say.NO_PLAN,), place)
    sign = "−" if factor < 0 else "+"
    total = f"{sign} {length(stack.thickness_um, unit, True)}"
    texts = (f"{sign} {sum_words(stack, unit)}", total) if stack.pieces else (say.NO_SHIM,)
    pieces = tuple(one.thickness_um for one in stack.pieces for _ in range(one.count))
    um = factor * stack.thickness_um
    return Part(SEAT, name, title, way, um, texts, place, (), pieces)


def _gap(
    table: Mapping[str, Any],
    at: int,
    line: Mapping[str, Any],
    predicted: Mapping[str, float],
    unit: str,
    words: str,
) -> Part:
    name = result_of(line)
    um = predicted.get(name)
    low, high = limits_um(table, line)
    free = [line.get(key) == "no limit" for key in ("low", "high")]
    wanted: tuple[str, ...] = ("limits still to come", "no limits yet")
    if all(one is not None or gone for one, gone in zip((low, high), free, strict=True)):
        ends = (-math.inf if low is None else low, math.inf if high is None else high)
        bare = window(*ends, unit)
        wanted = (bare,) if bare == "no limit" else (f"wanted {bare}", bare, bare.rsplit(" ", 1)[0])
    warm = line.get("temperature")
    if isinstance(warm, int | float) and warm != COLD_C:
        wanted = (f"{wanted[0]}, at {warm:g} °C", f"{wanted[-1]} at {warm:g} °C", *wanted)
    text = "= " + length(um, unit) if um is not None else say.NO_PLAN
    title = trade_name(name, words) if name else "The gap"
    return Part(
        GAP, name, title, 1, um, (text,), (LINES, at, "low"), numbers_of(table, name), (), wanted
    )


def part_place(table: Mapping[str, Any], part: Part) -> Place:
    """Where the fields of a part stand in the set-up. table: the job's; part. Returns the place."""
    if part.kind != TERM:
        return part.place
    said = table.get(DIMENSIONS)
    inside = said.get(part.name) if isinstance(said, dict) else None
    key = "drawn" if isinstance(inside, dict) and "drawn" in inside else "low"
    return (DIMENSIONS, part.name, key)
