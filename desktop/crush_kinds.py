"""How the fields of a crush spacer turn what is typed into what the job keeps, and back.

A bare number is a torque in the unit of the job's crush spacer. Where another unit is at home, on
the nut, a spring balance or a radius, it is written behind the number in the file.
"""

from __future__ import annotations

import re

from desktop.form_kinds import Kind
from desktop.typed import shown_number, typed_number

NUT_UNIT = {
    "N.m": "N.m", "lbf.in": "lbf.ft", "lbf.ft": "lbf.ft", "kgf.cm": "kgf.m", "kgf.m": "kgf.m",
    "ozf.in": "lbf.ft",
}  # fmt: skip
PULL_UNIT = {
    "N.m": "N", "lbf.in": "lbf", "lbf.ft": "lbf", "kgf.cm": "kgf", "kgf.m": "kgf", "ozf.in": "ozf",
}  # fmt: skip
WEIGHT_UNIT = {
    "N.m": "kg", "lbf.in": "lb", "lbf.ft": "lb", "kgf.cm": "kg", "kgf.m": "kg", "ozf.in": "oz",
}  # fmt: skip
RADIUS_UNIT = {
    "N.m": "mm", "lbf.in": "in", "lbf.ft": "in", "kgf.cm": "mm", "kgf.m": "mm", "ozf.in": "in",
}  # fmt: skip


def split_amounts(text: str) -> list[str]:
    """Part repeats typed into one field, by spaces, semicolons, or commas before a space.

    text: such as '23 23,5; 2.3 N.m'. Returns one text for each; a unit stays with its number.
    """
    parts: list[str] = []
    for piece in re.split(r";|,\s+", text):
        fresh = True
        for word in piece.split():
            if not fresh and not re.match(r"[+-]?[0-9.,]", word):
                parts[-1] += f" {word}"
            else:
                parts.append(word)
            fresh = False
    return parts


def amount_kind(unit: str = "") -> Kind:
    """Make the kind of a field for one amount. unit: written behind a bare number, '' for none."""
    return Kind(
        lambda text, _unit, _shown: _typed(text, unit), lambda value, _u, _s: _shown(value, unit)
    )


def amounts_kind(unit: str = "") -> Kind:
    """Make the kind of a field for repeats. unit: written behind bare numbers, '' for none."""

    def read(text: str, _unit: str, _shown_unit: str) -> object:
        return [_typed(part, unit) for part in split_amounts(text)]

    def shown(value: object, _unit: str, _shown_unit: str) -> str:
        values = value if isinstance(value, list) else [] if value is None else [value]
        texts = [_shown(one, unit) for one in values]
        plain = "  ".join(texts)
        return plain if split_amounts(plain) == texts else "; ".join(texts)

    return Kind(read, shown)


def _typed(text: str, unit: str) -> object:
    number = typed_number(text)
    if not unit or number is None or isinstance(number, str):
        return number
    return f"{number} {unit}"


def _shown(value: object, unit: str) -> str:
    text = shown_number(value)
    if unit and isinstance(value, str) and text.endswith(f" {unit}"):
        return text.removesuffix(f" {unit}")
    return text
