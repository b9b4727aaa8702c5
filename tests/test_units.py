"""Lengths and angles as people write them."""

from __future__ import annotations

import math
import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.units import (
    UM_PER,
    UNITS,
    NotAQuantity,
    angle_deg,
    bare_number,
    in_unit,
    length_um,
    shown_length,
    unit_named,
)

TIGHT = 1e-12  # relative: one or two roundings


@pytest.mark.parametrize(
    ("text", "um"),
    [
        ("0.93 mm", 930.0),
        ("0,93 mm", 930.0),
        ("0.93mm", 930.0),
        (" 0.93  MM ", 930.0),
        ("36 1/2 thou", 927.1),
        ("36-1/2 thou", 927.1),
        ("36½ thou", 927.1),
        ("½ in", 12700.0),
        ("1/64 in", 396.875),
        ("0.0365 in", 927.1),
        ('0.0365"', 927.1),
        (".0365 inch", 927.1),
        ("36.5 mil", 927.1),
        ("93 µm", 93.0),  # micro sign
        ("93 μm", 93.0),  # Greek mu
        ("93 um", 93.0),
        ("93 microns", 93.0),
        ("0.093 cm", 930.0),
        ("−3 thou", -76.2),
        ("1e3 um", 1000.0),
        ("0,930 mm", 930.0),
    ],
)
def test_text_with_a_unit_needs_no_other(text: str, um: float) -> None:
    """Text that names its unit says the same whatever unit the file is in."""
    assert length_um(text, None) == pytest.approx(um, rel=TIGHT)
    assert length_um(text, "thou") == pytest.approx(um, rel=TIGHT)


@pytest.mark.parametrize("unit", UNITS)
def test_a_number_is_in_the_unit_of_the_file(unit: str) -> None:
    """A bare number, as number or as text, is read in the unit of the file, and goes back."""
    assert length_um(1.5, unit) == length_um("1.5", unit) == length_um("1,5", unit)
    assert in_unit(length_um(1.5, unit), unit) == pytest.approx(1.5, rel=TIGHT)


def test_the_inch_is_exact() -> None:
    """1 in = 25.4 mm exactly. Source: NIST SP 811, appendix B.8."""
    assert UM_PER == {"mm": 1000.0, "um": 1.0, "in": 25400.0, "thou": 25.4}


@pytest.mark.parametrize(
    ("unit", "word"), [("mm", "millimetre"), ("um", "micrometer"), ("in", "inch"), ("thou", "thou")]
)
def test_the_constants_are_those_of_pint(unit: str, word: str) -> None:
    """The constants equal pint's own registry, which the program does not use."""
    assert pint.UnitRegistry()(word).to("um").magnitude == pytest.approx(UM_PER[unit], rel=TIGHT)


REFUSED = [
    (True, "thou", "true", "a length", "write a number in thou or text such as '0.93 mm'"),
    (None, "mm", "nothing", "a length", "write a number in mm or text such as '0.93 mm'"),
    ([1.0], "mm", "a list", "a length", "write a number in mm or text such as '0.93 mm'"),
    (math.nan, "mm", "nan", "a length", "write a finite number"),
    (math.inf, "mm", "inf", "a length", "write a finite number"),
    (10**400, "mm", "a whole number of more than 30 digits", "a length", "write a finite number"),
    (3, None, "3 without a unit", "a length", None),
    ("3", None, "'3' without a unit", "a length", None),
    ("3 kg", "mm", "'3 kg', which is no length", "a length", None),
    ("5 deg", "mm", "'5 deg', which is no length", "a length", None),
    ("5°", "mm", "'5°', which is no length", "a length", None),
    ("3 hands", "mm", "'3 hands' with an unknown unit", "a length", None),
    ("thou", "mm", "'thou'", "a length", None),
    ("nan mm", "mm", "'nan mm'", "a length", None),
    ("inf", "mm", "'inf'", "a length", None),
    ("1.2.3 mm", "mm", "'1.2.3 mm'", "a length", None),
    ("", "mm", "nothing", "a length", None),
    ("3/0 in", "mm", "'3/0 in'", "a length", "a fraction cannot be divided by 0"),
    ("36 3/2 in", "mm", "'36 3/2 in'", "a length", None),
    ("1,250 mm", "mm", "'1,250 mm'", "one meaning for the comma", "write 1.250 or 1250"),
    ("11 m", "mm", "'11 m'", "a length under 10 metres", "check the number and the unit"),
    ("1e99 mm", "mm", "'1e99 mm'", "a length under 10 metres", "check the number and the unit"),
]


@pytest.mark.parametrize(("value", "unit", "found", "wanted", "way_out"), REFUSED)
def test_what_is_no_length_is_refused(
    value: object, unit: str | None, found: str, wanted: str, way_out: str | None
) -> None:
    """A value that is no length is refused with what was found, wanted, and a way out."""
    with pytest.raises(NotAQuantity) as bad:
        length_um(value, unit)
    assert (bad.value.found, bad.value.wanted) == (found, wanted)
    assert bad.value.way_out == way_out if way_out else bad.value.way_out.startswith("write ")


def test_a_file_with_decimal_commas_has_no_doubt() -> None:
    """Where the file writes decimal commas, '1,250' is one and a quarter."""
    assert length_um("1,250", "mm", decimal_comma=True) == 1250.0


def test_angles() -> None:
    """Angles are degrees unless they say so; a length is none."""
    assert angle_deg(20) == angle_deg("20°") == angle_deg("20 deg") == angle_deg("20") == 20.0
    assert angle_deg("0.35 rad") == pytest.approx(math.degrees(0.35), rel=TIGHT)
    for bad in ("20 mm", "20 kg", True, math.nan, "steep"):
        with pytest.raises(NotAQuantity):
            angle_deg(bad)


def test_bare_numbers() -> None:
    """A share is a plain finite number."""
    assert bare_number(1) == 1.0
    refused: tuple[object, ...] = (True, "0.5", None, math.inf, {})
    for bad in refused:
        with pytest.raises(NotAQuantity):
            bare_number(bad)


def test_shown_to_the_digits_of_the_bench() -> None:
    """A length is shown to what a person can measure, and a hair below zero is zero."""
    assert [shown_length(927.1, unit) for unit in UNITS] == [
        "0.927 mm", "927.1 µm", "0.0365 in", "36.5 thou",
    ]  # fmt: skip
    assert shown_length(-0.001, "mm") == "0.000 mm"


def test_pint_is_not_started_for_the_four_units() -> None:
    """Reading millimetres and thou does not load pint, which takes a third of a second."""
    script = (
        "import sys; from solver.units import length_um; length_um('36 1/2 thou', None);"
        "assert 'pint' not in sys.modules; length_um('1 cm', None); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", script], check=True)


@given(st.text(max_size=30) | st.floats() | st.integers() | st.booleans() | st.none())
def test_anything_is_read_or_refused(value: object) -> None:
    """Whatever stands in a file is a finite length or a refusal in one line, and nothing else."""
    for unit in (*UNITS, None):
        try:
            assert math.isfinite(length_um(value, unit))
        except NotAQuantity as bad:
            assert str(bad).isprintable()


@given(st.floats(-300.0, 300.0), st.sampled_from(UNITS), st.sampled_from(UNITS))
def test_units_change_nothing(value: float, one: str, two: str) -> None:
    """A length written in another unit is the same length."""
    um = length_um(value, one)
    assert length_um(in_unit(um, two), two) == pytest.approx(um, rel=TIGHT, abs=1e-300)


def test_unit_words() -> None:
    """A unit is known by its usual spellings and by no other word."""
    assert [unit_named(w) for w in ("Inch", "µm", "μm", "mil", "furlong", 3, "")] == [
        "in", "um", "um", "thou", None, None, None,
    ]  # fmt: skip
