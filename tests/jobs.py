"""Small jobs and drawers: plain builders, and hypothesis strategies that build valid ones.

Every figure is invented. Lengths in the builders are in thou where the name says so, else in µm.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from solver.axle import CARRIER_RESULTS, Axle
from solver.drawer import Drawer, Lot
from solver.job import (
    BEHIND_RACE,
    PINION_HEAD,
    PINION_SPACER,
    PLAIN_SIDE,
    SITS,
    WHEEL_SIDE,
    Job,
    Limit,
    Mesh,
    Pinion,
    Reading,
    Seat,
    Stack,
    Tool,
)

THOU_UM = 25.4  # exact
FEELERS = Tool("feelers", 0.2 * THOU_UM, 0.4 * THOU_UM, 0.5 * THOU_UM, 0.3 * THOU_UM, "feelers")
DIAL = Tool("dial", 0.2 * THOU_UM, 0.3 * THOU_UM, 0.1 * THOU_UM, 0.3 * THOU_UM, "dial")
MICROMETER = Tool(
    "micrometer", 0.1 * THOU_UM, 0.05 * THOU_UM, 0.1 * THOU_UM, 0.3 * THOU_UM, "micrometer"
)
TOOLS = (FEELERS, DIAL, MICROMETER)
CARRIER = Axle(True, (1, 1), CARRIER_RESULTS, {})  # shims under a bearing on either side
GAUGE = Tool("gauge", 0.3, 0.3, 0.1, 0.1, "other")  # far sharper than a bench's


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


PINION = Pinion(BEHIND_RACE, "shoulder", 78_000.0, give_um=18.5, give_within_um=3.5)


def pinion_job(
    *,
    carrier: bool = False,
    solid: bool = False,
    pinion: Pinion = PINION,
    readings: tuple[Reading, ...] = (),
    depth_um: tuple[float, float] = (-40.0, 40.0),
    float_um: tuple[float, float] = (-70.0, -10.0),
    most: int = 3,
    wanted: float = 0.8,
) -> Job:
    """A job of a pinion, with its carrier or without, on a solid spacer or not.

    readings: of the pinion, in place of the usual; depth_um, float_um: limits [µm]; most: pieces
    in a seat. The head's shims come to about 0.75 mm, the spacer's to 1.2.
    """
    base = a_job(wanted=wanted)
    head = Seat(PINION_HEAD, pinion.sits, 0, most)
    seats = (head, Seat(PINION_SPACER, "spacer", 0, most)) if solid else (head,)
    sign = -1.0 if pinion.sits == "cartridge flange" else 1.0
    first = len(base.readings) + 1
    then = Stack(PINION_HEAD, 500.0, 2.0)
    usual = [
        Reading(
            first,
            "mounting distance",
            DIAL,
            values_um=tuple(78_731.0 - sign * 500.0 + off for off in (0.0, 5.0, -3.0)),
            fitted=(then,),
        )
    ]
    if solid:
        loose = tuple(100.0 + off for off in (0.0, 4.0, -6.0))
        fitted = (Stack(PINION_SPACER, 1_300.0, 2.0), then)
        usual.append(Reading(first + 1, "pinion end float", DIAL, values_um=loose, fitted=fitted))
    limits = [Limit("depth", *depth_um)]
    if solid:
        limits.append(Limit("pinion end float", *float_um))
    if carrier:
        pinion = replace(pinion, fitted=then, ratio=0.2, ratio_within=0.15)
    return replace(
        base,
        seats=(*base.seats, *seats) if carrier else seats,
        limits=(*base.limits, *limits) if carrier else tuple(limits),
        readings=(*(base.readings if carrier else ()), *(readings or usual)),
        pinion=pinion,
    )


@st.composite
def pinions_with_drawers(draw: st.DrawFn, *, carrier: bool) -> tuple[Job, Drawer]:
    """A job of a pinion and a small drawer from which it has some chance."""
    sits = draw(st.sampled_from(SITS))
    solid = draw(st.booleans()) if not carrier else False
    half = draw(st.sampled_from((12.0, 30.0)))
    job = pinion_job(
        carrier=carrier,
        solid=solid,
        pinion=replace(PINION, sits=sits),
        depth_um=(-half, half),
        most=2,
        wanted=draw(st.sampled_from((0.3, 0.7))),
    )
    sign = -1.0 if sits == "cartridge flange" else 1.0
    head = max(749.5 * sign, 60.0)
    lots = []
    aims = [head, head / 2.0, 1_180.0, 600.0] if solid or carrier else [head, head / 2.0]
    if carrier:
        aims = [head, 420.0, 900.0, 450.0]
    for at, aim in enumerate(aims):
        ticks = round(aim * 100) + draw(st.integers(-2_000, 2_000))
        unmeasured = draw(st.integers(0, 3)) == 0
        within = 7.6 if unmeasured else draw(st.sampled_from((1.3, 5.1)))
        tool = "" if unmeasured else "micrometer"
        lots.append(Lot(f"L{at}", ticks / 100.0, draw(st.integers(1, 2)), within, tool))
    return job, Drawer(tuple(lots))


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


def repeatable(examples: int) -> settings:
    """Settings of a property test that finds the same cases everywhere. examples: how many."""
    return settings(
        max_examples=examples,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )


@st.composite
def drawers(draw: st.DrawFn, most_lots: int = 5) -> Drawer:
    """Small drawers: measured and unmeasured lots, some for one seat only, whole ticks thick."""
    lots: list[Lot] = []
    for at in range(draw(st.integers(2, most_lots))):
        ticks = draw(st.integers(12_000, 75_000))
        unmeasured = draw(st.integers(0, 3)) == 0
        within_um = 7.6 if unmeasured else draw(st.sampled_from((1.3, 2.5, 5.1)))
        fits = draw(st.sampled_from(((), (), (), (WHEEL_SIDE,), (PLAIN_SIDE,))))
        tool = "" if unmeasured else "micrometer"
        count = draw(st.integers(1, 3))
        lot = Lot(f"L{at}", ticks / 100.0, count, within_um, tool, fits)
        if lots and draw(st.integers(0, 3)) == 0:  # equal to another in all but its count
            lot = replace(draw(st.sampled_from(lots)), id=lot.id, count=count)
        lots.append(lot)
    return Drawer(tuple(lots))


@st.composite
def jobs_with_drawers(
    draw: st.DrawFn, *, end_float: bool = True, most_lots: int = 5
) -> tuple[Job, Drawer]:
    """A valid small job with its drawer; readings are what one axle would show, give or take.

    end_float: windows that allow end float, too; most_lots: of the drawer.
    """
    drawer = draw(drawers(most_lots))
    cover = draw(st.integers(0, 4)) == 0
    seats = (
        Seat(WHEEL_SIDE, "bearing", draw(st.integers(0, 1)), draw(st.integers(1, 3))),
        Seat(PLAIN_SIDE, "cover" if cover else "bearing", 0, draw(st.integers(1, 3))),
    )
    lash = draw(st.integers(2, 8))
    lash_wide = draw(st.sampled_from((2, 4, 10, 20)))
    squeeze = draw(st.sampled_from((-2, 1, 3, 5) if end_float else (1, 3, 5)))
    squeeze_wide = draw(st.sampled_from((3, 6, 15)))
    # the axle is made around a stack out of the drawer, so that most jobs have an answer
    wheel, plain = (_some_stack(draw, drawer, seat) / THOU_UM for seat in seats)
    pinched = squeeze + squeeze_wide / 2 + draw(st.sampled_from((0.0, 0.0, 1.0, -2.0, 8.0)))
    clearance = round((wheel + plain - pinched) * 4) / 4
    gap = round(((lash + lash_wide / 2) / 0.72 + wheel - 0.5 * max(pinched, 0.0)) * 4) / 4
    readings = [clearance_reading(clearance), gap_reading(gap - 0.75, gap + 0.75)]
    axle = (clearance * THOU_UM, gap * THOU_UM)
    for extra in draw(st.lists(st.sampled_from(("trial", "bound", "plain gap")), unique=True)):
        number = len(readings) + 1
        if extra == "trial":
            readings.append(_trial(draw, drawer, seats, axle, number))
        elif extra == "bound":
            readings.append(_bound(draw, axle[0], number))
        else:
            fitted = (Stack(WHEEL_SIDE, 8.0 * THOU_UM, 0.1 * THOU_UM),)
            left = axle[0] - 8.0 * THOU_UM
            readings.append(Reading(number, "plain gap", FEELERS, (left,), fitted=fitted))
    job = a_job(
        wanted=draw(st.sampled_from((0.3, 0.8, 0.95, 0.99))),
        backlash_thou=(lash, lash + lash_wide),
        pinch_thou=(squeeze, squeeze + squeeze_wide),
        seats=seats,
        readings=tuple(readings),
        mesh=Mesh(0.72, draw(st.sampled_from((0.04, 0.12))), 0.5, 0.2),
    )
    return job, drawer


@st.composite
def sharp_axles_with_drawers(draw: st.DrawFn) -> tuple[Job, Drawer]:
    """An axle known to 1 µm, windows of a few µm: the drawer's own errors are the largest there."""
    lots = tuple(
        Lot(
            f"L{at}",
            draw(st.integers(12_000, 40_000)) / 100.0,
            draw(st.integers(1, 2)),
            0.2,
            "micrometer",
        )
        for at in range(draw(st.integers(3, 5)))
    )
    drawer = Drawer(lots)
    half = draw(st.sampled_from((1.0, 2.0, 5.0)))
    seats = (Seat(WHEEL_SIDE, "bearing", 0, 3), Seat(PLAIN_SIDE, "bearing", 0, 3))
    wheel, plain = (_some_stack(draw, drawer, seat) for seat in seats)
    middle = 165.0 + draw(st.integers(-3, 3))
    values = (wheel + plain - middle, middle / 0.72 + wheel - middle / 2.0)
    window = ((165.0 - half) / THOU_UM, (165.0 + half) / THOU_UM)
    job = a_job(
        wanted=draw(st.sampled_from((0.1, 0.5, 0.9999))),
        backlash_thou=window,
        pinch_thou=window,
        seats=seats,
        mesh=Mesh(0.72, 0.003, 0.5, 0.004),
        tools=(*TOOLS, GAUGE),
        readings=(
            Reading(1, "total clearance", GAUGE, values_um=(values[0],) * 3),
            Reading(2, "mesh gap", GAUGE, values_um=(values[1],) * 3),
        ),
    )
    return job, drawer


def _some_stack(draw: st.DrawFn, drawer: Drawer, seat: Seat) -> float:
    """Signed thickness of one to three of the drawer's pieces [µm]; 0 where none fits."""
    fit = [lot for lot in drawer.lots if not lot.fits or seat.name in lot.fits]
    if not fit:
        return 0.0
    lots = draw(st.lists(st.sampled_from(fit), min_size=1, max_size=seat.most))
    return seat.sign * sum(lot.thickness_um for lot in lots)


def _trial(
    draw: st.DrawFn,
    drawer: Drawer,
    seats: tuple[Seat, ...],
    axle: tuple[float, float],
    number: int,
) -> Reading:
    """A trial fit with pieces out of the drawer; reads what the axle (C, g) [µm] would show."""
    fitted, taken = [], dict.fromkeys((lot.id for lot in drawer.lots), 0)
    signed = [0.0, 0.0]
    for at, seat in enumerate(seats):
        lots = [
            lot
            for lot in drawer.lots
            if taken[lot.id] < lot.count and (not lot.fits or seat.name in lot.fits)
        ]
        if lots:
            lot = draw(st.sampled_from(lots))
            taken[lot.id] += 1
            signed[at] = seat.sign * lot.thickness_um
            fitted.append(Stack(seat.name, lots=((lot.id, 1),)))
    squeeze = sum(signed) - axle[0]
    travel = axle[1] - signed[0] + (0.5 * max(squeeze, 0.0) or 0.5 * squeeze)
    shown = 0.72 * travel + draw(st.integers(-5, 5))
    return Reading(number, "backlash", DIAL, values_um=(shown, shown + 1.0), fitted=tuple(fitted))


def _bound(draw: st.DrawFn, clearance_um: float, number: int) -> Reading:
    """A one-sided reading that is true of the axle. clearance_um [µm]; number in the file."""
    off = draw(st.sampled_from((0.0, 10.0, 40.0)))
    if draw(st.booleans()):
        return Reading(number, "total clearance", FEELERS, at_least_um=clearance_um - off)
    return Reading(number, "total clearance", FEELERS, at_most_um=clearance_um + off)


def shuffled(drawer: Drawer, seed: int) -> Drawer:
    """The drawer in another order. seed: of the shuffle. Returns it."""
    order = np.random.default_rng(seed).permutation(len(drawer.lots))
    return replace(drawer, lots=tuple(drawer.lots[at] for at in order))
