"""What to do with the nut of a crush spacer next: turn so far, stop, measure again, or too late.

The risk of passing the window is one budget for the whole job. Each turn may take a part of what
the turns before it have left; what they took is reckoned from the pauses, as it stood before each.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from solver.crush import Crush, Tightening, Turn
from solver.sleeve import WANDER, Belief, Stand, believe, read, stands_of
from solver.turning import Standing, after_turn, every_turn, standing

STOP_IN = 0.92  # inside with that chance: stop
OVER = 0.99  # over with that chance: say so
DOUBT = 0.02  # over with more than that: measure before anything else
FAR = 0.95  # under with that chance: bearings not turned do not matter yet
STRANGE = 0.002  # a reading that far from what was expected is read again
MOST_READINGS = 4  # at one angle; more would not tell more
SHARE, MOST_SHARE, LEAST_SHARE = 0.4, 0.25, 0.02  # of what is left; of all, at most, at least
CREEP_DEG, NARROW = 5.0, 3.0  # advised turn, and window in errors of an angle, to go by torque
NEAR_CEILING = 0.9
_CURVES = 1200  # drawn for the band
_MIDDLES = (-1.2816, -0.5244, 0.0, 0.5244, 1.2816)  # of five equal parts of the normal law


@dataclass(frozen=True, slots=True)
class _Case:
    """What the choice is made from."""

    crush: Crush
    belief: Belief
    stand: Stand  # the last
    now: Standing
    turns: tuple[Turn, ...]
    allowed: float  # risk of the next turn
    spent: float


def tighten(crush: Crush) -> Tightening:
    """Say what to do with the nut next.

    crush: with pauses in any order. Returns: the Tightening; 'measure' without turns where there is
    no pause. Limits: those of `sleeve`; `spent` charges a turn with what it was allowed where its
    angles, as they may be off, are no longer than that. Source: tests/bench/spacers.py.
    """
    stands = stands_of(crush)
    if not stands:
        return _unread(crush)
    belief = believe(crush, stands[0].angle_deg, stands[-1].angle_deg)
    spent = 0.0
    for at, stand in enumerate(stands):
        if at:
            spent += _charged(crush, belief, stand.angle_deg - belief.angle_deg, spent)
        belief = read(belief, stand, first=not at)
    now = standing(crush, belief)
    turns = every_turn(crush, belief)
    case = _Case(crush, belief, stands[-1], now, turns, _allowed(crush, spent), spent)
    state, advice, reasons = _choice(case)
    by_torque = advice is not None and (
        advice.turn_deg <= CREEP_DEG and _width_deg(case) <= NARROW * crush.angle_within_deg
    )
    angles, curve = _band(crush, belief, stands[0].angle_deg, advice)
    torque, u = _settled(crush, belief)
    return Tightening(
        crush, state, torque, u, now.inside, now.over, turns, advice, by_torque,
        (*reasons, *_remarks(case)), spent, angles, curve,
    )  # fmt: skip


def _allowed(crush: Crush, spent: float) -> float:
    """Risk that the next turn may take: never more than there is left."""
    left = max(crush.risk - spent, 0.0)
    part = min(SHARE * left, MOST_SHARE * crush.risk)
    return min(max(part, LEAST_SHARE * crush.risk), left)


def _charged(crush: Crush, belief: Belief, turn_deg: float, spent: float) -> float:
    """Risk that a turn took, as it stood before it: what was over already is no risk of its own."""
    already = standing(crush, belief).over
    risk = max(0.0, after_turn(crush, belief, turn_deg).over - already)
    allowed = _allowed(crush, spent)
    if risk <= allowed:
        return risk
    surely_deg = turn_deg - 2.0 * crush.angle_within_deg  # both its angles may have been off
    if surely_deg <= 0.0:
        return allowed
    return min(risk, max(allowed, after_turn(crush, belief, surely_deg).over - already))


def _unread(crush: Crush) -> Tightening:
    """Nothing read yet."""
    torque = crush.drag_newton_m or 0.0
    u = crush.drag_u_newton_m if crush.drag_newton_m is not None else crush.high_newton_m
    return Tightening(
        crush, "measure", torque, u, 0.0, 0.0, (), None, False,
        ("No torque has been read yet: turn the bearings ten times both ways and read it.",), 0.0,
        np.zeros(0), np.zeros((0, 3)),
    )  # fmt: skip


def _choice(case: _Case) -> tuple[str, Turn | None, tuple[str, ...]]:
    """Find the state, the turn and the reason for it."""
    now, stand = case.now, case.stand
    if not stand.turned and now.under < FAR:
        return "measure", None, (
            "The bearings were not turned before the last reading: it may be up to 30 of 100 too"
            " high, and that matters so near the window.",
        )  # fmt: skip
    if now.inside >= STOP_IN:
        return "stop", None, ("The torque is inside its window, bearings settled.",)
    if now.over >= OVER:
        return "over", None, ("The torque is above its window, bearings settled.",)
    again = _again(case)
    if again:
        return "measure", None, (again,)
    if now.over > DOUBT:
        return _at_the_edge(case)
    return _turned(case)


def _again(case: _Case) -> str:
    """Why the torque is to be read again before the nut is turned; blank if it is not."""
    crush, now, stand = case.crush, case.now, case.stand
    if _at_ceiling(crush):
        return (
            "The nut has taken the most torque that it may, and the window is not reached for"
            " sure: turn it no further; look for what binds, or for a wrong spacer."
        )
    if stand.turned >= MOST_READINGS:
        return ""
    if case.belief.surprise < STRANGE and stand.turned < 2:
        return "The last reading is far from what the others lead to: read it again."
    if stand.odd:
        return "The readings at this angle disagree: read again."
    if now.over > DOUBT:
        return "The torque may be above its window already: make sure before anything else."
    return ""


def _at_the_edge(case: _Case) -> tuple[str, Turn | None, tuple[str, ...]]:
    """Read as often as helps, and it may still be over."""
    why = (
        f"{case.stand.turned} readings here do not settle it: it lies at the window's upper end.",
    )
    if case.now.inside >= 0.5:
        return "stop", None, why
    return ("over" if case.now.over > 0.5 else "measure"), None, why


def _turned(case: _Case) -> tuple[str, Turn | None, tuple[str, ...]]:
    """Find the largest turn that the budget allows, if a turn is any good."""
    now, often = case.now, case.stand.turned >= MOST_READINGS
    fit = [turn for turn in case.turns if turn.over - now.over <= case.allowed]
    probably = now.inside >= 0.5
    if not fit or (probably and fit[-1].inside <= now.inside):
        if not (often or case.allowed <= 0.0):
            return "measure", None, (
                "It is probably inside, but not for sure; another reading tells more than a turn."
                if probably
                else "No turn is safe as well as this is known: another reading may tell more.",
            )  # fmt: skip
        if probably:
            return "stop", None, ("No further turn is safe, and it is probably inside.",)
        return "measure", None, (_used_up(case),)
    return "tighten", fit[-1], (_why(case, fit[-1]),)


def _used_up(case: _Case) -> str:
    """Probably still under, and no turn fits into the risk that is left."""
    least = case.turns[0]
    if case.allowed <= 0.0:
        return (
            "Probably still under, but earlier turns have used up the risk that was to last for the"
            " whole job. Going on is for you to decide: set a higher risk, or fit a new spacer."
        )
    return (
        f"Probably still under, and even {least.turn_deg:g} degrees more would take more than the"
        " risk left for it. Going on is for you to decide: set a higher risk, or fit a new spacer."
    )


def _why(case: _Case, turn: Turn) -> str:
    """What holds the turn back."""
    degrees = f"{turn.turn_deg:g} degree{'' if turn.turn_deg == 1.0 else 's'}"
    if turn is case.turns[-1]:
        return "Nothing that was read speaks against the longest turn."
    return f"{degrees} is the most that the risk left for this turn allows."


def _remarks(case: _Case) -> tuple[str, ...]:
    """What else to know."""
    crush, belief, found = case.crush, case.belief, []
    if belief.surprise < STRANGE and case.stand.turned >= 2:
        found.append(
            "The readings do not rise as a spacer's do: look whether nut, bearings or line bind."
        )
    if float(belief.weight @ (belief.rise <= 0.02)) > 0.5:
        found.append("The play is probably not out yet: nobody knows how much is left.")
    if not case.stand.turned and case.now.under >= FAR:
        found.append("The bearings were not turned before the last reading: turn them each time.")
    last = [one.nut_newton_m for one in crush.pauses if one.nut_newton_m is not None]
    if last and crush.ceiling_newton_m is not None:
        share = max(last) / crush.ceiling_newton_m
        if NEAR_CEILING <= share < 1.0:
            found.append("The nut is close to the most torque that it may take.")
    return tuple(found)


def _at_ceiling(crush: Crush) -> bool:
    if crush.ceiling_newton_m is None:
        return False
    return any(
        one.nut_newton_m is not None and one.nut_newton_m >= crush.ceiling_newton_m
        for one in crush.pauses
    )


def _settled(crush: Crush, belief: Belief) -> tuple[float, float]:
    """The torque now with its standard uncertainty, the tool's common error in it [N·m]."""
    weight = belief.weight
    mean = float(weight @ belief.torque)
    variance = float(weight @ (belief.torque_var + (belief.torque - mean) ** 2))
    u = math.hypot(math.sqrt(variance), mean * crush.common_share / math.sqrt(3.0))
    return mean * crush.high_newton_m, u * crush.high_newton_m


def _width_deg(case: _Case) -> float:
    """How wide the window probably is, in degrees of the nut."""
    belief, crush = case.belief, case.crush
    power = 1.0 / belief.curves.exponent[belief.shape]
    low = np.maximum(crush.low_newton_m / crush.high_newton_m - belief.level, 0.0) ** power
    width = belief.reach_deg * (np.maximum(1.0 - belief.level, 0.0) ** power - low)
    order = np.argsort(width)
    at = np.searchsorted(np.cumsum(belief.weight[order]), 0.5)
    return float(width[order][min(int(at), len(order) - 1)])


def _band(
    crush: Crush, belief: Belief, first_deg: float, advice: Turn | None
) -> tuple[np.ndarray, np.ndarray]:
    """Torque over angle: 5, 50 and 95 % of it at each, as its readings show it."""
    ahead = 1.25 * advice.turn_deg + 3.0 if advice is not None else 10.0
    angles = np.unique(
        np.concatenate([
            np.linspace(first_deg, belief.angle_deg, 25),
            np.linspace(belief.angle_deg, belief.angle_deg + ahead, 16),
        ])
    )  # fmt: skip
    rank = (np.arange(_CURVES) + 0.5) / _CURVES
    place = np.searchsorted(np.cumsum(belief.weight), rank)
    drawn = belief.only(np.minimum(place, len(belief.shape) - 1))
    curve = np.empty((len(angles), 3))
    for at, angle in enumerate(angles):
        rise, deviation = drawn.rise_at(float(angle))
        gained = rise - drawn.rise
        away = min(1.0, abs(float(angle) - belief.angle_deg) / max(crush.angle_within_deg, 0.1))
        variance = drawn.torque_var + (WANDER * gained) ** 2 + (away * deviation) ** 2
        spread = np.sqrt(variance) * np.array(_MIDDLES)[:, None]
        each = np.maximum(drawn.torque + gained + spread, 0.0)
        curve[at] = np.quantile(each, (0.05, 0.5, 0.95))
    return angles, curve * crush.high_newton_m
