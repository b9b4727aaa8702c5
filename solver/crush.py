"""What a job says of its crush spacer, and what is found of it, as frozen types; N·m, degrees.

Read by `job_crush`, judged by `tighten`. An angle is how far the nut has been turned from where
the counting began; a torque is the rotating torque of the pinion, as its bearings were turned.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # a job file is read without it
    import numpy as np


@dataclass(frozen=True, slots=True)
class Pause:
    """One pause of the nut: how far it was turned, and the rotating torque read there."""

    number: int  # place in the file, from 1
    angle_deg: float  # of the nut, from where the counting began
    torque_newton_m: float  # mean of its repeats, seal and gear drag in it
    u_newton_m: float  # standard uncertainty of this reading alone
    turned: bool  # the bearings were turned ten times both ways before it
    nut_newton_m: float | None = None  # what it took to turn the nut this far


@dataclass(frozen=True, slots=True)
class Crush:
    """The crush spacer of a job, its window brought to what its own readings show."""

    low_newton_m: float  # of the rotating torque, as the readings show it
    high_newton_m: float
    window_u_newton_m: float  # standard uncertainty of the drag by which it was moved
    bearings: str  # 'new' or 'used'
    pauses: tuple[Pause, ...]  # in the order of the nut's angle
    angle_within_deg: float = 3.0  # each angle may be off by so much, rectangular
    common_share: float = 0.0  # of the torque: the tool's error common to all, rectangular
    drag_newton_m: float | None = None  # rotating torque while the nut is loose, where measured
    drag_u_newton_m: float = 0.0
    pitch_um: float | None = None  # of the nut's thread
    ceiling_newton_m: float | None = None  # no more nut torque than this
    risk: float = 0.01  # of passing the window, over the whole job
    wanted: str = "moving"  # or 'starting': what window and readings mean
    assumed: tuple[str, ...] = ()
    example: bool = False  # limits marked EXAMPLE: from no manual
    unit: str = "N.m"  # of the file's torques, a key of NEWTON_M_PER: for people
    remarks: tuple[str, ...] = ()  # how window and readings were brought together, odd repeats


@dataclass(frozen=True, slots=True)
class Turn:
    """A next turn of the nut, and where it may end."""

    turn_deg: float
    under: float  # chance that the torque is still below its window
    inside: float
    over: float


@dataclass(frozen=True, slots=True, eq=False)
class Tightening:
    """What to do with the nut next."""

    crush: Crush
    state: str  # 'tighten', 'stop', 'over' or 'measure'
    torque_newton_m: float  # now, bearings settled
    u_newton_m: float
    chance_in: float
    chance_over: float
    turns: tuple[Turn, ...]  # half a degree to ninety
    advice: Turn | None  # the largest turn that the budget allows; None unless 'tighten'
    by_torque: bool  # the window is only a few degrees wide: creep, turn the bearings, read
    reasons: tuple[str, ...]  # why it is so, a sentence each
    spent: float  # of the risk, by the turns before this pause
    angles_deg: np.ndarray  # [degree, (m,)] for a plot: from the first pause to past the advice
    curve_newton_m: np.ndarray  # [N·m, (m, 3)] 5 %, 50 % and 95 % of the torque at each
