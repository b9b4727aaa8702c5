"""A line of dimensions: signed lengths of parts that close with a gap, and the shims in it.

result = sum of factor x dimension + sum of factor x stack; a factor is +1 where more of it is more
of the result, -1 where less; others stand for levers and wedges. A line's limits hold at its own
temperature; lengths as drawn and as thicknesses are those at 20 °C (ISO 1).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.metals import EXPANSION_WITHIN, EXPANSIONS

COLD_C = 20.0  # ISO 1
SHIMS = "steel"
SHAPES = ("rectangular", "triangular", "normal")
Factors = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length of a part at 20 °C: as drawn or certified, measured by readings, or both."""

    name: str
    drawn_um: float | None = None  # middle of its tolerance; None: only readings tell
    within_um: float = 0.0  # half of its tolerance
    shape: str = "rectangular"  # of what lies within it, one of `SHAPES`
    coverage: float = 3.0  # normal: half the tolerance is so many standard deviations (k)
    metal: str = ""  # of `EXPANSIONS`, or a name of the user's own; '' does not grow
    per_k: float = 0.0  # expansion
    about_um: float = 0.0  # length that its growth is reckoned from

    @property
    def u_um(self) -> float:
        """Standard uncertainty as drawn [µm]. Source: GUM 4.3.7 (rectangular), 4.3.9 (triangular),
        4.3.4 (normal with k)."""
        if self.shape == "normal":
            return self.within_um / self.coverage
        return self.within_um / math.sqrt(6.0 if self.shape == "triangular" else 3.0)

    def growth_um(self, celsius: float) -> float:
        """How much longer it is than at 20 °C [µm]. celsius [°C]. Source: linear expansion."""
        return self.about_um * self.per_k * (celsius - COLD_C)


@dataclass(frozen=True, slots=True)
class Line:
    """One result: what adds up to it."""

    name: str
    terms: Factors  # dimensions
    seats: Factors
    celsius: float = COLD_C  # where its limits hold

    def growths_um(self, dimensions: tuple[Dimension, ...], celsius: float) -> dict[str, float]:
        """How much each metal's growth adds to the result [µm]. dimensions: of the job; celsius."""
        found: dict[str, float] = {}
        for name, factor in self.terms:
            one = next(one for one in dimensions if one.name == name)
            if one.metal and celsius != COLD_C:
                grown = factor * one.growth_um(celsius)
                found[one.metal] = found.get(one.metal, 0.0) + grown
        return found


def stack_growth(celsius: float) -> float:
    """How much longer a stack of steel shims is than at 20 °C, as a factor. celsius [°C]."""
    return 1.0 + EXPANSIONS[SHIMS] * 1e-6 * (celsius - COLD_C)


def bare_name(line: str) -> str:
    """The dimension of a line of which no part is told: its gap with no shims. line: its name."""
    return f"{line} without shims"


def growth_name(metal: str) -> str:
    """The unknown that says how right a metal's expansion is: 1 within `GROWTH_WITHIN`."""
    return f"growth of {metal}"


def effect_words(seat: str, lines: tuple[Line, ...]) -> str:
    """Say what more shim does to the lines that a seat is in.

    seat: its name; lines: of the job. Returns words such as 'more shim, less end float'; '' for a
    seat in no line.
    """
    said = [
        f"{'more' if factor > 0 else 'less'} {line.name}"
        for line in lines
        for name, factor in line.seats
        if name == seat
    ]
    return f"more shim, {' and '.join(said)}" if said else ""


GROWTH_WITHIN = EXPANSION_WITHIN
