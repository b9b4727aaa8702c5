"""How many trial fits it takes until the backlash lies inside the window. Run as a script:

    python tests/bench/trial_fits.py [BUILDS]     # 2000 builds unless said

Against the usual rule of thumb (common practice, no source): move the shim by the backlash error
divided by 0.7 and keep the total. Both fit first what the feelers say, the rule with 0.7 and half
of the pinch; both see the same errors. Any thickness can be had. True values are drawn from the
priors of a job that says nothing of its teeth: transfer ratio 0.75 within 0.25, pinch share 0.5
within 0.25.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from solver.drawer import Drawer  # noqa: E402
from solver.estimate import estimate_job  # noqa: E402
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Stack  # noqa: E402
from solver.law import law_of  # noqa: E402
from solver.region import find_peak  # noqa: E402
from tests.jobs import DIAL, FEELERS, THOU_UM, a_job  # noqa: E402

WANTED, PINCH = 6.0, 6.0  # thou
RULE = 0.7
MOST = 12
READ, ONCE, SHARED = 0.4, 0.2, 0.2  # thou: a feeler reading, a dial reading, what a tool is off by
CLOCK = replace(DIAL, repeat_um=ONCE * THOU_UM)


@dataclass(frozen=True, slots=True)
class Axle:
    """What is true of one axle and wrong with its readings; lengths in thou."""

    clearance: float
    gap: float
    ratio: float
    share: float
    feelers_off: float
    dial_off: float
    read_off: tuple[float, float]  # of clearance and gap
    dial_noise: tuple[float, ...]  # of each trial

    @property
    def read(self) -> tuple[float, float]:
        """What the feelers say of clearance and gap [thou]."""
        one, two = self.read_off
        return self.clearance + self.feelers_off + one, self.gap + self.feelers_off + two

    def backlash(self, wheel: float, plain: float) -> float:
        """True backlash with both sides shimmed [thou]."""
        pinch = wheel + plain - self.clearance
        return self.ratio * (self.gap - wheel + self.share * max(pinch, 0.0))

    def shown(self, wheel: float, plain: float, trial: int) -> float:
        """What the dial shows [thou]."""
        return self.backlash(wheel, plain) + self.dial_off + self.dial_noise[trial]


def an_axle(rng: np.random.Generator) -> Axle:
    """Draw one axle."""
    return Axle(
        51.0, 24.5, rng.uniform(0.5, 1.0), rng.uniform(0.25, 0.75),
        rng.uniform(-SHARED, SHARED), rng.uniform(-SHARED, SHARED),
        (rng.normal(0, READ), rng.normal(0, READ)), tuple(rng.normal(0, ONCE, MOST)),
    )  # fmt: skip


def by_rule(axle: Axle, half: float) -> int:
    """Trial fits that the rule of thumb takes. half: of the window [thou]."""
    clearance, gap = axle.read
    wheel = gap - WANTED / RULE + PINCH / 2
    for trial in range(MOST):
        plain = clearance + PINCH - wheel
        if abs(axle.backlash(wheel, plain) - WANTED) <= half:
            return trial + 1
        wheel += (axle.shown(wheel, plain, trial) - WANTED) / RULE
    return MOST


def by_estimate(axle: Axle, half: float) -> int:
    """Trial fits that it takes where every one is a reading. half: of the window [thou]."""
    clearance, gap = axle.read
    readings = (
        Reading(1, "total clearance", FEELERS, values_um=(clearance * THOU_UM,)),
        Reading(2, "mesh gap", FEELERS, values_um=(gap * THOU_UM,)),
    )
    job = a_job(
        backlash_thou=(WANTED - half, WANTED + half),
        pinch_thou=(PINCH - 2.0, PINCH + 2.0),
        readings=readings,
        mesh=Mesh(0.75, 0.25, 0.5, 0.25),
        tools=(FEELERS, CLOCK),
    )
    for trial in range(MOST):
        wheel, plain = best_thicknesses(job)
        if abs(axle.backlash(wheel, plain) - WANTED) <= half:
            return trial + 1
        shown = axle.shown(wheel, plain, trial)
        fitted = tuple(
            Stack(seat, thick * THOU_UM, 0.05 * THOU_UM)
            for seat, thick in ((WHEEL_SIDE, wheel), (PLAIN_SIDE, plain))
        )
        new = Reading(trial + 3, "backlash", CLOCK, values_um=(shown * THOU_UM,), fitted=fitted)
        job = replace(job, readings=(*job.readings, new))
    return MOST


def best_thicknesses(job: Job) -> tuple[float, float]:
    """The thicknesses with the highest chance [thou]."""
    estimate = estimate_job(job, Drawer(()))
    wheel, plain = find_peak(law_of(job, estimate)).stacks_um / THOU_UM
    return float(wheel), float(plain)


def trials(builds: int, half: float, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Trial fits of many axles. Returns: by the estimate, by the rule [(builds,)] each."""
    rng = np.random.default_rng(seed)
    axles = [an_axle(rng) for _ in range(builds)]
    ours = np.array([by_estimate(axle, half) for axle in axles])
    return ours, np.array([by_rule(axle, half) for axle in axles])


def main(builds: int) -> None:
    """Print the table."""
    print(f"{builds} builds      fits on average      right first time     three or more")
    print("window        estimate   rule      estimate   rule      estimate   rule")
    for half in (0.5, 1.0, 1.5):
        ours, rule = trials(builds, half)
        cells = [(f.mean(), (f == 1).mean(), (f >= 3).mean()) for f in (ours, rule)]
        print(
            f"±{half} thou       {cells[0][0]:.2f}     {cells[1][0]:.2f}"
            f"        {cells[0][1]:5.0%}    {cells[1][1]:5.0%}"
            f"       {cells[0][2]:6.1%}   {cells[1][2]:6.1%}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
