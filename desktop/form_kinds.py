"""How each kind of field turns what is typed into what the job keeps, and back."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from desktop.typed import Number, shown_number, shown_value, typed_length, typed_number
from solver.units import NotAQuantity, length_um, unit_named

_SPREAD = re.compile(r"(?P<thick>.+?)\s*(?:±|\+/-|\+-|\bwithin\b)\s*(?P<within>.+)")
_FRACTION = re.compile("[0-9]+/[0-9]+|[½¼¾⅛⅜⅝⅞]")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of field: both ways between its text and the job's value."""

    read: Callable[[str, str, str], object]  # text, job's unit, shown unit
    shown: Callable[[object, str, str], str]  # value, job's unit, shown unit


def split_repeats(text: str) -> list[str]:
    """Part repeats typed into one field, by spaces, semicolons, or commas before a space.

    text: as typed, such as '51.0 51,5 36 1/2 0.93 mm'. Returns one text for each; a unit and a
    fraction stay with their number.
    """
    parts: list[str] = []
    for piece in re.split(r";|,\s+", text):
        fresh = True
        for word in piece.split():
            part = not fresh and parts[-1].isdigit() and _FRACTION.fullmatch(word)
            if part or (not fresh and unit_named(word) is not None):
                parts[-1] += f" {word}"
            else:
                parts.append(word)
            fresh = False
    return parts


def typed_lengths(text: str, unit: str, shown: str) -> list[object]:
    """Read the repeats of a reading. text; unit: the job's; shown: the field's. Returns values."""
    return [typed_length(part, unit, shown) for part in split_repeats(text)]


def shown_lengths(value: object, unit: str, shown: str) -> str:
    """Show one value or a list of them in one field. value; unit, shown: units. Returns text."""
    values = value if isinstance(value, list) else [] if value is None else [value]
    texts = [shown_value(one, unit, shown) for one in values]
    plain = "  ".join(texts)
    return plain if split_repeats(plain) == texts else "; ".join(texts)


def keep_typed(old: object, new: object, unit: str, shown: str) -> object:
    """Keep the repeats that were not touched as they were typed, in whatever unit that was.

    old, new: values of the job, before and after typing; unit: the job's; shown: the field's.
    Returns new, with those of old in it that the field had shown so.
    """
    if not isinstance(old, list) or not isinstance(new, list):
        return new
    known = {repr(typed_length(shown_value(one, unit, shown), unit, shown)): one for one in old}
    return [known.get(repr(one), one) for one in new]


def _one_or_more(text: str, unit: str, shown: str) -> object:
    values = typed_lengths(text, unit, shown)
    return values if len(values) > 1 else values[0] if values else None


def typed_stack(text: str, unit: str, shown: str) -> object:
    """Read what was fitted in a seat.

    text: a thickness, one with its spread as '18.0 ± 0.2', or ids of lots parted by + or comma;
    unit: the job's; shown: the field's. Returns: the value, a table of thickness and within, or a
    list of ids; None for an empty field.
    """
    text = text.strip()
    if not text:
        return None
    if spread := _SPREAD.fullmatch(text):
        thick, within = (typed_length(spread[key], unit, shown) for key in ("thick", "within"))
        return {"thickness": thick, "within": within}
    try:
        length_um(text, shown)
    except NotAQuantity:
        ids = [part.strip() for part in re.split(r"[+;,]|\s+", text)]
        return [part for part in ids if part] or text
    return typed_length(text, unit, shown)


def shown_stack(value: object, unit: str, shown: str) -> str:
    """Show what was fitted in a seat. value: as the job keeps it; unit, shown. Returns text."""
    if isinstance(value, list):
        return " + ".join(str(one) for one in value)
    if isinstance(value, dict):
        texts = [shown_value(value.get(key), unit, shown) for key in ("thickness", "within")]
        return " ± ".join(text for text in texts if text)
    return shown_value(value, unit, shown)


def typed_chance(text: str, _unit: str = "", _shown: str = "") -> object:
    """Read 'so many of 100' as a share. text: such as '95' or '97,5'. Returns a Number or text."""
    number = typed_number(text)
    if number is None or isinstance(number, str):
        return number
    try:
        share = Decimal(str(number)) / 100
    except InvalidOperation:
        return text
    return Number(f"{share:f}" if share != share.to_integral_value() else f"{share:.1f}")


def shown_chance(value: object, _unit: str = "", _shown: str = "") -> str:
    """Show a share as so many of 100. value: as the job keeps it. Returns text."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return shown_number(value)
    try:
        many = Decimal(str(value)) * 100
        return f"{many:f}".rstrip("0").rstrip(".") if "." in f"{many:f}" else f"{many:f}"
    except InvalidOperation:
        return str(value)


def _plain(text: str, _unit: str, _shown: str) -> object:
    return typed_number(text)


def _shown_plain(value: object, _unit: str, _shown: str) -> str:
    return shown_number(value)


def _words(text: str, _unit: str, _shown: str) -> object:
    return text or None


LENGTH = Kind(typed_length, shown_value)
LENGTHS = Kind(typed_lengths, shown_lengths)  # always a list
LEAVES = Kind(_one_or_more, shown_lengths)  # one, or a list of several
STACK = Kind(typed_stack, shown_stack)
CHANCE = Kind(typed_chance, shown_chance)
NUMBER = Kind(_plain, _shown_plain)
WORDS = Kind(_words, _shown_plain)
