"""What one reading of the rotating torque says, and how far it may be off.

    wrench   the torque itself
    pull     force on a line wound round a known radius      torque = force * radius
    weight   a weight on that line that just keeps it moving  torque = mass * g * radius

The radius is to the middle of the line. What is wrong with the tool or the radius is wrong with
every reading alike: it is in `common_share`, never in the reading's own uncertainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.spread import POOLED_FREEDOM, chi2_99
from solver.torque_units import GRAVITY

UM_PER_M = 1e6


@dataclass(frozen=True, slots=True)
class TorqueTool:
    """What the torque was read with; amounts in N·m (wrench), N (pull) or kg (weight)."""

    kind: str  # 'wrench', 'pull' or 'weight'
    within_share: float  # error common to every reading, at most: of the reading …
    within_amount: float  # … or so much of it
    repeat_share: float  # standard deviation of one reading by the same hand: either, too
    repeat_amount: float
    step_amount: float  # smallest division
    radius_um: float = 0.0  # of a pull or a weight, to the middle of the line
    radius_within_um: float = 0.0

    @property
    def lever(self) -> float:
        """How many N·m an amount of one is."""
        if self.kind == "wrench":
            return 1.0
        return self.radius_um / UM_PER_M * (GRAVITY if self.kind == "weight" else 1.0)


@dataclass(frozen=True, slots=True)
class Torque:
    """A torque with its standard uncertainty."""

    newton_m: float
    u_newton_m: float
    scattered: bool = False  # the repeats scatter more than their tool is said to


def by_pull(
    force_newton: float, u_force_newton: float, radius_um: float, u_radius_um: float
) -> Torque:
    """Torque of a pull on a line wound round a radius, both uncertainties in it.

    force_newton, u_force_newton [N]; radius_um, u_radius_um: standard uncertainties both.
    Source: law of propagation (GUM 5.1.2): relative uncertainties add in squares.
    """
    radius = radius_um / UM_PER_M
    u = math.hypot(u_force_newton * radius, force_newton * u_radius_um / UM_PER_M)
    return Torque(force_newton * radius, u)


def by_weight(mass_kg: float, u_mass_kg: float, radius_um: float, u_radius_um: float) -> Torque:
    """Torque of a weight on a line wound round a radius.

    mass_kg, u_mass_kg [kg]; radius_um, u_radius_um: standard uncertainties both. Limits: gravity
    is the standard one; air carries next to nothing of the weight.
    """
    return by_pull(mass_kg * GRAVITY, u_mass_kg * GRAVITY, radius_um, u_radius_um)


def read_torque(tool: TorqueTool, amounts: tuple[float, ...]) -> Torque:
    """Mean of repeats with their pooled spread, never less than the division allows.

    tool; amounts: repeats [N·m, N or kg as the tool's kind, (n,)]. Returns: the torque with the
    standard uncertainty of this reading alone. Source: as `spread.of_repeats`: pooled as GUM
    H.5.2.5, resolution as GUM F.2.2.1.
    """
    count = len(amounts)
    mean = math.fsum(amounts) / count
    repeat = max(tool.repeat_amount, tool.repeat_share * abs(mean))
    squares = math.fsum((one - mean) ** 2 for one in amounts)
    pooled = (POOLED_FREEDOM * repeat**2 + squares) / (POOLED_FREEDOM + count - 1)
    u = math.sqrt(max(pooled / count, tool.step_amount**2 / 12.0))
    # counted in steps, too: a hand that is said to be finer than the division is not to blame
    usual = max(repeat, tool.step_amount / math.sqrt(12.0))
    scattered = count > 1 and squares > usual**2 * chi2_99(count - 1)
    if tool.kind == "wrench":
        return Torque(mean, u, scattered)
    found = (by_weight if tool.kind == "weight" else by_pull)(mean, u, tool.radius_um, 0.0)
    return Torque(found.newton_m, found.u_newton_m, scattered)


def common_share(tool: TorqueTool, low_newton_m: float) -> float:
    """How far every reading may be off alike, as a share of the torque, rectangular.

    tool; low_newton_m: lower end of the window; an error stated as an amount is taken as its share
    of that. Returns: the half-width [1] of the rectangular with the variance of tool and radius.
    """
    of_tool = tool.within_share
    if tool.within_amount:
        of_tool = max(of_tool, tool.within_amount * tool.lever / low_newton_m)
    of_radius = tool.radius_within_um / tool.radius_um if tool.radius_um else 0.0
    return math.hypot(of_tool, of_radius)
