"""Cut it, buy it or use what is there: the routes in words and as JSON."""

from __future__ import annotations

import textwrap

from solver.findings import Answer
from solver.job import Costs
from solver.market_file import BOUGHT, CUT
from solver.plan import Plan
from solver.report_cautions import CUTTING, last_words
from solver.report_json import Table
from solver.report_text import (
    agreement_sentence,
    example_sentence,
    plan_line,
    verdict_sentence,
)
from solver.report_words import counts, length, listed, number_of, sentence, wanted_counts
from solver.routes import Point, Route, Routes, Shopping

WIDTH = 88
NAMES = {
    "drawer": "use what is there",
    "cut": "cut",
    "buy": "buy",
    "any": "cut and buy",
}
POOR = 0.5  # a chance below it is no advice: more builds than not would come apart again
ALMOST_CENTS = 100  # two routes this near in cost are as good as equal


def money(cents: int, costs: Costs) -> str:
    """Show an amount. cents; costs: of the job. Returns text such as '12.50 crowns'."""
    return f"{cents / 100:.2f} {costs.currency}".rstrip()


def route_done(route: Route) -> str:
    """Say what a route's best plan really does: one that spends nothing uses what is there.

    route: with a best plan. Returns a key of NAMES.
    """
    best = route.best
    assert best is not None
    if best.packs:
        return "any" if best.cut else "buy"
    return "cut" if best.cut else "drawer"


def routes_headline(routes: Routes) -> str:
    """Say in a few words what to do. routes. Returns text, no full stop."""
    best = routes.best
    if routes.answer.agreement.state == "disagree":
        return "Spend nothing yet"
    if best is None or best.best is None:
        return "Nothing on offer fits"
    if best.best.chance < POOR:
        return "Nothing on offer is good enough"
    return {
        "drawer": "Use what is there",
        "cut": "Cut " + number_of(sum(n for _, n in best.best.cut), "piece"),
        "buy": "Buy " + number_of(sum(n for _, n in best.best.packs), "pack"),
        "any": "Cut and buy",
    }[route_done(best)]


def reason_sentence(routes: Routes) -> str:
    """Give the reason of the recommendation in one sentence. routes. Returns ''  without a plan."""
    best = routes.best
    if best is None or best.best is None:
        return ""
    costs, done = routes.costs, route_done(best)
    rivals = [r for r in routes.routes if r.best and route_done(r) != done]
    said = (
        f"It is likely to cost {money(best.best.expected_cents, costs)} in all, at"
        f" {counts(best.best.chance)} builds"
    )
    others = {
        route_done(r): f"{money(r.best.expected_cents, costs)} to {NAMES[route_done(r)]}"
        for r in rivals
        if r.best
    }
    if others:
        said += f", against {listed(list(others.values()), 'or')}"
    dearer = (r.best.expected_cents - best.best.expected_cents for r in rivals if r.best)
    if min(dearer, default=ALMOST_CENTS) < ALMOST_CENTS:
        said += "; the difference is too small to matter"
    return sentence(said)


def point_line(point: Point, routes: Routes) -> str:
    """Say what a point asks for. point; routes. Returns words without a full stop."""
    asked = []
    for pack, count in point.packs:
        times = f"{count} x " if count > 1 else ""
        asked.append(f"buy {times}{pack.name} from {pack.seller}")
    for sheet, count in point.cut:
        size = length(
            sheet.lot.thickness_um - sheet.lot.lift_um / 2.0, routes.answer.job.unit, True
        )
        name = sheet.lot.id.removeprefix(CUT)
        asked.append(f"cut {number_of(count, 'piece')} of {size} from {name}")
    if not asked:
        return "what is in the drawer"
    if point.days:
        asked.append(f"wait {number_of(point.days, 'day')}")
    return ", ".join(asked)


def measured_sentence(point: Point) -> str:
    """Say what measuring does to what was bought or cut. point. Returns '' where nothing was."""
    if not point.packs and not point.cut:
        return ""
    names = listed([word for word, on in (("bought", point.packs), ("cut", point.cut)) if on])
    if point.once_measured > point.normal + 0.005:
        return (
            f"Until what was {names} is measured that is {counts(point.normal)} by its tolerance;"
            f" measured, and as marked, {counts(point.once_measured)}. Measure it, and choose"
            " again."
        )
    return (
        f"What was {names} may be off by its tolerance: measure it when it is there, put it in the"
        " drawer, and choose again."
    )


def _one_cut_rows(routes: Routes) -> list[str]:
    rows = []
    unit, cut = routes.answer.job.unit, routes.one_cut
    if cut is not None and cut.cut:
        sheet = cut.cut[0][0]
        size = length(sheet.bare_um, unit, True)
        rows += _wrapped(
            f"Of the sheets there are, one piece of {size} ({sheet.lot.id.removeprefix(CUT)})"
            f" raises the chance most: to {counts(cut.chance)}."
        )
    mend = routes.one_any
    if mend is not None:
        rows += _wrapped(
            f"Of any thickness, one piece of {length(mend.thickness_um, unit, True)} for the"
            f" {mend.seat}: {counts(mend.chance)} (known as well as your best-known piece)."
        )
    return rows


def routes_as_text(routes: Routes) -> str:
    """Write the routes for a person. routes. Returns text of 88 columns, newline last."""
    answer, costs = routes.answer, routes.costs
    rows = [routes_headline(routes).upper()]
    if answer.job.title:
        rows += _wrapped(answer.job.title, "")
    if said := example_sentence(answer):
        rows += ["", *_wrapped(said, "", "")]
    if said := agreement_sentence(answer):
        rows += ["", *_wrapped(f"{said} Spend nothing before they agree.", "", "")]
    best = routes.best
    if best is not None and best.best is not None:
        rows += ["", *_wrapped(reason_sentence(routes))]
        rows += _wrapped(sentence(point_line(best.best, routes)))
        rows += _wrapped(sentence(plan_line(best.best.plan, answer.job.unit)))
        rows += _wrapped(measured_sentence(best.best))
        if not best.best.proved:
            rows += _wrapped("Not proved the least: the bounds do not reach so far down.")
    else:
        rows += ["", *_wrapped(verdict_sentence(answer))]
    for route in routes.routes:
        rows += ["", f"  {NAMES[route.kind]}".upper()]
        if not route.points:
            rows.append("    no plan")
        for point in route.points:
            mark = "  <- least" if point is route.best else ""
            rows.append(
                f"    {money(point.cents, costs):>16}  {counts(point.chance):20}"
                f"  in all {money(point.expected_cents, costs)}{mark}"
            )
            rows += _wrapped(point_line(point, routes), " " * 22, " " * 22)
    rows += ["", *_wrapped(
        f"'In all' is money, your time at {money(costs.hour_cents, costs)} an hour, and"
        f" {money(costs.redo_cents, costs)} for having to strip and build it again, times its risk."
        f" {wanted_counts(answer.job.wanted_chance)} were asked for."
    )]  # fmt: skip
    if single := _one_cut_rows(routes):
        rows += ["", "One piece", *single]
    if routes.market.assumed:
        rows += ["", "Assumed"]
        for line in routes.market.assumed:
            rows += _wrapped(line, "  - ", "    ")
    rows += ["", "At the bench"]
    for caution in (*CUTTING, *last_words(routes.answer.job)):
        rows += _wrapped(caution, "  - ", "    ")
    return "\n".join(rows) + "\n"


def _wrapped(words: str, first: str = "  ", rest: str = "  ") -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    return textwrap.wrap(clean, WIDTH, initial_indent=first, subsequent_indent=rest)


def routes_as_json(routes: Routes) -> Table:
    """Put the routes into plain dicts and lists, money in the job's own. routes. Returns a dict."""
    best = routes.best
    return {
        "status": routes.answer.status,
        "agreement": routes.answer.agreement.state,
        "best": best.kind if best else None,
        "headline": routes_headline(routes),
        "reason": reason_sentence(routes),
        "currency": routes.costs.currency,
        "routes": {
            route.kind: {
                "points": [_point(point) for point in route.points],
                "best": route.points.index(route.best) if route.best else None,
            }
            for route in routes.routes
        },
        "one_cut": _point(routes.one_cut) if routes.one_cut else None,
        "one_any": None
        if routes.one_any is None
        else {
            "seat": routes.one_any.seat,
            "thickness_um": float(routes.one_any.thickness_um),
            "chance": float(routes.one_any.chance),
        },
    }


def _point(point: Point) -> Table:
    return {
        "cost": point.cents / 100,
        "expected": point.expected_cents / 100,
        "chance": float(point.chance),
        "normal": float(point.normal),
        "once_measured": float(point.once_measured),
        "minutes": float(point.minutes),
        "days": point.days,
        "proved": point.proved,
        "packs": [
            {"pack": pack.name, "seller": pack.seller, "count": count}
            for pack, count in point.packs
        ],
        "cut": [
            {"sheet": sheet.lot.id.removeprefix(CUT), "count": count} for sheet, count in point.cut
        ],
        "seats": _seats(point.plan),
    }


def _seats(plan: Plan) -> Table:
    return {
        stack.seat: [
            {"id": _plain_id(piece.id), "from": _from(piece.id), "count": int(piece.count)}
            for piece in stack.pieces
        ]
        for stack in plan.stacks
    }


def _from(lot_id: str) -> str:
    return "buy" if lot_id.startswith(BOUGHT) else "cut" if lot_id.startswith(CUT) else "drawer"


def _plain_id(lot_id: str) -> str:
    return lot_id.removeprefix(BOUGHT).removeprefix(CUT)


def shopping_as_text(shopping: Shopping | None, answers: tuple[Answer, ...]) -> str:
    """Write one order for several jobs. shopping: None where nothing serves them; answers."""
    if shopping is None:
        return "NOTHING ON OFFER SERVES ALL OF THESE JOBS\n"
    costs = answers[0].job.costs
    assert costs is not None
    jobs = number_of(len(answers), "job").upper()
    rows = [f"ONE ORDER FOR {jobs}: {money(shopping.cents, costs)}", ""]
    for pack, count in shopping.packs:
        rows += _wrapped(f"buy {count} x {pack.name} from {pack.seller}", "  - ", "    ")
    for sheet, count in shopping.cut:
        name = sheet.lot.id.removeprefix(CUT)
        rows += _wrapped(f"cut {number_of(count, 'piece')} from {name}", "  - ", "    ")
    if not shopping.packs and not shopping.cut:
        rows.append("  nothing to buy or cut: the drawer serves them all")
    for answer, plan, chance in zip(answers, shopping.plans, shopping.chances, strict=True):
        rows += ["", *_wrapped(f"{answer.job.title or 'job'}: {counts(chance)}")]
        rows += _wrapped(plan_line(plan, answer.job.unit), "    ", "    ")
    if not shopping.proved:
        rows += ["", *_wrapped("Not proved the cheapest: the bounds do not reach so far down.")]
    return "\n".join(rows) + "\n"


def shopping_as_json(shopping: Shopping | None, answers: tuple[Answer, ...]) -> Table:
    """Put one order for several jobs into plain dicts. shopping; answers. Returns a dict."""
    if shopping is None:
        return {"cost": None, "packs": [], "cut": [], "jobs": []}
    return {
        "cost": shopping.cents / 100,
        "proved": shopping.proved,
        "packs": [
            {"pack": pack.name, "seller": pack.seller, "count": count}
            for pack, count in shopping.packs
        ],
        "cut": [
            {"sheet": sheet.lot.id.removeprefix(CUT), "count": count}
            for sheet, count in shopping.cut
        ],
        "jobs": [
            {"title": answer.job.title, "chance": float(chance), "seats": _seats(plan)}
            for answer, plan, chance in zip(answers, shopping.plans, shopping.chances, strict=True)
        ],
    }
