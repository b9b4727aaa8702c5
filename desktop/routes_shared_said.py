"""What is said of one order for several jobs: at the right in large words, and job by job."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from desktop.edits import Table
from desktop.routes_said import COPY, Said, said_of
from desktop.routes_shared_asking import Worked, order_in
from desktop.routes_words import CUT_CAUTIONS, bare_money, time_cents
from solver.market_file import CUT
from solver.report_cautions import LAST
from solver.report_words import counts, length, number_of, sentence, wanted_counts

if TYPE_CHECKING:  # loaded with the first answer
    from pathlib import Path

    from desktop.routes_asking import RoutesAsking
    from solver.findings import Answer
    from solver.plan import Plan
    from solver.routes import Shopping

ADD, WORK_OUT = "Add a job…", "Work it out"
SEVERAL = "ONE ORDER FOR SEVERAL JOBS"
NOT_PROVED = "Not proved the cheapest: the bounds do not reach so far down."
MEASURE = (
    "What comes from outside the drawer may be off by its tolerance: measure it when it is there,"
    " put it in the drawer, and choose again."
)


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job of the list, and what the order does for it."""

    title: str
    file: str
    path: Path | None  # None: the open job, which stays
    fault: str = ""
    sure: str = ""
    met: bool = True
    plan: Plan | None = None
    unit: str = "mm"
    faint: bool = False  # from before the last change, or not to be built


def order_rows(asking: RoutesAsking, table: Table, unit: str, words: str) -> tuple[JobRow, ...]:
    """Say how every job of the list stands.

    asking; table: the open job's; unit, words: as shown. Returns the rows, the open job's first.
    """
    order = asking.order
    title = table.get("title")
    own = " ".join(title.split()) if isinstance(title, str) else ""
    rows = [JobRow(own or "The open job", order.open_name, None)]
    for one in order.added:
        more = f" (and {len(one.faults) - 1} more)" if len(one.faults) > 1 else ""
        fault = f"{_of_file(str(one.faults[0]), one.path.name)}{more}" if one.faults else ""
        rows.append(JobRow(one.title or one.path.stem, one.path.name, one.path, fault))
    worked = order.worked
    if worked is None or worked.shopping is None:
        return tuple(rows)
    shown = order_in(worked, unit, words)
    faint = order.state != "done" or tone_of(worked) == "bad"
    found = {
        path: (answer, plan, chance)
        for path, answer, plan, chance in zip(
            (None, *(one.path for one in worked.added)), shown.answers, worked.shopping.plans,
            worked.shopping.chances, strict=True,
        )
    }  # fmt: skip
    return tuple(
        _with_plan(row, *found[row.path], faint) if row.path in found and not row.fault else row
        for row in rows
    )


def _with_plan(row: JobRow, answer: Answer, plan: Plan, chance: float, faint: bool) -> JobRow:
    met = chance >= answer.job.wanted_chance
    sure = f"{counts(chance)} builds"
    if not met:
        sure += f"; {wanted_counts(answer.job.wanted_chance)} were asked for"
    return replace(
        row, sure=sentence(sure), met=met, plan=plan, unit=answer.job.unit, faint=faint
    )  # fmt: skip


def _of_file(words: str, name: str) -> str:
    """A fault's words under its own file's name."""
    return words.removeprefix(f"{name}: ")


def order_said(asking: RoutesAsking, unit: str, words: str) -> Said:
    """Say how the order stands. asking; unit, words: as shown. Returns it."""
    order, state = asking.order, asking.order.state
    work_out = (WORK_OUT, "work out")
    jobs = number_of(len(order.added) + 1, "job")
    if state == "done":
        assert order.worked is not None
        return _answered(asking, order_in(order.worked, unit, words))
    if state == "none":
        then = (
            "Jobs that share one drawer can share one order: a pack serves two axles, delivery is"
            " paid once. Say at the left what an hour and doing it again are worth to you, and what"
            " can be bought or cut."
        )
        return Said(SEVERAL, then, "sunk", button=(WORK_OUT, ""))
    if state in ("faulty", "half-filled", "no axle", "axle solving"):
        return replace(said_of(asking, None), lines=())
    if state == "alone":
        then = (
            "Add the other jobs that share this drawer. No piece is then planned twice, a pack"
            " serves several, and delivery is paid once."
        )
        return Said(SEVERAL, then, "sunk", button=(ADD, "add"))
    if state == "job faulty":
        faults = [fault for one in order.added for fault in one.faults]
        more = f" And {len(faults) - 1} more." if len(faults) > 1 else ""
        return Said("MEND THE RED", f"{faults[0]}.{more}", "bad", button=work_out)
    if state == "working":
        then = f"Working out one order for {jobs}."
        return Said("ONE MOMENT", then, "sunk", notes=_before(asking), button=("Stop", "stop"))
    if state == "failed":
        return Said("NO ANSWER", "Something went wrong here, not in the jobs.", "bad")
    if state == "stopped":
        then = "Stopped before the order was worked out."
        return Said("STOPPED", then, "warn", notes=_before(asking), button=work_out)
    if state == "stale":
        then = "Something has changed since it was worked out."
        return Said("WORK IT OUT ANEW", then, "warn", notes=_before(asking), button=work_out)
    then = f"The least money and time that bring each of {jobs} to the chance it asks for."
    return Said("ONE ORDER FOR " + jobs.upper(), then, "sunk", button=work_out)


def tone_of(worked: Worked) -> str:
    """Tell what an order is worth. worked: with answers. Returns 'good', 'warn', or 'bad' for one
    that nobody should spend money on."""
    from solver.report_routes import POOR

    shopping = worked.shopping
    states = [answer.agreement.state for answer in worked.answers]
    if shopping is None or "disagree" in states or min(shopping.chances) < POOR:
        return "bad"
    pairs = zip(shopping.chances, worked.answers, strict=True)
    met = all(chance >= answer.job.wanted_chance for chance, answer in pairs)
    return "good" if met and "look again" not in states else "warn"


def _answered(asking: RoutesAsking, shown: Worked) -> Said:
    """The order. shown: in the words shown."""
    from solver.report_routes import POOR, shopping_as_text

    shopping, copy = shown.shopping, (COPY, "copy")
    head = shopping_as_text(shopping, shown.answers).splitlines()[0]
    if shopping is None:
        then = (
            "Even with all that can be bought and cut there are not pieces for every job at once."
            " Put more on offer, or take a job off the list."
        )
        return Said(head, then, "bad", cautions=LAST, button=copy)
    tone, notes = tone_of(shown), _notes(asking, shown)
    after = "" if shopping.proved else NOT_PROVED
    if tone == "bad":
        badly = _badly(shown.answers, ("disagree",))
        if badly:
            shout, then = "SPEND NOTHING YET", f"{badly} Spend nothing before they agree."
        else:
            shout = "NOTHING ON OFFER IS GOOD ENOUGH"
            pairs = zip(shown.answers, shopping.chances, strict=True)
            answer, chance = next(pair for pair in pairs if pair[1] < POOR)
            then = (
                f"{_named(answer)}: {counts(chance)} builds at best. Look at its limits and"
                " readings, or take it off the list."
            )
        lines = ("Not advised:", *_asks(shopping, shown))
        return Said(
            shout, then, tone, lines, None, True, tuple(filter(None, [after])), LAST, notes, copy
        )
    bought = bool(shopping.packs or shopping.cut)
    said = tuple(line for line in (_badly(shown.answers, ("look again",)), _short(shown)) if line)
    cautions = (*(CUT_CAUTIONS if shopping.cut else ()), *LAST)
    below = tuple(line for line in (MEASURE if bought else "", after) if line)
    lines = (*said, *_asks(shopping, shown))
    cost = _cost(shopping, shown.answers[0])
    return Said(head, cost, tone, lines, None, False, below, cautions, notes, copy)


def _short(shown: Worked) -> str:
    """Which jobs do not reach what they ask for, though they come as near as anything lets them."""
    assert shown.shopping is not None
    pairs = zip(shown.answers, shown.shopping.chances, strict=True)
    return " ".join(
        f"{_named(one)}: {counts(chance)} builds; {wanted_counts(one.job.wanted_chance)} were"
        " asked for."
        for one, chance in pairs
        if chance < one.job.wanted_chance
    )


def _cost(shopping: Shopping, first: Answer) -> str:
    """What is to pay, and what time the cutting takes."""
    costs = first.job.costs
    assert costs is not None
    time = time_cents(shopping.cut, costs)
    minutes = sum(sheet.minutes * count for sheet, count in shopping.cut)
    said = f"{bare_money(shopping.cents - time)} to pay, delivery with it"
    if not shopping.packs:
        said = f"{bare_money(shopping.cents - time)} to pay"
    if minutes:
        said += f"; {bare_money(time)} for {minutes:.0f} minutes of cutting"
    return sentence(said)


def _asks(shopping: Shopping, shown: Worked) -> tuple[str, ...]:
    """What to buy and cut, a line each."""
    unit = shown.answers[0].job.unit
    lines = [f"Buy {count} x {pack.name} from {pack.seller}." for pack, count in shopping.packs]
    lines += [
        f"Cut {number_of(count, 'piece')} of {length(sheet.bare_um, unit, True)} from"
        f" {sheet.lot.id.removeprefix(CUT)}."
        for sheet, count in shopping.cut
    ]
    days = max((pack.days for pack, _ in shopping.packs), default=0)
    if days:
        lines.append(f"Wait {number_of(days, 'day')}.")
    return tuple(lines) or ("Nothing to buy or cut: the drawer serves them all.",)


def _before(asking: RoutesAsking) -> tuple[str, ...]:
    """What the order was before the last change."""
    worked = asking.order.worked
    if worked is None or worked.shopping is None:
        return ()
    from solver.report_routes import shopping_as_text

    head = shopping_as_text(worked.shopping, worked.answers).splitlines()[0].capitalize()
    return ("From before the last change:", sentence(head), *_asks(worked.shopping, worked))


def _badly(answers: tuple[Answer, ...], states: tuple[str, ...]) -> str:
    """Which jobs' readings do not sit together."""
    from solver.report_text import agreement_sentence

    badly = [one for one in answers if one.agreement.state in states]
    return " ".join(f"{_named(one)}: {agreement_sentence(one)}" for one in badly)


def _notes(asking: RoutesAsking, shown: Worked) -> tuple[str, ...]:
    from desktop.routes_files import merged
    from solver.report_text import example_sentence

    assumed = merged(asking.lists).assumed
    examples: dict[str, list[str]] = {}
    for answer in shown.answers:
        if said := example_sentence(answer):
            examples.setdefault(said, []).append(_named(answer))
    every = len(shown.answers)
    lines = [
        said if len(names) == every else f"{'; '.join(names)}: {said}"
        for said, names in examples.items()
    ]
    if assumed:
        lines.append(sentence(f"assumed: {'; '.join(assumed)}"))
    return tuple(lines)


def _named(answer: Answer) -> str:
    return answer.job.title or "job"
