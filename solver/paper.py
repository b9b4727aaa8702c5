"""A sheet of paper as plain shapes and words, before anything is known of PDF; millimetres.

The origin is the top left corner, y downwards. Everything is black, white or grey.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # wide and tall [mm], exact
Point = tuple[float, float]
Measure = Callable[[str, float, bool], float]  # (words, size [mm], bold) -> how wide [mm]


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words."""

    text: str
    x_mm: float  # of its left end
    y_mm: float  # of the line it stands on
    size_mm: float
    bold: bool = False
    white: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points."""

    points: tuple[Point, ...]  # [mm]
    wide_mm: float = 0.2
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Area:
    """A filled shape."""

    points: tuple[Point, ...]  # [mm]
    grey: float = 1.0  # 0 black, 1 white
    edge_mm: float = 0.2  # width of its edge; 0: none


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle drawn as a line; the diameter is that of the line's middle."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    wide_mm: float = 0.2


Item = Words | Line | Area | Circle


@dataclass(frozen=True, slots=True)
class Paper:
    """One sheet of paper."""

    wide_mm: float
    tall_mm: float
    items: tuple[Item, ...]


def box(left_mm: float, top_mm: float, right_mm: float, bottom_mm: float) -> tuple[Point, ...]:
    """Give the corners of a box. left_mm, top_mm, right_mm, bottom_mm. Returns four points."""
    return (
        (left_mm, top_mm),
        (right_mm, top_mm),
        (right_mm, bottom_mm),
        (left_mm, bottom_mm),
    )
