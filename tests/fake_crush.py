"""Crush spacers for the window's tests: job text, and answers made up for every state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from solver.crush import Crush, Pause, Tightening, Turn
from solver.torque_units import NEWTON_M_PER

LBF_IN = NEWTON_M_PER["lbf.in"]
LIMITS = """[crush]
unit     = "lbf.in"                 # numbers without a unit
bearings = "new"
new      = { low = 20, high = 28 }  # from the manual
means    = "moving"
with     = { seal = true, carrier = false }
pitch    = "1.5 mm"
tool     = { kind = "wrench", within = "3 %" }
"""
LACKING = LIMITS.replace('means    = "moving"\n', "").replace(
    "new      = { low = 20, high = 28 }  # from the manual\n", ""
)
PAUSES = ((0, "4.0"), (20, "6.3"), (40, "8.7"), (60, "11.3"))


def crush_text(pauses: Sequence[tuple[float, str]] = PAUSES, limits: str = LIMITS) -> str:
    """Write a crush spacer as a job has it. pauses: (angle, torque); limits. Returns TOML."""
    text = limits
    for angle, torque in pauses:
        text += f"\n[[crush.pauses]]\nangle = {angle}\ntorque = {torque}\nturned = true\n"
    return text


JOB = 'title = "Forest forwarder, front bevel box"\nunit = "mm"\n\n'
JOBS = {  # of which only the pinion is there yet, by the state of the crush spacer's stage
    "crush-none": JOB,
    "crush-half": JOB + crush_text((), LACKING),
    "crush-faulty": JOB + crush_text(((0, '"4.x"'), (20, "6.3"))),
    "crush-tighten": JOB + crush_text((*PAUSES, (95, "16.4"))),
    "crush-creep": JOB + crush_text(((0, "4.0"), (6, "10.7"), (9, "14.9"), (11, "18.9"))),
    "crush-stop": JOB + crush_text((*PAUSES, (95, "16.4"), (120, "20.4"), (140, "23.6"))),
    "crush-over": JOB + crush_text((*PAUSES, (95, "16.4"), (120, "20.4"), (190, "33.0"))),
    "crush-measure": JOB + crush_text(((0, "4.0"), (40, "12.0"), (60, "7.5"))),
}


def a_crush(pauses: Sequence[tuple[float, float]] = ((0, 4.0), (20, 6.3), (40, 8.7), (60, 11.3))):
    """A crush spacer in lbf·in. pauses: (angle, torque). Returns it."""
    read = tuple(
        Pause(number, float(angle), torque * LBF_IN, max(0.02 * torque, 0.1) * LBF_IN, True)
        for number, (angle, torque) in enumerate(pauses, 1)
    )
    return Crush(20 * LBF_IN, 28 * LBF_IN, 0.0, "new", read, unit="lbf.in", pitch_um=1500.0)


def found(crush: Crush, state: str, turn_deg: float = 0.0, by_torque: bool = False) -> Tightening:
    """Make an answer up. crush; state: of it; turn_deg: advised; by_torque. Returns it."""
    first, last = crush.pauses[0], crush.pauses[-1]
    slope = max(last.torque_newton_m - first.torque_newton_m, 0.1 * LBF_IN)
    slope /= max(last.angle_deg - first.angle_deg, 1.0)
    turns = []
    for turn in (0.5, 1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 45, 60, 90):
        mean, sd = last.torque_newton_m + slope * turn, (0.5 + 0.08 * turn) * LBF_IN
        under, over = (
            0.5 + 0.5 * np.tanh(1.2 * k * (end - mean) / sd)
            for k, end in ((1, crush.low_newton_m), (-1, crush.high_newton_m))
        )
        turns.append(Turn(float(turn), float(under), float(max(1 - under - over, 0)), float(over)))
    advice = next((turn for turn in turns if turn.turn_deg == turn_deg), None)
    angles = np.linspace(first.angle_deg, last.angle_deg + 1.6 * (turn_deg or 10.0), 60)
    middle = first.torque_newton_m + slope * (angles - first.angle_deg)
    wide = (0.3 + 0.04 * np.maximum(angles - last.angle_deg, 0.0)) * LBF_IN * 1.6
    over = {"over": 0.997, "stop": 0.004}.get(state, 0.0)
    return Tightening(
        crush, state, last.torque_newton_m, 0.35 * LBF_IN, 0.97 if state == "stop" else 0.001, over,
        tuple(turns), advice, by_torque, ("the play is out since pause 2",), 0.002, angles,
        np.stack([middle - wide, middle, middle + wide], axis=1),
    )  # fmt: skip


def states() -> dict[str, Tightening]:
    """An answer for every state, by its name."""
    near = a_crush(((0, 4.0), (40, 8.7), (80, 13.9), (105, 18.6)))
    steep = a_crush(((0, 4.0), (12, 8.7), (22, 13.9), (30, 18.9)))
    inside = a_crush(((0, 4.0), (40, 8.7), (80, 13.9), (105, 18.6), (120, 23.4)))
    past = a_crush(((0, 4.0), (40, 8.7), (80, 13.9), (105, 18.6), (140, 31.0)))
    odd = a_crush(((0, 4.0), (40, 12.0), (60, 7.5)))
    return {
        "tighten": found(a_crush(), "tighten", 20.0),
        "near": found(near, "tighten", 10.0),
        "creep": found(steep, "tighten", 1.0, by_torque=True),
        "stop": replace(found(inside, "stop"), turns=()),
        "over": replace(found(past, "over"), turns=()),
        "measure": replace(found(odd, "measure"), turns=()),
    }
