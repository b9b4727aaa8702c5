"""Lines of dimensions in words: what to measure once it is together, and what to move."""

from __future__ import annotations

from solver.findings import Answer
from solver.line import COLD_C
from solver.line_fit import at_bench
from solver.report_words import bare_length, both_lengths, length, listed


def line_sentences(answer: Answer) -> list[str]:
    """Say what each line should measure with the plan fitted, and what to move if it does not.

    answer: finished. Returns sentences; none without lines or a plan.
    """
    said, unit = [], answer.job.unit
    for shown in at_bench(answer):
        warm = ""
        if shown.working_c != COLD_C:
            warm = f" at 20 °C (its limits hold at {shown.working_c:g} °C)"
        said.append(
            f"With these shims in, the {shown.name} should measure"
            f" {both_lengths(shown.predicted_um, unit)}{warm}; 95 builds of 100 show"
            f" {bare_length(shown.low_um, unit)} to {length(shown.high_um, unit)}. Outside that"
            " something is wrong (a burr, a curled shim, a part not home, a reading): find it"
            " before you move a shim."
        )
        said.append(_move_sentence(answer, shown.name))
    if said:
        said.append(
            "Better than moving by hand: add what you measured to the job as a reading with these"
            " shims fitted, and choose again."
        )
    return said


def _move_sentence(answer: Answer, name: str) -> str:
    line = answer.job.line(name)
    assert line is not None
    more = [seat for seat, factor in line.seats if factor > 0]
    less = [seat for seat, factor in line.seats if factor < 0]
    ways = [f"more shim in the {listed(more, 'or')}"] if more else []
    ways += [f"less in the {listed(less, 'or')}"] if less else []
    size = {abs(factor) for _, factor in line.seats}
    as_much = ", as much as it is off" if size == {1.0} else ""
    return f"Too small: {' or '.join(ways)}{as_much}; too large: the other way round."
