"""Colours that can be told apart and read; words of both trades."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from desktop import tokens

TEXT_CASES = [(mode, *pair) for mode in tokens.PALETTES for pair in tokens.TEXT_PAIRS]
SEEN = {  # linear RGB of full colour blindness; Machado, Oliveira, Fernandes 2009, severity 1.0
    "usual": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
SIDES_APART, SEATS_APART, STATES_APART = 75.0, 24.0, 12.0  # Delta E of CIE 1976
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
        ("pinion head", "Pinion head", "Pinion head"),
        ("pinion end float", "Pinion end float", "Pinion end play"),
        ("crush spacer", "Crush spacer", "Crush sleeve"),
    ],
)
def test_both_trades_have_their_words(name: str, uk: str, us: str) -> None:
    """A name of the files is said as each trade says it."""
    assert tokens.trade_name(name, "UK") == uk
    assert tokens.trade_name(name, "US") == us


def apart(one: str, other: str, seen: str) -> float:
    """How far two colours are apart for somebody. one, other: '#RRGGBB'; seen: of SEEN.

    Returns: Delta E of CIE 1976, white point D65.
    """
    to_xyz = np.array(
        [
            [0.4124564, 0.3575761, 0.1804375],
            [0.2126729, 0.7151522, 0.0721750],
            [0.0193339, 0.1191920, 0.9503041],
        ]
    )

    def lab(colour: str) -> np.ndarray:
        byte = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
        linear = np.where(byte <= 0.04045, byte / 12.92, ((byte + 0.055) / 1.055) ** 2.4)
        shown = to_xyz @ np.clip(np.array(SEEN[seen]) @ linear, 0.0, 1.0)
        part = shown / (to_xyz @ np.ones(3))
        root = np.where(part > 216 / 24389, np.cbrt(part), (24389 / 27 * part + 16) / 116)
        return np.array([116 * root[1] - 16, 500 * (root[0] - root[1]), 200 * (root[1] - root[2])])

    return float(np.linalg.norm(lab(one) - lab(other)))


def test_distance_of_known_colours() -> None:
    """Black and white are 100 apart for everybody; sRGB red lies at L* 53.2, a* 80.1, b* 67.2.

    Source: CIE 1976 L*a*b* of the sRGB primaries (D65), from memory.
    """
    for seen in SEEN:
        assert apart("#000000", "#FFFFFF", seen) == pytest.approx(100.0, abs=0.5)
    red = (53.24**2 + 80.09**2 + 67.20**2) ** 0.5
    assert apart("#FF0000", "#000000", "usual") == pytest.approx(red, abs=0.1)


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("mode", tokens.PALETTES)
def test_seats_are_told_apart_by_everybody(mode: str, seen: str) -> None:
    """The carrier's sides are far apart, every two seats well apart, the pinion's from states too.

    A seat also has its name and its place, and a state its word and mark: colour never stands
    alone.
    """
    colours = tokens.palette(mode)
    of = {seat: getattr(colours, seat) for seat in tokens.SEAT_TOKENS}
    assert apart(of["wheel_side"], of["plain_side"], seen) >= SIDES_APART
    for one, other in combinations(of, 2):
        assert apart(of[one], of[other], seen) >= SEATS_APART, f"{one} and {other}"
    for seat in tokens.SEAT_TOKENS[2:]:
        for state in ("good", "warn", "bad"):
            assert apart(of[seat], getattr(colours, state), seen) >= STATES_APART, (seat, state)
