"""Degrees of freedom and Student's law, against the GUM and SciPy."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import stats

from solver.freedom import effective_freedom, student_quantile

PRINTED = 0.0051  # table G.2 is printed to two decimals


@pytest.mark.parametrize(
    ("share", "freedom", "t"),
    [
        (0.95, 1, 12.71),
        (0.9545, math.inf, 2.00),
        (0.99, 11, 3.11),
        (0.90, 10, 1.81),
        (0.95, 20, 2.09),
        (0.99, 16, 2.92),
    ],
)
def test_student_rows_of_the_gum(share: float, freedom: float, t: float) -> None:
    """The quantiles are those of GUM table G.2, and the last of GUM H.1.6."""
    assert student_quantile(share, freedom) == pytest.approx(t, abs=PRINTED)


@given(st.floats(0.01, 0.999), st.floats(1.0, 1e8))
@example(0.95, 1.0)
@example(0.999, 1.5)
@example(0.95, 1e6)
@example(0.95, 9.9e6)
def test_student_equals_scipy(share: float, freedom: float) -> None:
    """The quantile is SciPy's, for whole and broken degrees of freedom."""
    known = stats.t.ppf((1.0 + share) / 2.0, freedom)
    assert student_quantile(share, freedom) == pytest.approx(known, rel=1e-6)


@pytest.mark.parametrize(("share", "freedom"), [(0.0, 5), (1.0, 5), (0.95, 0.5), (0.9, math.nan)])
def test_student_refuses_what_has_no_quantile(share: float, freedom: float) -> None:
    """A share of 0 or 1, or less than one degree of freedom, has no quantile."""
    with pytest.raises(ValueError, match="no Student quantile"):
        student_quantile(share, freedom)


def test_welch_satterthwaite_rows() -> None:
    """Four equal parts of 10 make 40; 0.57 (9) with 0.25 (infinite) makes 12.8.

    Source: GUM G.4.1 and worked examples in its use.
    """
    assert effective_freedom([1.0] * 4, [10.0] * 4) == pytest.approx(40.0)
    assert effective_freedom([0.57, 0.25], [9.0, math.inf]) == pytest.approx(12.8, abs=0.051)


def test_what_is_known_without_repeats_has_no_end_of_freedom() -> None:
    """Parts without repeats leave the freedom infinite, and so do parts that add nothing."""
    assert effective_freedom([1.0, 2.0], [math.inf, math.inf]) == math.inf
    assert effective_freedom([0.0, 2.0], [4.0, math.inf]) == math.inf
    assert effective_freedom([], []) == math.inf


def test_every_part_needs_its_freedom() -> None:
    """Lists of different lengths are refused."""
    with pytest.raises(ValueError, match="shorter"):
        effective_freedom([1.0, 2.0], [4.0])


@given(st.lists(st.tuples(st.floats(0.01, 100.0), st.floats(1.0, 1e3)), min_size=1, max_size=8))
def test_freedom_lies_between_the_least_and_the_sum(parts: list[tuple[float, float]]) -> None:
    """The effective freedom is at least the least of the parts' and at most their sum (GUM G.4)."""
    found = effective_freedom([u for u, _ in parts], [v for _, v in parts])
    assert min(v for _, v in parts) * (1 - 1e-9) <= found <= sum(v for _, v in parts) * (1 + 1e-9)
