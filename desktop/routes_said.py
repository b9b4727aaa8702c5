"""What the stage of cutting and buying says at the right, by how things stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from desktop.routes_words import CUT_CAUTIONS, WAYS, bare_money, done_by
from solver.report_cautions import LAST
from solver.report_words import counts, listed, sentence, wanted_counts

if TYPE_CHECKING:  # loaded with the first answer
    from desktop.routes_asking import RoutesAsking
    from solver.routes import Point, Routes

MOST_WISHES = 3
COPY = "Copy as text"
Action = str  # 'copy', 'show', 'axle', 'stop', 'again' or ''


@dataclass(frozen=True, slots=True)
class Said:
    """All that is said, in order from the top."""

    shout: str  # what to do, in capitals
    then: str  # the reason
    tone: str  # 'good', 'warn', 'bad', or 'sunk' for what is still to come
    lines: tuple[str, ...] = ()  # what it asks for
    point: Point | None = None  # whose plan is drawn
    faint: bool = False  # the plan is from before the last change, or not to be built
    after: tuple[str, ...] = ()  # below the plan
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    button: tuple[str, Action] = (COPY, "")
    back: bool = False  # another way than the advised one is looked at


def said_of(asking: RoutesAsking, shown: Routes | None) -> Said:
    """Say how things stand. asking; shown: the newest routes in the words shown. Returns it."""
    state = asking.weighed
    if state == "done" and shown is not None:
        return _answered(asking, shown)
    old = shown.best.best if shown is not None and shown.best is not None else None
    if state == "none":
        then = (
            "The drawer seldom has the right piece. Say at the left what an hour and doing it again"
            " are worth to you, and what can be bought or cut: here stands what is likely to cost"
            " least in all, with the reason."
        )
        return Said("CUT IT, BUY IT, OR USE WHAT IS THERE?", then, "sunk", cautions=CUT_CAUTIONS)
    if state == "faulty":
        red = asking.red
        more = f" And {len(red) - 1} more." if len(red) > 1 else ""
        return Said("MEND THE RED", f"{red[0]}.{more}", "bad", button=("Show it", "show"))
    if state == "half-filled":
        return Said("NEARLY THERE", _still(asking), "sunk", cautions=CUT_CAUTIONS)
    if state == "no axle":
        then = "What there is to fit has no answer yet, so nothing can be weighed against it."
        return Said("THE AXLE COMES FIRST", then, "sunk", button=("Go to the axle", "axle"))
    if state == "stopped":
        then = "Stopped before everything was weighed."
        return Said("STOPPED", then, "warn", point=old, faint=True, button=("Weigh it", "again"))
    if state == "failed":
        return Said("NO ANSWER", "Something went wrong here, not in the job.", "bad")
    then = "Weighing what is there against cutting and buying."
    if state == "axle solving":
        then = "Choosing out of the drawer first."
    lines = ("From before the last change:",) if old is not None else ()
    return Said("ONE MOMENT", then, "sunk", lines, old, True, button=("Stop", "stop"))


def _still(asking: RoutesAsking) -> str:
    names = list(dict.fromkeys(asking.wishes))
    if not names and not asking.offered:
        names = ["a row of what can be bought, or a sheet to cut from"]
    first = names[:MOST_WISHES]
    if len(names) > MOST_WISHES:
        first.append(f"{len(names) - MOST_WISHES} more")
    return sentence(f"still to come: {listed(first)}")


def _answered(asking: RoutesAsking, routes: Routes) -> Said:
    from solver.report_routes import routes_headline
    from solver.report_text import agreement_sentence

    answer = routes.answer
    advised = routes.best.best if routes.best is not None else None
    badly = agreement_sentence(answer)
    copy = (COPY, "copy")
    if answer.agreement.state == "disagree":
        then = f"{badly} Spend nothing before they agree."
        lines = ("Not to be built. If the readings stood:",) if advised is not None else ()
        return Said(
            routes_headline(routes).upper(),
            then,
            "bad",
            lines,
            advised,
            True,
            cautions=LAST,
            button=copy,
        )
    if advised is None:
        then = (
            "Nothing in the drawer, on the sheets or on offer by your latest day has a chance worth"
            " naming of meeting every limit."
        )
        return Said(routes_headline(routes).upper(), then, "bad", cautions=LAST, button=copy)
    if asking.picked is not None:
        return _picked(asking.picked, routes)
    return _advised(advised, routes, badly)


def _advised(advised: Point, routes: Routes, badly: str) -> Said:
    """What is likely to cost least. badly: how the readings sit together, '' for well."""
    from solver.report_routes import POOR, reason_sentence, routes_headline

    answer, copy = routes.answer, (COPY, "copy")
    met = advised.chance >= answer.job.wanted_chance
    wanted = wanted_counts(answer.job.wanted_chance)
    short = "" if met else f"{counts(advised.chance)} builds; {wanted} were asked for."
    head = routes_headline(routes).upper()
    tone = "good" if met and not badly else "warn"
    if advised.chance < POOR:
        return Said(
            head, _poor(routes, advised), "bad", ("The best there is, not advised:",), advised,
            True, cautions=LAST, button=copy,
        )  # fmt: skip
    asks = _asks(advised, routes)
    said = tuple(line for line in (badly, short, asks) if line)
    return Said(
        head, reason_sentence(routes), tone, said, advised, False, _after(advised),
        _cautions(advised), _notes(routes), copy,
    )  # fmt: skip


def _poor(routes: Routes, advised: Point) -> str:
    """Nothing on offer is worth its money."""
    from solver.report_routes import point_line

    best = point_line(advised, routes)
    return (
        f"The surest worth its money ({best}) would land inside every limit in"
        f" {counts(advised.chance)} builds. Look at the limits and readings, or find other pieces."
    )


def _picked(point: Point, routes: Routes) -> Said:
    """Another way than the advised one."""
    then = (
        f"Another way than the advised one: {bare_money(point.expected_cents)}"
        f" {routes.costs.currency} in all, at {counts(point.chance)} builds."
    )
    head = WAYS[done_by(point)].upper()
    asks = _asks(point, routes)
    return Said(
        head, then.replace("  ", " "), "sunk", (asks,) if asks else (), point, False,
        _after(point), _cautions(point), (), (COPY, "copy"), True,
    )  # fmt: skip


def _asks(point: Point, routes: Routes) -> str:
    from solver.report_routes import point_line

    return sentence(point_line(point, routes)) if point.packs or point.cut else ""


def _after(point: Point) -> tuple[str, ...]:
    from solver.report_routes import measured_sentence

    proof = "" if point.proved else "Not proved the least: the bounds do not reach so far down."
    return tuple(line for line in (measured_sentence(point), proof) if line)


def _cautions(point: Point) -> tuple[str, ...]:
    return (*(CUT_CAUTIONS if point.cut else ()), *LAST)


def _notes(routes: Routes) -> tuple[str, ...]:
    from solver.report_text import example_sentence

    assumed = routes.market.assumed
    said = sentence(f"assumed: {'; '.join(assumed)}") if assumed else ""
    return tuple(line for line in (example_sentence(routes.answer), said) if line)
