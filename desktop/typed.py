"""What was typed, kept as it was typed: numbers that remember their digits, text with its unit."""

from __future__ import annotations

import re

from solver.units import DECIMALS, NotAQuantity, in_unit, length_um, unit_named

_PLAIN = re.compile("(?P<sign>[+-]?)(?P<whole>[0-9]{0,15})(?:[.,](?P<part>[0-9]{0,15}))?")
_WITH_UNIT = re.compile(r"(?P<number>.*?[0-9.,½¼¾⅛⅜⅝⅞])\s*(?P<unit>[^\s0-9.,]+)")


class Number(float):
    """A number of a job file that remembers how it was written: 24.50 is not 24.5 to its owner."""

    __slots__ = ("text",)
    text: str

    def __new__(cls, text: str) -> Number:
        """text: a number as TOML writes it. Raises: ValueError."""
        number = super().__new__(cls, text)
        number.text = text
        return number

    def __repr__(self) -> str:
        return self.text

    __str__ = __repr__

    def __reduce__(self) -> tuple[type[Number], tuple[str]]:
        return Number, (self.text,)


def typed_length(text: str, unit: str, shown_unit: str | None = None) -> object:
    """Turn what was typed into a length field into what the job keeps.

    text: as typed; unit: the job's, 'mm', 'um', 'in' or 'thou'; shown_unit: that of the field,
    where it is another. Returns: a number where a bare number in the job's unit was typed, text
    with its unit where not, None for an empty field. What cannot be read is kept as text, for the
    fault to show it.
    """
    number = typed_number(text)
    if isinstance(number, str) or number is None or (shown_unit or unit) == unit:
        if isinstance(number, str) and shown_unit and shown_unit != unit:
            return _with_unit(number, shown_unit)
        return number
    return f"{number} {shown_unit}"


def typed_number(text: str) -> object:
    """Turn what was typed into a field without unit into what the job keeps.

    text: as typed, with a decimal point or comma. Returns: a whole number, a Number that keeps its
    digits, or the text as it is where it is no plain number; None for an empty field.
    """
    text = text.strip()
    if not text:
        return None
    match = _PLAIN.fullmatch(text)
    if match is None or not (match["whole"] or match["part"]):
        return text
    if re.fullmatch("[+-]?[1-9][0-9]{0,2},[0-9]{3}", text):
        return text  # '1,250' has two meanings: the reader of the job asks which
    sign = "-" if match["sign"] == "-" else ""
    whole = match["whole"].lstrip("0") or "0"
    if match["part"] is None:
        return int(sign + whole)
    return Number(f"{sign}{whole}.{match['part'] or '0'}")


def shown_number(value: object) -> str:
    """Show a value of the job as it was typed. value: of any kind. Returns text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def shown_value(value: object, unit: str, shown_unit: str | None = None) -> str:
    """Show a length of the job in a field.

    value: as the job keeps it; unit: the job's; shown_unit: that of the field, where another.
    Returns: its own digits where it was typed in the shown unit, else converted to the digits of
    the bench and one more; what cannot be read is shown as it is.
    """
    shown = shown_unit or unit
    if isinstance(value, str):
        match = _WITH_UNIT.fullmatch(value.strip())
        own = unit_named(match["unit"]) if match else None
        if match and own == shown:
            return match["number"].strip()
        if own is None and shown == unit:
            return value
    elif shown == unit or value is None or isinstance(value, bool):
        return shown_number(value)
    try:
        number = in_unit(length_um(value, unit), shown)
    except NotAQuantity:
        return shown_number(value)
    text = f"{number:.{DECIMALS[shown] + 1}f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def _with_unit(text: str, unit: str) -> str:
    """Say the field's unit beside a text that has none, such as '36 1/2'."""
    try:
        length_um(text, None)
    except NotAQuantity:
        try:
            length_um(f"{text} {unit}", None)
        except NotAQuantity:
            return text
        return f"{text} {unit}"
    return text
