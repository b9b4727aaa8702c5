"""From rows to an estimate of every unknown, with covariance and gain."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.job import QUANTITIES, Job
from solver.least_squares import Fit, NotSettled, Undetermined, fit
from solver.mechanics import CLEARANCE, GAP, RATIO
from solver.pieces import Unknowns, list_unknowns
from solver.rows import Row, list_rows
from solver.trouble import Fault, Trouble

LEAST_RATIO = 0.02  # backlash that hardly follows the wheel: no pair of gears does that
WAYS = {
    "total clearance": "a total clearance, an end float or a plain gap",
    "mesh gap": "a mesh gap, a travel to mesh, a far gap in mesh or a backlash with shims fitted",
}


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """What the readings and priors say together; `fit` has one row for each of `rows`."""

    unknowns: Unknowns
    rows: tuple[Row, ...]  # two-sided rows first, then the one-sided ones
    fit: Fit
    against: tuple[float, ...]  # for each one-sided row: the chance that the others left it

    @property
    def two_sided(self) -> int:
        """Number of rows that are values, not bounds."""
        return len(self.rows) - len(self.against)


def estimate_job(job: Job, drawer: Drawer) -> Estimate:
    """Estimate the carrier's quantities, its ratio and share, and every common error.

    job, drawer: as read. Returns: an Estimate, lengths in µm. Raises: Trouble where a quantity has
    no reading. Limits: linear at the estimate; a one-sided reading enters as the normal law of the
    same mean and spread as its truncation leaves. Source: GUM and JCGM 102; the truncation by
    moments (expectation propagation, Minka 2001, from memory).
    """
    unknowns = list_unknowns(job, drawer)
    rows = list_rows(job, drawer, unknowns)
    plain = tuple(row for row in rows if not row.side)
    sided = tuple(row for row in rows if row.side)
    signs = (job.seats[0].sign, job.seats[1].sign)
    start = _start(plain, unknowns, signs)
    found: Fit | None
    try:
        found = _settle(plain, (), (), start, signs)
        sites, against = _bound(plain, sided, found, signs)
        if sided:
            found = _settle(plain, sided, sites, found.x, signs)
    except Undetermined as open_places:
        raise Trouble(_missing(open_places, job)) from None
    except NotSettled:
        found = None
    if found is None or found.x[RATIO] < LEAST_RATIO:
        fault = Fault(
            f"{job.title or 'job'}: readings",
            "readings that no clearance, gap and ratio can explain together",
            "readings of one axle",
            "check units and signs, and switch off the readings least trusted",
            ("readings",),
        )
        raise Trouble([fault])
    return Estimate(unknowns, plain + sided, found, against)


def without_row(job: Job, estimate: Estimate, at: int) -> tuple[float, float, float] | None:
    """Say what the other rows make of one row.

    job; estimate: of it; at: place of a two-sided row. Returns: its value by the others alone and
    the standard uncertainty of that [µm, or bare], and the chi-square of the others; None where
    they do not settle it. Fitted anew, for a large error bends what a linear step back from the
    common estimate would say.
    """
    plain, sided = estimate.rows[: estimate.two_sided], estimate.rows[estimate.two_sided :]
    others = plain[:at] + plain[at + 1 :]
    signs = (job.seats[0].sign, job.seats[1].sign)
    start = _start(others, estimate.unknowns, signs)
    try:
        found = _settle(others, (), (), start, signs)
        if sided:
            sites, _ = _bound(others, sided, found, signs)
            found = _settle(others, sided, sites, found.x, signs)
    except (Undetermined, NotSettled):
        return None
    value, slope = plain[at].predict(found.x, signs)
    miss = (found.residual / found.u)[: len(others)]
    return value, math.sqrt(max(float(slope @ found.cov @ slope), 0.0)), float(miss @ miss)


def _missing(open_places: Undetermined, job: Job) -> list[Fault]:
    names = [QUANTITIES[at] for at in open_places.places if at in (CLEARANCE, GAP)] or ["readings"]
    return [
        Fault(
            f"{job.title or 'job'}: readings",
            f"no reading that settles the {name}",
            WAYS.get(name, "readings that settle clearance and gap"),
            "add such a reading (or switch one on again)",
            ("readings",),
        )
        for name in names
    ]


def _start(rows: tuple[Row, ...], unknowns: Unknowns, signs: tuple[int, int]) -> np.ndarray:
    """Begin at the priors' centres, with clearance and gap from whatever is linear in them."""
    x = np.array([unknown.centre for unknown in unknowns.items])
    linear = [row for row in rows if row.of not in ("prior", "backlash")]
    if not linear:
        return x
    predicted, slopes = zip(*(row.predict(x, signs) for row in linear), strict=True)
    miss = np.array([row.spread.centre_um for row in linear]) - np.array(predicted)
    x[:2] += np.linalg.lstsq(np.array(slopes)[:, :2], miss, rcond=None)[0]
    return x


def _settle(
    plain: tuple[Row, ...],
    sided: tuple[Row, ...],
    sites: tuple[tuple[float, float], ...],
    start: np.ndarray,
    signs: tuple[int, int],
) -> Fit:
    """Fit the rows, twice where a backlash was read on a carrier that still floats."""
    rows = plain + sided

    def model(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        pairs = [row.predict(x, signs) for row in rows]
        return np.array([pair[0] for pair in pairs]), np.array([pair[1] for pair in pairs])

    values = np.array([row.spread.centre_um for row in plain] + [site[0] for site in sites])
    base = np.array([_least_u(row) for row in plain] + [site[1] for site in sites])
    x, loose_before = start, np.zeros(len(rows))
    for _ in range(4):
        loose = np.array([row.float_u_um(x, signs) for row in plain] + [0.0] * len(sided))
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
    plain: tuple[Row, ...], sided: tuple[Row, ...], found: Fit, signs: tuple[int, int]
) -> tuple[tuple[tuple[float, float], ...], tuple[float, ...]]:
    """Find, for each one-sided row, the value and spread that stand for its truncation.

    Each row in turn: what the others say of it (its cavity), truncated, gives the site.
    """
    sites = [(row.spread.centre_um, 1e9) for row in sided]
    against = [1.0] * len(sided)
    for _ in range(30 if sided else 0):
        before = list(sites)
        for at, row in enumerate(sided):
            found = _settle(plain, sided, tuple(sites), found.x, signs)
            mean, slope = row.predict(found.x, signs)
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
