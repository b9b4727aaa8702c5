"""Lengths, counts and trade words as a person reads them; every rounding is settled here."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.units import in_unit

UNIT_SHOWN = {"mm": "mm", "um": "µm", "in": "in", "thou": "thou"}
BESIDE = {"mm": "thou", "um": "thou", "in": "mm", "thou": "mm"}  # the other system
# Predictions: a tenth of a thou and a µm are finer than any feeler or dial can tell.
COARSE = {"mm": 3, "um": 0, "in": 4, "thou": 1}
# Thicknesses and limits as the user wrote them: one place more where that is not a zero.
FINE = {"mm": 3, "um": 1, "in": 5, "thou": 2}


@dataclass(frozen=True, slots=True)
class TradeWords:
    """What the two trades call the same thing."""

    crown_wheel: str
    pinch: str
    pinch_short: str  # for a column of a table
    end_float: str
    dial: str
    crush_spacer: str

    def result(self, name: str, short: bool = False) -> str:
        """Say a result's name. name: as in the files; short: for a table. Returns text."""
        if name == "pinion end float":
            return f"pinion {self.end_float.removeprefix('end ') if short else self.end_float}"
        if name != "pinch":
            return name
        return self.pinch_short if short else self.pinch


TRADE_WORDS = {
    "UK": TradeWords("crown wheel", "pinch", "pinch", "end float", "dial gauge", "crush spacer"),
    "US": TradeWords(
        "ring gear", "side-bearing preload", "preload", "end play", "dial indicator", "crush sleeve"
    ),
}


def bare_length(value_um: float, unit: str, fine: bool = False) -> str:
    """Show a length without its unit.

    value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'; fine: keep one place more where it is not 0.
    Returns text.
    """
    if not math.isfinite(value_um):
        return "no limit"
    value = in_unit(value_um, unit)
    text = f"{value:.{FINE[unit] if fine else COARSE[unit]}f}"
    while fine and len(text.partition(".")[2]) > COARSE[unit] and text.endswith("0"):
        text = text[:-1].removesuffix(".")
    return text[1:] if text.startswith("-") and not float(text) else text  # no '-0.0'


def length(value_um: float, unit: str, fine: bool = False) -> str:
    """Show a length with its unit.

    value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'; fine: keep one place more where it is not 0.
    Returns text such as '16.0 thou'.
    """
    shown = bare_length(value_um, unit, fine)
    return f"{shown} {UNIT_SHOWN[unit]}" if math.isfinite(value_um) else shown


def both_lengths(value_um: float, unit: str, fine: bool = False) -> str:
    """Show a length in the job's unit with the other system beside it.

    value_um: [µm]; unit: 'mm', 'um', 'in' or 'thou'; fine: keep one place more where it is not 0.
    Returns text such as '16.0 thou (0.406 mm)'.
    """
    return f"{length(value_um, unit, fine)} ({length(value_um, BESIDE[unit])})"


def window(low_um: float, high_um: float, unit: str) -> str:
    """Show a limit. low_um, high_um: [µm], infinite where there is none; unit: the job's.

    Returns text such as '5.0 to 8.0 thou', 'at least 5.0 thou' or 'no limit'.
    """
    if math.isfinite(low_um) and math.isfinite(high_um):
        return f"{bare_length(low_um, unit, True)} to {length(high_um, unit, True)}"
    if math.isfinite(low_um):
        return f"at least {length(low_um, unit, True)}"
    if math.isfinite(high_um):
        return f"at most {length(high_um, unit, True)}"
    return "no limit"


def counts(chance: float) -> str:
    """Say a chance in builds of a hundred, never as certain and never rounded up.

    chance: 0 to 1. Returns text such as '93 of 100'.
    """
    if chance >= 0.995:
        return "more than 99 of 100"
    hundredths = math.floor(100 * chance + 1e-9)  # 0.29 * 100 is 28.999999999999996
    return f"{hundredths} of 100" if hundredths >= 1 else "fewer than 1 of 100"


def wanted_counts(chance: float) -> str:
    """Say the wanted chance in builds of a hundred, as it was written.

    chance: 0 to 1. Returns text such as '95 of 100' or '97.5 of 100'.
    """
    return f"{100 * chance:.6g} of 100"


def percent(share: float) -> str:
    """Show a share. share: 0 to 1 [1]. Returns text such as '61 %', 'under 1 %'."""
    return f"{100 * share:.0f} %" if share >= 0.01 or share == 0.0 else "under 1 %"


def risk_counts(chance: float) -> str:
    """Say the chance of something bad in builds, never rounded down and never as impossible.

    chance: 0 to 1. Returns text such as '3 of 1000'.
    """
    if chance > 0.99:
        return "more than 99 of 100"
    if chance > 0.01:
        return f"{math.ceil(100 * chance - 1e-9)} of 100"
    thousandths = math.ceil(1000 * chance - 1e-9)
    return f"{thousandths} of 1000" if chance >= 0.001 else "fewer than 1 of 1000"


def number_of(count: int, noun: str) -> str:
    """Say a count with its noun. count: 0 or more; noun: in the singular. Returns text."""
    return f"{count if count else 'no'} {noun}{'' if count == 1 else 's'}"


def listed(words: tuple[str, ...] | list[str], last: str = "and") -> str:
    """Join words as a sentence does. words: any number; last: before the last. Returns text."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def sentence(words: str) -> str:
    """Make words a sentence: capital first, full stop last. words: any text. Returns text."""
    words = words.strip()
    if not words:
        return ""
    return words[0].upper() + words[1:] + ("" if words[-1] in ".!?" else ".")
