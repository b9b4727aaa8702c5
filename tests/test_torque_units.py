"""Torques, forces, masses and pitches as people write them."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.torque_units import (
    NEWTON_M_PER,
    TORQUE_UNITS,
    bare_torque,
    force_newton,
    in_torque_unit,
    mass_kg,
    shown_torque,
    torque_newton_m,
    torque_unit_named,
)
from solver.units import NotAQuantity, length_um, pitch_um

TIGHT = 1e-15  # relative: the last digit of a double
# NIST SP 811, appendix B, and the exact definitions of inch, pound and standard gravity.
EXACT = [
    ("1 lbf.in", "0.1129848290276167"),
    ("1 lbf.ft", "1.3558179483314004"),
    ("1 kgf.cm", "0.0980665"),
    ("1 ozf.in", "0.00706155181422604"),  # as printed, three digits less than it has
    ("1 kgf.m", "9.80665"),
    ("1 N.m", "1"),
]


@pytest.mark.parametrize(("text", "newton_m"), EXACT)
def test_the_published_factors(text: str, newton_m: str) -> None:
    """Each unit has its published factor. Source: NIST SP 811, B.8."""
    assert torque_newton_m(text, None) == pytest.approx(float(newton_m), rel=TIGHT)


def test_the_factors_follow_from_the_definitions() -> None:
    """1 in = 25.4 mm, 1 lb = 0.45359237 kg, g = 9.80665, multiplied out in decimals."""
    pound = Decimal("0.45359237") * Decimal("9.80665")
    inch = Decimal("0.0254")
    expected = {
        "N.m": 1.0,
        "lbf.in": float(pound * inch),
        "lbf.ft": float(pound * 12 * inch),
        "kgf.cm": float(Decimal("9.80665") / 100),
        "kgf.m": 9.80665,
        "ozf.in": float(pound * inch / 16),
    }
    assert expected == NEWTON_M_PER
    assert length_um("1 in", None) == 25400.0
    assert mass_kg("1 lb") == 0.45359237
    assert force_newton("1 kgf") == 9.80665


# As printed in axle workshop texts: bearings' windows, and a nut's torque.
PRINTED = [
    ("20 lbf.in", 1, "2.3"), ("25 lbf.in", 1, "2.8"),
    ("10 lbf.in", 1, "1.1"), ("15 lbf.in", 1, "1.7"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "digits", "printed"), PRINTED)
def test_printed_pairs(text: str, digits: int, printed: str) -> None:
    """What a text prints beside it in N·m is what it is, rounded. Source: axle workshop texts."""
    assert f"{in_torque_unit(torque_newton_m(text, None), 'N.m'):.{digits}f}" == printed


def test_a_pair_that_was_rounded_down() -> None:
    """165 lbf·ft is 223.7 N·m, printed as 223. Source: an axle workshop text."""
    newton_m = torque_newton_m("165 lbf.ft", None)
    assert math.floor(newton_m) == 223 and f"{newton_m:.1f}" == "223.7"


def test_a_printed_slip_is_not_what_the_program_finds() -> None:
    """8 lbf·in is 0.9 N·m, where one workshop text prints 1.0: a misprint and no oracle."""
    assert f"{torque_newton_m('8 lbf.in', None):.1f}" == "0.9"


LBF_IN, LBF_FT = NEWTON_M_PER["lbf.in"], NEWTON_M_PER["lbf.ft"]


@pytest.mark.parametrize(
    ("text", "newton_m"),
    [
        ("20 lbf.in", 20 * LBF_IN),
        ("20 lbf·in", 20 * LBF_IN),
        ("20 lbf⋅in", 20 * LBF_IN),
        ("20 in-lb", 20 * LBF_IN),
        ("20 in-lbs", 20 * LBF_IN),
        ("20 in. lbs.", 20 * LBF_IN),
        ("20 inch pounds", 20 * LBF_IN),
        ("20inlb", 20 * LBF_IN),
        ("2.3 N·m", 2.3),
        ("2.3 Nm", 2.3),
        ("2,3 Nm", 2.3),
        ("2.3 N m", 2.3),
        ("230 Ncm", 2.3),
        ("230 cNm", 2.3),
        ("25 kgf.cm", 25 * 0.0980665),
        ("25 kg-cm", 25 * 0.0980665),
        ("8 ozf.in", 8 * LBF_IN / 16),
        ("8 oz-in", 8 * LBF_IN / 16),
        ("165 lbf.ft", 165 * LBF_FT),
        ("165 ft-lb", 165 * LBF_FT),
        ("2 1/2 ft.lbf", 2.5 * LBF_FT),
        ("3 mkg", 3 * 9.80665),
    ],
)
def test_text_with_a_unit_needs_no_other(text: str, newton_m: float) -> None:
    """Text that names its unit says the same whatever unit the table is in."""
    assert torque_newton_m(text, None) == pytest.approx(newton_m, rel=4 * TIGHT)
    assert torque_newton_m(text, "kgf.cm") == pytest.approx(newton_m, rel=4 * TIGHT)


WITH_UNIT = "write the unit too, such as '20 lbf.in' or '2.3 N.m'"
REFUSED = [
    (3, None, "3 without a unit", "a torque", WITH_UNIT),
    ("3", None, "'3' without a unit", "a torque", WITH_UNIT),
    (True, "N.m", "true", "a torque", "write a number in N.m or text such as '2.3 N.m'"),
    (None, "N.m", "nothing", "a torque", "write a number in N.m or text such as '2.3 N.m'"),
    (math.nan, "N.m", "nan", "a torque", "write a finite number"),
    ("20 lbf", "N.m", "'20 lbf', which is a force", "a torque",
     "write lbf.in, say; or, of a pull, its force as pull and its radius"),
    ("20 kg", "N.m", "'20 kg', which is a force", "a torque", None),
    ("20 lb/in", "N.m", "'20 lb/in', which is no torque", "a torque", WITH_UNIT),
    ("20 N.m/s", "N.m", "'20 N.m/s', which is no torque", "a torque", WITH_UNIT),
    ("20 in", "N.m", "'20 in', which is no torque", "a torque", WITH_UNIT),
    ("20 cm", "N.m", "'20 cm', which is no torque", "a torque", WITH_UNIT),
    ("2.3 nm", "N.m", "'2.3 nm', which is nanometres", "a torque", "write N.m"),
    ("2.3 mN", "N.m", "'2.3 mN' with an unknown unit", "a torque", None),
    ("20 lbm", "N.m", "'20 lbm' with an unknown unit", "a torque", None),
    ("20 MN.m", "N.m", "'20 MN.m' with an unknown unit", "a torque", None),
    ("20 furlongs", "N.m", "'20 furlongs' with an unknown unit", "a torque",
     "write one of N.m, lbf.in, lbf.ft, kgf.cm, kgf.m, ozf.in"),
    ("1,250 lbf.in", "N.m", "'1,250 lbf.in'", "one meaning for the comma", "write 1.250 or 1250"),
    ("1e9 N.m", "N.m", "'1e9 N.m'", "a torque under 100 000 N·m",
     "check the number and the unit"),
    ("N.m", "N.m", "'N.m'", "a torque", None),
]  # fmt: skip


@pytest.mark.parametrize(("value", "unit", "found", "wanted", "way_out"), REFUSED)
def test_what_only_looks_like_a_torque_is_refused(
    value: object, unit: str | None, found: str, wanted: str, way_out: str | None
) -> None:
    """A value that is no torque is refused with what was found, wanted, and a way out."""
    with pytest.raises(NotAQuantity) as bad:
        torque_newton_m(value, unit)
    assert (bad.value.found, bad.value.wanted) == (found, wanted)
    assert bad.value.way_out == way_out if way_out else bad.value.way_out.startswith("write ")


def test_a_table_with_decimal_commas_has_no_doubt() -> None:
    """Where the file writes decimal commas, '1,250' is one and a quarter."""
    assert torque_newton_m("1,250", "N.m", decimal_comma=True) == 1.25


def test_forces_and_masses() -> None:
    """A balance shows pounds or kilograms as a force; a string holds them as a mass."""
    assert force_newton("8 lbf") == force_newton("8 lb") == pytest.approx(8 * 4.4482216152605)
    assert force_newton("35 N") == 35.0 and force_newton("2 kg") == pytest.approx(19.6133)
    assert mass_kg("2.5 kg") == mass_kg("2500 g") == 2.5
    assert mass_kg("16 oz") == pytest.approx(0.45359237, rel=TIGHT)
    for bad in (8, "8", "8 in", "8 N.m", "8 mN", True, None, [], "1e9 N", math.inf, "8 bananas"):
        with pytest.raises(NotAQuantity):
            force_newton(bad)
    for bad in (2.5, "2.5", "2.5 N", "2.5 lbf", "2.5 kgf", "2.5 mm", None, {}, "1e9 kg"):
        with pytest.raises(NotAQuantity):
            mass_kg(bad)


# Nut advance per degree = 25.4/n/360. Source: ASME B1.1, ISO 261; exact, to the digits printed.
@pytest.mark.parametrize(
    ("text", "um_per_degree"),
    [
        ("16 tpi", "4.410"),
        ("14 tpi", "5.040"),
        ("12 tpi", "5.880"),
        ("1.5 mm", "4.167"),
        ("2 mm", "5.556"),
    ],
)
def test_the_nuts_advance(text: str, um_per_degree: str) -> None:
    """A degree of the nut moves it a 360th of its pitch."""
    assert f"{pitch_um(text) / 360.0:.3f}" == um_per_degree


def test_pitches_are_told_with_their_unit() -> None:
    """Threads an inch are no length, and a bare number may be either."""
    assert pitch_um("14 threads per inch") == pitch_um("14 TPI") == pytest.approx(25400 / 14)
    for bad in (14, 1.5, "14", "14 mm", "0 tpi", "-14 tpi", "14 kg", "tpi", None, "0.1 mm"):
        with pytest.raises(NotAQuantity):
            pitch_um(bad)


def test_shown_to_the_digits_of_the_bench() -> None:
    """To what a wrench can tell; a hair below zero is zero, a hundred has no decimals."""
    value = torque_newton_m("20.26 lbf.in", None)
    assert [shown_torque(value, unit) for unit in TORQUE_UNITS] == [
        "2.29 N·m", "20.3 lbf·in", "1.69 lbf·ft", "23.3 kgf·cm", "0.233 kgf·m", "324 ozf·in",
    ]  # fmt: skip
    assert shown_torque(torque_newton_m("165 lbf.ft", None), "N.m") == "224 N·m"
    assert bare_torque(-1e-9, "N.m") == "0.00"


def test_unit_words() -> None:
    """A unit is known by its usual spellings and by no other word."""
    words = ("lbf·in", "in-lb", "Nm", "ft.lbf", "kgf.m", "oz in", "N.cm", "nm", "lbf", 3, "", "mN")
    assert [torque_unit_named(word) for word in words] == [
        "lbf.in", "lbf.in", "N.m", "lbf.ft", "kgf.m", "ozf.in", *[None] * 6,
    ]  # fmt: skip


@given(st.text(max_size=30) | st.floats() | st.integers() | st.booleans() | st.none())
def test_anything_is_read_or_refused(value: object) -> None:
    """Whatever stands in a file is a finite amount or a refusal in one line, and nothing else."""
    reads = [lambda v, u=unit: torque_newton_m(v, u) for unit in (*TORQUE_UNITS, None)]
    for read in (*reads, force_newton, mass_kg, pitch_um):
        try:
            assert math.isfinite(read(value))
        except NotAQuantity as bad:
            assert str(bad).isprintable()


@given(
    st.floats(1e-6, 300.0), st.sampled_from(TORQUE_UNITS), st.sampled_from(TORQUE_UNITS),
    st.sampled_from(("·", ".", "-", " ", "")),
)  # fmt: skip
def test_units_and_spellings_change_nothing(value: float, one: str, two: str, dot: str) -> None:
    """A torque written in another unit, with another dot, is the same torque."""
    newton_m = torque_newton_m(value, one)
    text = f"{in_torque_unit(newton_m, two)!r} {two.replace('.', dot)}"
    assert torque_newton_m(text, None) == pytest.approx(newton_m, rel=4 * TIGHT)
