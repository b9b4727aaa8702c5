"""From rows to an estimate of every unknown, with covariance and gain."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.axle import Axle, axle_of
from solver.drawer import Drawer
from solver.job import Job
from solver.least_squares import Fit, NotSettled, Undetermined, fit
from solver.line import bare_name
from solver.mechanics import RATIO
from solver.pieces import BARE_DISTANCE, BARE_FLOAT, HEAD_HEIGHT, Unknowns, list_unknowns
from solver.rows import Row, list_rows
from solver.trouble import Fault, Trouble

LEAST_RATIO = 0.02  # backlash that hardly follows the wheel: no pair of gears does that
WAYS = {
    "total clearance": "a total clearance, an end float or a plain gap",
    "mesh gap": "a mesh gap, a travel to mesh, a far gap in mesh or a backlash with shims fitted",
    BARE_DISTANCE: "a mounting distance, or an axis to seat with a head height",
    HEAD_HEIGHT: "a head height",
    BARE_FLOAT: "a pinion end float with a trial stack fitted",
}


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """What the readings and priors say together; `fit` has one row for each of `rows`."""

    unknowns: Unknowns
    axle: Axle
    rows: tuple[Row, ...]  # two-sided rows first, then the one-sided ones
    fit: Fit
    against: tuple[float, ...]  # for each one-sided row: the chance that the others left it

    @property
    def two_sided(self) -> int:
        """Number of rows that are values, not bounds."""
        return len(self.rows) - len(self.against)


def estimate_job(job: Job, drawer: Drawer) -> Estimate:
    """Estimate the quantities of carrier and pinion, and every common error.

    job, drawer: as read. Returns: an Estimate, lengths in µm. Raises: Trouble where a quantity has
    no reading. Limits: linear at the estimate; a one-sided reading enters as the normal law of the
    same mean and spread as its truncation leaves. Source: GUM and JCGM 102; the truncation by
    moments (expectation propagation, Minka 2001, from memory).
    """
    unknowns = list_unknowns(job, drawer)
    axle = axle_of(job, drawer, unknowns)
    rows = list_rows(job, drawer, unknowns, axle)
    plain = tuple(row for row in rows if not row.side)
    sided = tuple(row for row in rows if row.side)
    start = _start(plain, unknowns, axle)
    found: Fit | None
    try:
        found = _settle(plain, (), (), start, axle)
        sites, against = _bound(plain, sided, found, axle)
        if sided:
            found = _settle(plain, sided, sites, found.x, axle)
    except Undetermined as open_places:
        raise Trouble(_missing(open_places, job, unknowns)) from None
    except NotSettled:
        found = None
    if found is None or (axle.carrier and found.x[RATIO] < LEAST_RATIO):
        fault = Fault(
            f"{job.title or 'job'}: readings",
            "readings that no clearance, gap and ratio can explain together",
            "readings of one axle",
            "check units and signs, and switch off the readings least trusted",
            ("readings",),
        )
        raise Trouble([fault])
    return Estimate(unknowns, axle, plain + sided, found, against)


def without_row(job: Job, estimate: Estimate, at: int) -> tuple[float, float, float] | None:
    """Say what the other rows make of one row.

    job; estimate: of it; at: place of a two-sided row. Returns: its value by the others alone and
    the standard uncertainty of that [µm, or bare], and the chi-square of the others; None where
    they do not settle it. Fitted anew, for a large error bends what a linear step back from the
    common estimate would say.
    """
    plain, sided = estimate.rows[: estimate.two_sided], estimate.rows[estimate.two_sided :]
    others = plain[:at] + plain[at + 1 :]
    axle = estimate.axle
    start = _start(others, estimate.unknowns, axle)
    try:
        found = _settle(others, (), (), start, axle)
        if sided:
            sites, _ = _bound(others, sided, found, axle)
            found = _settle(others, sided, sites, found.x, axle)
    except (Undetermined, NotSettled):
        return None
    value, slope = plain[at].predict(found.x, axle)
    miss = (found.residual / found.u)[: len(others)]
    return value, math.sqrt(max(float(slope @ found.cov @ slope), 0.0)), float(miss @ miss)


def _missing(open_places: Undetermined, job: Job, unknowns: Unknowns) -> list[Fault]:
    names = [unknowns.items[at].name for at in open_places.places]
    known = {*WAYS, *(one.name for one in job.dimensions)}
    names = [name for name in names if name in known] or ["readings"]
    return [
        Fault(
            f"{job.title or 'job'}: readings",
            f"no reading that settles the {name}",
            WAYS.get(name, _wanted(name, job)),
            "add such a reading (or switch one on again)",
            ("readings",),
        )
        for name in names
    ]


def _wanted(name: str, job: Job) -> str:
    """What would settle a quantity that is none of the axle's own."""
    line = next((line for line in job.lines if bare_name(line.name) == name), None)
    if line is not None:
        return f"a reading of the {line.name} with known shims fitted, or with none"
    if any(one.name == name for one in job.dimensions):
        return "a reading of it, or its length as drawn with a tolerance"
    return "readings that settle every quantity"


def _start(rows: tuple[Row, ...], unknowns: Unknowns, axle: Axle) -> np.ndarray:
    """Begin at the priors' centres, what the readings settle from whatever is linear in it."""
    x = np.array([unknown.centre for unknown in unknowns.items])
    linear = [row for row in rows if row.follows is not None or row.of not in ("prior", "backlash")]
    if not linear:
        return x
    free = [at for at, unknown in enumerate(unknowns.items) if unknown.within is None]
    predicted, slopes = zip(*(row.predict(x, axle) for row in linear), strict=True)
    miss = np.array([row.spread.centre_um for row in linear]) - np.array(predicted)
    x[free] += np.linalg.lstsq(np.array(slopes)[:, free], miss, rcond=None)[0]
    return x


def _settle(
    plain: tuple[Row, ...],
    sided: tuple[Row, ...],
    sites: tuple[tuple[float, float], ...],
    start: np.ndarray,
    axle: Axle,
) -> Fit:
    """Fit the rows, twice where a backlash was read on a carrier that still floats."""
    rows = plain + sided

    def model(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        pairs = [row.predict(x, axle) for row in rows]
        return np.array([pair[0] for pair in pairs]), np.array([pair[1] for pair in pairs])

    values = np.array([row.spread.centre_um for row in plain] + [site[0] for site in sites])
    base = np.array([_least_u(row) for row in plain] + [site[1] for site in sites])
    x, loose_before = start, np.zeros(len(rows))
    for _ in range(4):
        loose = np.array([row.float_u_um(x, axle) for row in plain] + [0.0] * len(sided))
        found = fit(model, values, np.hypot(base, loose), x)
        x = found.x
        if np.allclose(loose, loose_before, atol=0.01):
            break
        loose_before = loose
    return found


def _least_u(row: Row) -> float:
    """Standard uncertainty, kept above nothing so that the weights stay finite."""
    return max(row.spread.u_um, 1e-9)


def _bound(
    plain: tuple[Row, ...], sided: tuple[Row, ...], found: Fit, axle: Axle
) -> tuple[tuple[tuple[float, float], ...], tuple[float, ...]]:
    """Find, for each one-sided row, the value and spread that stand for its truncation.

    Each row in turn: what the others say of it (its cavity), truncated, gives the site.
    """
    sites = [(row.spread.centre_um, 1e9) for row in sided]
    against = [1.0] * len(sided)
    for _ in range(30 if sided else 0):
        before = list(sites)
        for at, row in enumerate(sided):
            found = _settle(plain, sided, tuple(sites), found.x, axle)
            mean, slope = row.predict(found.x, axle)
            spread = max(float(slope @ found.cov @ slope), 1e-12)
            site, site_u = sites[at]
            room = 1.0 / max(1.0 / spread - site_u**-2, 1e-15)
            centre = room * (mean / spread - site / site_u**2)
            sites[at], against[at] = _truncated(row, centre, room)
        moved = max(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in zip(sites, before, strict=True))
        if moved < 1e-3:
            break
    return tuple(sites), tuple(against)


def _truncated(row: Row, centre: float, room: float) -> tuple[tuple[float, float], float]:
    """Site (value, spread) that brings N(centre, room) to the moments of its softened truncation.

    Returns: the site, and the chance that the row's bound holds before it is applied.
    """
    total = math.sqrt(room + row.spread.u_um**2)
    z = row.side * (centre - row.spread.centre_um) / total
    chance = 0.5 * math.erfc(-z / math.sqrt(2.0))
    density = math.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi)
    hazard = density / chance if z > -8 else -z + 1.0 / -z  # Mills' ratio far out
    mean = centre + row.side * room * hazard / total
    left = room - room**2 * hazard * (z + hazard) / total**2
    left = min(max(left, room * 1e-9), room * (1.0 - 1e-12))
    precision = 1.0 / left - 1.0 / room
    value = (mean / left - centre / room) / precision
    return (value, precision**-0.5), chance
