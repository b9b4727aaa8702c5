"""Everything the corridor finds out about a job, as frozen types; every street door shows these.

Lengths in µm, chances 0 to 1. The rooms that fill them in: estimate, choice, verdict, budget, mend.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.job import Job
from solver.plan import Plan
from solver.units import shown_length


@dataclass(frozen=True, slots=True)
class Estimated:
    """A quantity as the readings leave it; µm, or a bare number for a ratio or share."""

    name: str
    value: float
    u: float
    bare: bool = False  # transfer ratio and pinch share have no unit


@dataclass(frozen=True, slots=True)
class Suspect:
    """A reading that stands against the others."""

    reading: int | None  # number in the file; None: a prior (the assumed ratio or share)
    parts: tuple[str | float, ...]  # one sentence in bench words, its lengths as numbers [µm]

    def words(self, unit: str) -> str:
        """Say it. unit: of its lengths. Returns the sentence."""
        return "".join(
            part if isinstance(part, str) else shown_length(part, unit) for part in self.parts
        )


@dataclass(frozen=True, slots=True)
class Agreement:
    """Whether the readings can all be right."""

    chi_square: float
    freedom: int
    p: float | None  # None without redundant readings
    state: str  # 'unchecked', 'agree', 'look again', 'disagree'
    suspects: tuple[Suspect, ...]
    unchecked: tuple[str, ...]  # what no other reading checks
    scattered: tuple[str, ...]  # repeats that scatter more than their tool is said to, or drift
    unnoticed_um: tuple[tuple[str, float], ...] = ()  # how far off each could be, undetected


@dataclass(frozen=True, slots=True)
class ResultFound:
    """One result with a plan fitted."""

    name: str  # as in its limit
    predicted_um: float
    u_um: float
    low_um: float
    high_um: float
    chance: float  # simulated, of this limit alone
    expect_um: tuple[float, float]  # simulated 95 % band
    freedom: float  # effective degrees of freedom of u_um; infinity where no repeats count
    expanded_um: float  # half-width of the 95 % band by the GUM: Student's t times u_um


@dataclass(frozen=True, slots=True, eq=False)
class Verdict:
    """A plan judged from scratch."""

    plan: Plan
    chance: float  # simulated: what the user is promised
    normal_chance: float
    jam_chance: float  # P(backlash <= 0)
    results: tuple[ResultFound, ...]
    effective: float  # number of simulated builds that carry the weight
    cloud_um: np.ndarray  # [µm, (m, 1 or 2)] a few hundred simulated builds: see `clouded`
    even_chance: float = 1.0  # that the spread round the wheel meets its limit, whatever is fitted

    @property
    def clouded(self) -> tuple[ResultFound, ...]:
        """The results that the columns of the cloud are of."""
        return self.results[: self.cloud_um.shape[1]]

    @property
    def by_shims(self) -> float:
        """The chance as far as shims decide it: that of everything but the spread."""
        return min(self.chance / max(self.even_chance, 1e-9), 1.0)


@dataclass(frozen=True, slots=True)
class Normal:
    """The choice by the normal law alone, with its proof."""

    plan: Plan
    chance: float
    proved: bool


@dataclass(frozen=True, slots=True)
class Other:
    """Another plan worth knowing."""

    plan: Plan
    chance: float  # simulated
    predicted_um: tuple[float, ...]  # results, in the job's order


@dataclass(frozen=True, slots=True)
class Share:
    """What one input adds to a result's variance."""

    input: str
    share: float
    u_um: float  # its part of the result's standard uncertainty
    chance_if_perfect: float
    reading: int | None  # number in the file, where the input is a reading


@dataclass(frozen=True, slots=True)
class Mend:
    """The one thickness that, cut or bought, would reach the wanted chance (or come nearest)."""

    seat: str
    thickness_um: float
    chance: float  # with it, by the normal law
    enough: bool  # whether that reaches the wanted chance
    plan: Plan  # with the new piece in it, under the id 'new' (or 'new 2', …)
    ceiling: float  # the chance with any thicknesses at all: below wanted, measure better instead


LEAST_GAIN = 0.005  # of a further reading: less is none


@dataclass(frozen=True, slots=True)
class Further:
    """A reading that could be taken next, and the chance it leads to."""

    kind: str  # 'again', 'measure' (a piece), 'part' (a dimension) or 'trial' (fit the plan, read)
    reading: int | None  # number in the file of the one to take again
    lot: str  # id of the piece to measure, or name of the dimension
    times: int
    effort: str  # 'bench', 'piece' or 'assembly'
    chance: float  # expected, the plan chosen anew for whatever it shows; normal law


@dataclass(frozen=True, slots=True)
class Worth:
    """What further readings are worth, the best first."""

    now: float  # best chance without any of them, by the same reckoning
    readings: tuple[Further, ...]


@dataclass(frozen=True, slots=True)
class Warm:
    """Pinch and backlash at working temperature, where they were aimed at 20 °C."""

    celsius: float
    grown_um: float  # by how much the free clearance is larger
    pinch_um: float  # negative: end float
    pinch_u_um: float
    least_um: float  # backlash; the two are equal unless there is end float
    most_um: float
    backlash_u_um: float


@dataclass(frozen=True, slots=True)
class Without:
    """What the answer would be without the reading that stands against all the others."""

    reading: int  # number in the file
    of: str
    state: str  # of the agreement of the others
    status: str
    chance: float
    plan: Plan | None


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """The finished answer. status: 'met', 'short' or 'none'; verdict is None for 'none'."""

    job: Job
    drawer: Drawer
    status: str
    chance: float
    verdict: Verdict | None
    normal: Normal | None
    estimates: tuple[Estimated, ...]
    agreement: Agreement
    assumed: tuple[str, ...]
    others: tuple[Other, ...]
    budget: tuple[tuple[str, tuple[Share, ...]], ...]  # (result, shares from the largest down)
    mend: Mend | None
    nearest: str = ""  # status 'none': the limit in conflict and the nearest plan, in words
    without: Without | None = None  # readings differ, and one of them stands out
    picked: bool = False  # about a plan that somebody wants to look at, not the chosen one
