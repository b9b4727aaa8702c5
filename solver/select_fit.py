"""Select fit: the smallest stock of shim sizes that serves a wanted share of many assemblies.

Each assembly's gap is measured and the one shim that suits it is taken. An assembly that needs a
thickness from L to L + w is served by every size between; w is the limits' width less what
measuring and the shim itself may be off.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass

import numpy as np

from solver.drawer import Drawer
from solver.estimate import estimate_job
from solver.job import Job, Tool
from solver.plan import Plan, SeatStack
from solver.simulation import simulate_builds
from solver.trouble import Fault, Trouble
from solver.verdict import built_um

BATCHES = 60  # simulated, of all assemblies each
GUARD = 1.645  # standard uncertainties kept from each limit: 95 %, one-sided
SHIM_WITHIN_UM = 5.0  # of a shim measured by micrometer; common practice, no source
MOST_SIZES = 40
MOST_GRID = 4000
SEED = 20_262


@dataclass(frozen=True, slots=True)
class Size:
    """One thickness in the stock."""

    thickness_um: float
    count: int


@dataclass(frozen=True, slots=True)
class Stock:
    """The stock that serves the wanted share."""

    line: str
    seat: str
    assemblies: int
    wanted: float
    sizes: tuple[Size, ...]
    covered: float  # share that some size suits
    served: float  # mean share that gets one from the stock
    window_um: float  # how far a needed thickness may be off
    needed_um: tuple[float, float]  # that 99.8 % of assemblies need, middle of their window
    tool: str

    @property
    def pieces(self) -> int:
        """How many pieces there are in all."""
        return sum(size.count for size in self.sizes)


def find_stock(
    job: Job,
    assemblies: int,
    share: float,
    step_um: float,
    seat: str = "",
    shim_within_um: float = SHIM_WITHIN_UM,
) -> Stock:
    """Find the fewest sizes that suit a share of the assemblies, and how many of each.

    job: as drawn; assemblies: in a batch; share: wanted, 0 to 1 [1]; step_um: sizes are whole
    steps; seat: where the shim goes, '' for the first; shim_within_um: the most that a shim of the
    stock may be off. Returns: the Stock. The fewest sizes are exact for the simulated assemblies
    (dynamic programming); pieces are taken away one by one while the share is kept, which is small
    and not proved the least. Raises: Trouble where no size suits, or the limits leave no room to
    measure. Source: acceptance with a guard band, JCGM 106, 8.3.2.
    """
    line = next((one for one in job.lines if not seat or seat in dict(one.seats)), None)
    if line is None or not line.seats:
        raise _trouble(job, "no line with such a seat", "a seat of a line", "name one that it has")
    seat, factor = seat or line.seats[0][0], dict(line.seats)[seat or line.seats[0][0]]
    limit = job.limit(line.name)
    if not (math.isfinite(limit.low_um) and math.isfinite(limit.high_um)):
        raise _trouble(job, "no limit at one end", "a low and a high", "write both")
    empty = Plan(tuple(SeatStack(one.name, ()) for one in job.seats))
    estimate = estimate_job(job, Drawer(()))
    builds = simulate_builds(job, estimate, assemblies * BATCHES)
    gaps = built_um(job, estimate, builds, empty)[line.name]
    middles = ((limit.low_um + limit.high_um) / 2.0 - gaps) / factor
    tool = min(job.tools, key=lambda one: one.within_um, default=None)
    guard = GUARD * math.hypot(_read_u_um(tool), factor * shim_within_um / 3.0**0.5)
    window = (limit.high_um - limit.low_um - 2.0 * guard) / abs(factor)
    if window <= 0.0:
        raise _trouble(
            job, "limits narrower than measuring allows for", "room between them",
            "measure with something finer",
        )  # fmt: skip
    lows = middles - window / 2.0
    if float(np.quantile(lows + window, 1.0 - share)) <= 0.0:
        raise _trouble(job, "gaps that need no shim or less than none", "a gap", "check the signs")
    sizes, covered = fewest_sizes(lows, window, share, step_um)
    counts, served = fewest_pieces(lows.reshape(BATCHES, assemblies), window, sizes, share)
    ends = np.quantile(middles, (0.001, 0.999))
    return Stock(
        line.name, seat, assemblies, share,
        tuple(Size(float(s), n) for s, n in zip(sizes, counts, strict=True) if n),
        covered, served, window, (float(ends[0]), float(ends[1])), tool.name if tool else "",
    )  # fmt: skip


def _read_u_um(tool: Tool | None) -> float:
    """Standard uncertainty of one reading of a gap [µm]."""
    if tool is None:
        return 0.0
    return math.sqrt(tool.within_um**2 / 3.0 + max(tool.repeat_um**2, tool.step_um**2 / 12.0))


def _trouble(job: Job, found: str, wanted: str, way_out: str) -> Trouble:
    return Trouble([Fault(f"{job.title or 'job'}: lines", found, wanted, way_out, ("lines",))])


def fewest_sizes(
    lows: np.ndarray, window: float, share: float, step: float
) -> tuple[np.ndarray, float]:
    """Choose the fewest sizes so that enough windows hold one.

    lows: where each window begins [any length, (n,)]; window: its width, step: of the sizes [the
    same length]; share: of the windows, 0 to 1 [1]. Returns: the sizes [(k,)], and the share that
    they suit: the most that so many sizes can. Raises: Trouble where `MOST_SIZES` are too few.
    """
    ordered = np.sort(lows)
    first = max(math.ceil(ordered[0] / step), 1)
    last = max(math.floor((ordered[-1] + window) / step), first)
    if last - first > MOST_GRID:
        raise _bare_trouble(f"{last - first} sizes to choose from", "a coarser step")
    grid = step * np.arange(first, last + 1)

    ends = np.searchsorted(ordered, grid, "right")  # windows that begin at or below a size
    starts = np.searchsorted(ordered, grid - window - 1e-9, "left")
    best = (ends - starts).astype(float)  # suited with this size as the last
    came: list[np.ndarray] = []
    # gain[i, j]: windows that size j suits and size i < j does not
    gain = ends[None, :] - np.maximum(ends[:, None], starts[None, :])
    gain = np.where(np.arange(len(grid))[:, None] < np.arange(len(grid))[None, :], gain, -1e18)
    for sizes in range(1, MOST_SIZES + 1):
        if best.max() >= share * len(ordered) - 1e-9:
            at = int(best.argmax())
            taken = [at]
            for step_back in reversed(came):
                at = int(step_back[at])
                taken.append(at)
            return grid[taken[::-1]], float(best.max() / len(ordered))
        if sizes == len(grid):
            break
        total = best[:, None] + gain
        came.append(total.argmax(axis=0))
        best = total.max(axis=0)
    raise _bare_trouble("no stock of sizes that suits so many", "finer steps or wider limits")


def _bare_trouble(found: str, way_out: str) -> Trouble:
    return Trouble([Fault("sizes", found, f"at most {MOST_SIZES} sizes", way_out)])


def served_of(lows: np.ndarray, window: float, sizes: np.ndarray, counts: np.ndarray) -> int:
    """How many of some assemblies get a shim, at most.

    lows: where each assembly's window begins [(n,)]; window: its width; sizes: rising [(k,)], all
    in one length; counts: in stock [(k,)]. Returns the number. Source: the first-ending window
    takes the smallest size left: greatest matching where windows are intervals (Glover 1967, from
    memory).
    """
    ordered, at, found = np.sort(lows), 0, 0
    waiting: list[float] = []
    for size, count in zip(sizes.tolist(), counts.tolist(), strict=True):
        while at < len(ordered) and ordered[at] <= size + 1e-9:
            heapq.heappush(waiting, float(ordered[at]) + window)
            at += 1
        while waiting and waiting[0] < size - 1e-9:
            heapq.heappop(waiting)
        for _ in range(min(count, len(waiting))):
            heapq.heappop(waiting)
            found += 1
    return found


def fewest_pieces(
    batches: np.ndarray, window: float, sizes: np.ndarray, share: float
) -> tuple[list[int], float]:
    """Take pieces out of an ample stock while a share of the assemblies is still served.

    batches: where windows begin [any length, (batches, assemblies)]; window: their width, sizes
    [(k,)] [the same length]; share: mean over the batches, 0 to 1 [1]. Returns: the counts and the
    share served.
    """
    total = batches.size

    def served(counts: np.ndarray) -> int:
        return sum(served_of(one, window, sizes, counts) for one in batches)

    suits = (batches[:, :, None] <= sizes + 1e-9) & (batches[:, :, None] + window >= sizes - 1e-9)
    counts = suits.sum(axis=1).max(axis=0)  # more are never asked for
    enough = min(math.ceil(share * total - 1e-9), served(counts))
    step = max(int(counts.max()) // 4, 1)
    while True:
        for at in range(len(counts)):
            while counts[at] >= step:
                counts[at] -= step
                if served(counts) < enough:
                    counts[at] += step
                    break
        if step == 1:
            break
        step = max(step // 3, 1)
    return [int(one) for one in counts], served(counts) / total
