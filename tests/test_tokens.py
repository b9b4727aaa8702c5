"""Colours that can be told apart and read; words of both trades."""

from __future__ import annotations

import pytest

from desktop import tokens

TEXT_CASES = [(mode, *pair) for mode in tokens.PALETTES for pair in tokens.TEXT_PAIRS]
SHAPE_CASES = [(mode, *pair) for mode in tokens.PALETTES for pair in tokens.SHAPE_PAIRS]


@pytest.mark.parametrize(("mode", "ink", "ground"), TEXT_CASES)
def test_text_can_be_read(mode: str, ink: str, ground: str) -> None:
    """Every text stands out from its ground by 4.5 to 1. Source: WCAG 2.2, 1.4.3."""
    colours = tokens.palette(mode)
    found = tokens.contrast(getattr(colours, ink), getattr(colours, ground))
    assert found >= tokens.TEXT_CONTRAST, f"{ink} on {ground}: {found:.2f}"


@pytest.mark.parametrize(("mode", "shape", "ground"), SHAPE_CASES)
def test_shapes_can_be_seen(mode: str, shape: str, ground: str) -> None:
    """Every shape that carries a meaning stands out by 3 to 1. Source: WCAG 2.2, 1.4.11."""
    colours = tokens.palette(mode)
    found = tokens.contrast(getattr(colours, shape), getattr(colours, ground))
    assert found >= tokens.SHAPE_CONTRAST, f"{shape} on {ground}: {found:.2f}"


def test_contrast_of_known_colours() -> None:
    """Black on white is 21, a colour on itself 1, and #767676 on white just passes at 4.54.

    Source: WCAG 2.2, definitions of contrast ratio and of relative luminance.
    """
    assert tokens.contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert tokens.contrast("#123456", "#123456") == pytest.approx(1.0)
    assert tokens.contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)
    assert tokens.contrast("#FFFFFF", "#767676") == tokens.contrast("#767676", "#FFFFFF")


def test_both_modes_are_whole() -> None:
    """Every token is a colour of its own in both modes, written as #RRGGBB."""
    for mode in ("light", "dark"):
        colours = tokens.palette(mode)
        for name in tokens.colour_names():
            value = getattr(colours, name)
            assert len(value) == 7 and int(value[1:], 16) >= 0, name
    assert tokens.palette("light") != tokens.palette("dark")


def test_mixing_ends_at_its_ends() -> None:
    """A mixture of nothing is the one colour, of everything the other."""
    assert tokens.mixed("#102030", "#A0B0C0", 0.0) == "#102030"
    assert tokens.mixed("#102030", "#A0B0C0", 1.0) == "#A0B0C0"


@pytest.mark.parametrize(
    ("name", "uk", "us"),
    [
        ("crown wheel", "Crown wheel", "Ring gear"),
        ("end float", "End float", "End play"),
        ("pinch", "Pinch", "Side-bearing preload"),
        ("mesh gap", "Mesh gap", "Mesh gap"),
    ],
)
def test_both_trades_have_their_words(name: str, uk: str, us: str) -> None:
    """A name of the files is said as each trade says it."""
    assert tokens.trade_name(name, "UK") == uk
    assert tokens.trade_name(name, "US") == us
