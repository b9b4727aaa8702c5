"""Crush spacers tightened by the advice and by fixed steps: thousands of simulated ones.

    python tests/bench/spacers.py [SPACERS] [SEED] [ALL]     # 2000, 1 and 400 unless said

ALL: how many for each harder world than the one that is wanted; 0 leaves them out.

The truth is drawn here without anything of the program: contact, a slope over a factor of ten, five
exponents in turn, sleeves that yield in jumps, play that is out before the sleeve yields. Who
tightens turns by hand, reads angle and torque with their errors, now and then forgets to turn the
bearings first, and does what is advised until it says stop. What counts in the end is the true
torque with its bearings settled.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from solver.crush import Crush, Pause, Tightening  # noqa: E402
from solver.tighten import tighten  # noqa: E402

EXPONENTS = (0.75, 1.0, 1.11, 1.3, 1.8)
LOW_NEWTON_M = 2.0
MOST_PAUSES = 60  # a job that is not done by then has failed


@dataclass(frozen=True, slots=True)
class World:
    """How things are done and read; what the program is told of it is true."""

    name: str = "as wanted"
    own: float = 0.03  # each torque reading is off by no more than that share of it
    normal: bool = False  # or by that as a standard deviation
    common: float = 0.0  # and all of them together by no more than that
    forgets: float = 0.1  # share of readings with bearings not turned, where it was not asked for
    by_mark: bool = False  # the nut goes to a mark that is off anew each time, not so far by hand
    stiff: float = 1.0  # slopes are so many times steeper


WORLDS = (
    World(),
    World("torque normal, 3 % standard deviation", normal=True),
    World("tool 3 % off throughout", own=0.01, common=0.03),
    World("three readings of ten not turned", forgets=0.3),
    World("nut turned to marks 3° off", by_mark=True),
    World("half as steep again", stiff=1.5),
    World(
        "all at once: normal, three of ten, 18 to 180 degrees",
        normal=True,
        forgets=0.3,
        stiff=20.0 / 18.0,
    ),
)


@dataclass
class Spacer:
    """One crush spacer, its nut, and who tightens it; degrees and N·m."""

    world: World
    seed: int
    number: int
    angle: float = 0.0  # true
    shown: float = 0.0  # as read
    rng: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        rng = self.rng = np.random.default_rng((self.seed, self.number))
        self.exponent = EXPONENTS[self.number % len(EXPONENTS)]
        self.high = LOW_NEWTON_M * (1.0 + rng.uniform(0.2, 0.5))
        self.drag = LOW_NEWTON_M * rng.uniform(0.05, 0.3)
        self.play = rng.uniform(0.0, 80.0)
        # From contact to the lower end of the window: 20 to 200 degrees, mean slope tenfold.
        self.rise_deg = 20.0 * 10.0 ** rng.uniform() / self.world.stiff
        self.elastic = rng.uniform(2.0, 15.0) if rng.random() < 0.3 else 0.0
        self.follows = rng.uniform(0.3, 0.7)  # before the sleeve yields
        self.jumps = rng.random() < 0.3
        self.breaks = np.cumsum(rng.uniform(2.0, 6.0, 200))  # where it catches up
        self.lags = rng.uniform(0.2, 0.6)  # moves by that share in between
        self.off = 1.0 + self.world.common * rng.uniform(-1.0, 1.0)

    def torque(self) -> float:
        """True, bearings settled [N·m]."""
        past = max(self.angle - self.play, 0.0)
        past = self.follows * min(past, self.elastic) + max(past - self.elastic, 0.0)
        if self.jumps:
            last = float(self.breaks[self.breaks <= past].max(initial=0.0))
            past = last + self.lags * (past - last)
        return self.drag + (LOW_NEWTON_M - self.drag) * (past / self.rise_deg) ** self.exponent

    def turn(self, by_deg: float) -> None:
        """Turn the nut further, never back, and read where it is."""
        if self.world.by_mark:
            self.shown += by_deg
            self.angle = max(self.angle, self.shown + self.rng.uniform(-3.0, 3.0))
            return
        self.angle += by_deg + self.rng.uniform(-1.0, 1.0) * min(3.0, by_deg / 2.0)
        self.shown = max(self.shown, float(round(self.angle + self.rng.uniform(-3.0, 3.0))))

    def pause(self, number: int, *, asked: bool) -> Pause:
        """Read the torque. asked: the bearings were certainly turned first."""
        world, torque = self.world, self.torque() * self.off
        turned = asked or self.rng.random() >= world.forgets
        if not turned:
            torque /= 1.0 - self.rng.uniform(0.0, 0.2)
        error = self.rng.normal() if world.normal else self.rng.uniform(-1.0, 1.0)
        torque *= 1.0 + world.own * error
        u = world.own / (1.0 if world.normal else 3.0**0.5) * torque
        return Pause(number, self.shown, torque, u, turned)

    def crush(self, pauses: tuple[Pause, ...]) -> Crush:
        """What the program is told."""
        return Crush(LOW_NEWTON_M, self.high, 0.0, "new", pauses, common_share=self.world.common)


@dataclass(frozen=True, slots=True)
class Ended:
    """How one spacer ended."""

    exponent: float
    where: str  # 'in', 'over' or 'under', by the true torque
    stops: int  # of the nut
    readings: int
    state: str  # what was said last


def ended(spacer: Spacer, stops: int, readings: int, state: str) -> Ended:
    """Judge by the true torque."""
    torque = spacer.torque()
    where = "under" if torque < LOW_NEWTON_M else "over" if torque > spacer.high else "in"
    return Ended(spacer.exponent, where, stops, readings, state)


def advised(
    number: int, seed: int, world: World, advise: Callable[[Crush], Tightening] = tighten
) -> Ended:
    """Tighten one spacer as advised."""
    spacer = Spacer(world, seed, number)
    pauses: tuple[Pause, ...] = ()
    asked, stops, state = False, 1, "measure"
    while len(pauses) < MOST_PAUSES:
        pauses = (*pauses, spacer.pause(len(pauses) + 1, asked=asked))
        found = advise(spacer.crush(pauses))
        state = found.state
        if state in ("stop", "over"):
            break
        asked = state == "measure"
        if found.advice is not None:
            spacer.turn(found.advice.turn_deg)
            stops += 1
    return ended(spacer, stops, len(pauses), state)


def by_steps(number: int, seed: int, world: World, step_deg: float) -> Ended:
    """Tighten one spacer by equal turns until a reading, bearings turned, is in its window."""
    spacer = Spacer(world, seed, number)
    stops = 1
    while spacer.pause(stops, asked=True).torque_newton_m < LOW_NEWTON_M:
        spacer.turn(step_deg)
        stops += 1
    return ended(spacer, stops, stops, "stop")


def share(found: list[Ended], where: str) -> float:
    """Of a hundred, how many ended there."""
    return 100.0 * sum(one.where == where for one in found) / len(found)


def row(name: str, found: list[Ended]) -> str:
    """One row of the table."""
    stops, readings = (
        float(np.mean([getattr(one, what) for one in found])) for what in ("stops", "readings")
    )
    places = " | ".join(f"{share(found, where):.1f}" for where in ("in", "over", "under"))
    return f"| {name} | {places} | {stops:.1f} | {readings:.1f} |"


HEAD = "| way | inside % | over % | under % | pauses | readings |\n|---|---|---|---|---|---|"


def main(wanted: int = 2000, seed: int = 1, harder: int = 400) -> None:
    """Print the tables."""
    with ProcessPoolExecutor(2) as pool:
        for world in WORLDS:
            spacers = wanted if world is WORLDS[0] else harder
            if not spacers:
                break
            ways = {
                "as advised": partial(advised, seed=seed, world=world),
                "5° steps": partial(by_steps, seed=seed, world=world, step_deg=5.0),
                "30° steps": partial(by_steps, seed=seed, world=world, step_deg=30.0),
            }
            print(f"\n{world.name}: {spacers} spacers, seed {seed}\n{HEAD}")
            for name, way in ways.items():
                found = list(pool.map(way, range(spacers), chunksize=20))
                print(row(name, found), flush=True)
                if name == "as advised":
                    for exponent in EXPONENTS:
                        of = [one for one in found if one.exponent == exponent]
                        print(row(f"as advised, exponent {exponent:g}", of), flush=True)


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:4]))
