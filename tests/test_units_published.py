"""Lengths printed both ways in workshop texts, and definitions that tests/test_units.py leaves."""

from __future__ import annotations

import pytest

from solver.units import in_unit, length_um, shown_length

# As printed in axle and car workshop texts: the two say one length, each to its own digits.
PRINTED = [
    ("0.05 mm", 2, "0.002 in", 3),  # GM axle text 2005: shim
    ("0.03 mm", 2, "0.001 in", 3),  # and the backlash it moves
    ("0.23 mm", 2, "0.009 in", 3),  # case spread of an axle manual
    ("0.13 mm", 2, "0.005 in", 3),  # usual backlash of cars, lower and upper end
    ("0.20 mm", 2, "0.008 in", 3),
]


@pytest.mark.parametrize(("metric", "mm_digits", "inch", "inch_digits"), PRINTED)
def test_printed_pairs(metric: str, mm_digits: int, inch: str, inch_digits: int) -> None:
    """Either side of a printed pair, turned and rounded to the other's digits, is the other.

    Source: the workshop texts noted beside each pair.
    """
    um = length_um(inch, None)
    assert f"{in_unit(um, 'mm'):.{mm_digits}f} mm" == metric
    um = length_um(metric, None)
    assert f"{in_unit(um, 'in'):.{inch_digits}f} in" == inch


def test_case_spread() -> None:
    """A housing spread from 389.000 to 389.230 mm has given by 0.230 mm, .009 in.

    Source: axle manual, as in the pair above.
    """
    spread_um = length_um("389.230 mm", None) - length_um("389.000 mm", None)
    assert shown_length(spread_um, "mm") == "0.230 mm"
    assert shown_length(spread_um, "in") == "0.0091 in"
    assert shown_length(spread_um, "thou") == "9.1 thou"


@pytest.mark.parametrize(
    ("text", "um"), [("1 foot", 304_800.0), ("0.1 m", 100_000.0), ("930000 nm", 930.0)]
)
def test_lengths_outside_the_bench(text: str, um: float) -> None:
    """A foot is 0.3048 m exactly; metres and nanometres are decimal. Source: NIST SP 811, B.8."""
    assert length_um(text, None) == pytest.approx(um, rel=1e-12)


def test_a_printed_slip_is_not_what_the_program_finds() -> None:
    """170.75 + 0.1 - 165.85 is 5.00 mm, where one workshop text prints 5.05.

    Source: that text; it is a misprint and no oracle.
    """
    parts = [length_um(one, None) for one in ("170.75 mm", "0.1 mm", "-165.85 mm")]
    assert shown_length(sum(parts), "mm") == "5.000 mm"
