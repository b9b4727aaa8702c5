"""Small jobs and drawers for tests: plain builders, and hypothesis strategies that build valid ones.

Every figure is invented. Lengths in the builders are in thou where the name says so, else in µm.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from solver.drawer import Drawer, Lot
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Limit, Mesh, Reading, Seat, Stack, Tool

THOU_UM = 25.4  # exact
FEELERS = Tool("feelers", 0.2 * THOU_UM, 0.4 * THOU_UM, 0.5 * THOU_UM, 0.3 * THOU_UM, "feelers")
DIAL = Tool("dial", 0.2 * THOU_UM, 0.3 * THOU_UM, 0.1 * THOU_UM, 0.3 * THOU_UM, "dial")
MICROMETER = Tool(
    "micrometer", 0.1 * THOU_UM, 0.05 * THOU_UM, 0.1 * THOU_UM, 0.3 * THOU_UM, "micrometer"
)
TOOLS = (FEELERS, DIAL, MICROMETER)


def clearance_reading(thou: float, number: int = 1, tool: Tool = FEELERS) -> Reading:
    """Three readings of a total clearance. thou: about which. Returns the reading."""
    values = tuple((thou + off) * THOU_UM for off in (0.0, 0.3, -0.2))
    return Reading(number, "total clearance", tool, values_um=values)


def gap_reading(goes_thou: float, stops_thou: float, number: int = 2) -> Reading:
    """A mesh gap between two leaves [thou]. Returns the reading."""
    return Reading(
        number, "mesh gap", FEELERS, goes_um=(goes_thou * THOU_UM,), stops_um=stops_thou * THOU_UM
    )


def a_job(
    *,
    wanted: float = 0.8,
    backlash_thou: tuple[float, float] = (5.0, 8.0),
    pinch_thou: tuple[float, float] = (5.0, 8.0),
    seats: tuple[Seat, ...] = (),
    readings: tuple[Reading, ...] = (),
    mesh: Mesh | None = None,
    tools: tuple[Tool, ...] = TOOLS,
) -> Job:
    """A job in thou. wanted: chance; limits [thou]; the rest as in a Job. Returns it."""
    return Job(
        title="test",
        unit="thou",
        drawer_path=None,
        wanted_chance=wanted,
        seats=seats or (Seat(WHEEL_SIDE, "bearing", 0, 3), Seat(PLAIN_SIDE, "bearing", 0, 3)),
        limits=(
            Limit("backlash", backlash_thou[0] * THOU_UM, backlash_thou[1] * THOU_UM),
            Limit("pinch", pinch_thou[0] * THOU_UM, pinch_thou[1] * THOU_UM),
        ),
        mesh=mesh or Mesh(0.72, 0.08, 0.5, 0.2),
        tools=tools,
        readings=readings or (clearance_reading(51.2), gap_reading(24.0, 25.0)),
    )


def a_drawer(
    lots: int,
    seed: int,
    *,
    thou: tuple[float, float] = (3.0, 30.0),
    ladder: bool = False,
    most: int = 3,
    unmeasured: float = 0.0,
    within_thou: tuple[float, ...] = (0.05, 0.1, 0.2),
) -> Drawer:
    """A drawer of random lots.

    lots: how many; seed; thou: thinnest and thickest; ladder: whole thou only; most: pieces in a
    lot; unmeasured: share of lots without a tool. Returns: the drawer, always the same.
    """
    rng = np.random.default_rng(seed)
    found = []
    for at in range(lots):
        thick = rng.uniform(*thou)
        thick = round(thick, 0 if ladder else 2)
        plain = rng.random() < unmeasured
        within = 0.3 if plain else float(rng.choice(within_thou))
        count = int(rng.integers(1, most + 1))
        tool = "" if plain else "micrometer"
        found.append(Lot(f"L{at}", thick * THOU_UM, count, within * THOU_UM, tool))
    return Drawer(tuple(found))
