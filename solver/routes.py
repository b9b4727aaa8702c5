"""Cut it, buy it or use what is there: the least that it is likely to cost, and what more buys.

expected cost of a route = money + time + (1 - chance) * having to strip and build it again
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.choice import HIGHEST_TO, begin_search
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.findings import Answer, Mend
from solver.job import Costs, Job
from solver.market import CutSheet, Market, Pack
from solver.market_file import BOUGHT, CUT
from solver.master import Halt
from solver.mend import find_mend
from solver.plan import Plan
from solver.purse import MOST_PACKS, Purse, Spent
from solver.search import Search
from solver.simulation import Builds, simulate_builds
from solver.tangents import HOLDS_FROM
from solver.verdict import normal_chance, simulated_chance

KINDS = ("drawer", "cut", "buy", "any")
STEP = 0.005  # of chance: what a dearer point has to bring
MOST_POINTS = 14
FAINT = 0.001


@dataclass(frozen=True, slots=True)
class Point:
    """A plan with what it costs and how sure it is."""

    plan: Plan
    cents: int  # money and time
    minutes: float  # of cutting
    packs: tuple[tuple[Pack, int], ...]
    cut: tuple[tuple[CutSheet, int], ...]
    days: int  # until the last parcel is here
    normal: float  # chance by the normal law
    chance: float  # simulated
    once_measured: float  # by the normal law, what was cut and bought measured and as marked
    expected_cents: int  # money, time, and the risk of doing it again
    proved: bool  # none cheaper is as sure, none as cheap is surer


@dataclass(frozen=True, slots=True)
class Route:
    """One way to get the pieces. kind: 'drawer', 'cut', 'buy' or 'any'."""

    kind: str
    points: tuple[Point, ...]  # from the cheapest to the surest
    best: Point | None  # of the least expected cost


@dataclass(frozen=True, slots=True)
class Routes:
    """Every route of a job, and the questions asked beside."""

    answer: Answer
    costs: Costs
    market: Market
    routes: tuple[Route, ...]
    one_cut: Point | None  # one piece from the sheets that raises the chance most
    one_any: Mend | None  # the same with any thickness at all

    def route(self, kind: str) -> Route:
        """The route of a kind. kind: one of KINDS. Returns it."""
        return next(route for route in self.routes if route.kind == kind)

    @property
    def best(self) -> Route | None:
        """The route of the least expected cost, the simplest among equals; None without a plan."""
        kinds = [route for route in self.routes if route.best is not None]
        return min(kinds, key=_expected, default=None)


def _expected(route: Route) -> tuple[int, int]:
    assert route.best is not None
    return route.best.expected_cents, KINDS.index(route.kind)


def widened(drawer: Drawer, market: Market) -> Drawer:
    """The drawer with everything that could be bought or cut. drawer, market. Returns it."""
    bought = [
        replace(lot, count=lot.count * MOST_PACKS) for pack in market.packs for lot in pack.lots
    ]
    cut = [sheet.lot for sheet in market.sheets]
    return replace(drawer, lots=(*drawer.lots, *bought, *cut))


@dataclass(slots=True)
class _Asked:
    """One job with everything on offer, ready for questions."""

    job: Job
    costs: Costs
    market: Market
    drawer: Drawer
    search: Search
    builds: Builds
    halt: Halt

    def purse(self, kind: str, bar: float) -> Purse:
        return Purse(
            (self.search,),
            self.market,
            self.costs.hour_cents / 60.0,
            (bar,),
            cutting=kind in ("cut", "any"),
            buying=kind in ("buy", "any"),
            days=self.costs.patience_days,
        )


def find_routes(answer: Answer, market: Market, halt: Halt | None = None) -> Routes:
    """Find what each way to get the pieces costs, and how sure it makes the build.

    answer: finished, of a job with costs; market: what can be bought and cut; halt: to stop from
    another thread. Returns: the Routes. Each point's cost is proved the least for its chance where
    tangents bound every plan (as in `choice`); its chance is then simulated. Limits: chances that
    differ by less than 0.005 are one; a piece is planned with what its seller or sheet is said to
    be. Raises: ValueError for a job without costs.
    """
    job = answer.job
    if job.costs is None:
        raise ValueError("a job without costs has no routes")
    halt = halt or Halt()
    wide = widened(answer.drawer, market)
    estimate = estimate_job(job, wide)
    search = begin_search(job, wide, estimate, halt)
    builds = simulate_builds(job, estimate)
    asked = _Asked(job, job.costs, market, wide, search, builds, halt)
    kinds = [kind for kind in KINDS if _there(kind, market)]
    free = _surest_free(asked)
    start = _point(asked, free) if free is not None else None
    routes = [_route(asked, kind, start) for kind in kinds]
    plain = begin_search(job, answer.drawer, estimate_job(job, answer.drawer), halt)
    return Routes(
        answer,
        job.costs,
        market,
        tuple(routes),
        _one_cut(asked) if market.sheets else None,
        find_mend(job, answer.drawer, estimate, plain, 1.0),
    )


def _there(kind: str, market: Market) -> bool:
    there = {"drawer": True, "cut": bool(market.sheets), "buy": bool(market.packs)}
    return there.get(kind, there["cut"] and there["buy"])


def _route(asked: _Asked, kind: str, start: Point | None) -> Route:
    """Climb from what is there to the surest, each dearer plan surer by a step at least."""
    points = [] if start is None else [start]
    peak = asked.search.tangents.peak.chance
    bar = max(HOLDS_FROM * peak, FAINT, start.normal + STEP if start else 0.0)
    while kind != "drawer" and len(points) < MOST_POINTS and not asked.halt.stopped:
        if bar > peak or bar >= 1.0:
            break
        # what is dearer than the best so far with all its risk is of no use to anybody
        most = min((point.expected_cents for point in points), default=None)
        least = asked.purse(kind, bar).cheapest(most)
        if least is None:
            break
        best = asked.purse(kind, bar).best(least.cents, HIGHEST_TO) or least
        points.append(_point(asked, best))
        bar = best.chances[0] + STEP
    best_point = min(points, key=lambda point: point.expected_cents, default=None)
    return Route(kind, tuple(points), best_point)


def _surest_free(asked: _Asked) -> Spent | None:
    """The surest plan out of the drawer alone."""
    floor = HOLDS_FROM * asked.search.tangents.peak.chance
    for bar in (floor, FAINT):
        found = asked.purse("drawer", bar).best(0, HIGHEST_TO)
        if found is not None and found.chances[0] >= bar:
            return found
    return None


def _one_cut(asked: _Asked) -> Point | None:
    """The one piece, out of any sheet, whose cutting raises the chance most."""
    purse = asked.purse("cut", FAINT)
    pieces = [use for sheet in asked.market.sheets for use in purse.uses(sheet.lot.id)]
    if not pieces:
        return None
    purse.model.add(sum(pieces) == 1)
    found = purse.best(1 << 40, HIGHEST_TO)
    return _point(asked, found) if found else None


def _point(asked: _Asked, spent: Spent) -> Point:
    """Say all of a plan that was found."""
    job, search, drawer = asked.job, asked.search, asked.drawer
    (counts,) = spent.counts
    plan = search.columns.plan(counts)
    used: dict[str, int] = {}
    for stack in plan.stacks:
        for piece in stack.pieces:
            used[piece.id] = used.get(piece.id, 0) + piece.count
    cut = tuple((s, used[s.lot.id]) for s in asked.market.sheets if s.lot.id in used)
    packs = tuple((asked.market.packs[at], count) for at, count in spent.packs)
    estimate = estimate_job(job, drawer)
    chance = simulated_chance(job, drawer, estimate, plan, asked.builds)
    known = measured(drawer)
    return Point(
        plan,
        spent.cents,
        sum(sheet.minutes * count for sheet, count in cut),
        packs,
        cut,
        max((pack.days for pack, _ in packs), default=0),
        spent.chances[0],
        chance,
        normal_chance(job, known, estimate_job(job, known), plan),
        spent.cents + round((1.0 - chance) * asked.costs.redo_cents),
        spent.closed and search.tangents_bound(spent.chances[0]),
    )


def measured(drawer: Drawer) -> Drawer:
    """The drawer as if all that was bought and cut had come and been measured, as it was marked.

    drawer: widened. Returns: new pieces known like the best-known piece there is.
    """
    known = [lot for lot in drawer.lots if lot.tool and lot.count]
    if not known:
        return drawer
    like = min(known, key=lambda lot: lot.within_um)

    def one(lot: Lot) -> Lot:
        if not lot.id.startswith((BOUGHT, CUT)):
            return lot
        return replace(lot, within_um=like.within_um, tool=like.tool, lift_um=0.0)

    return replace(drawer, lots=tuple(map(one, drawer.lots)))


@dataclass(frozen=True, slots=True)
class Shopping:
    """One order and one evening of cutting that serve several jobs."""

    answers: tuple[Answer, ...]
    plans: tuple[Plan, ...]
    chances: tuple[float, ...]  # simulated
    cents: int
    packs: tuple[tuple[Pack, int], ...]
    cut: tuple[tuple[CutSheet, int], ...]
    proved: bool


def find_shopping(
    answers: tuple[Answer, ...], market: Market, halt: Halt | None = None
) -> Shopping | None:
    """Find the cheapest order and cuts that bring several jobs where they want to be.

    answers: finished, of jobs that share one drawer, the first with costs; market; halt: to stop
    from another thread. Returns: the Shopping, None where nothing serves them all. A job that
    cannot reach the wanted chance is to come within 0.005 of the best it can.
    """
    costs = answers[0].job.costs
    if costs is None:
        raise ValueError("jobs without costs have no shopping list")
    halt = halt or Halt()
    wide = widened(answers[0].drawer, market)
    asked = []
    for answer in answers:
        estimate = estimate_job(answer.job, wide)
        search = begin_search(answer.job, wide, estimate, halt)
        builds = simulate_builds(answer.job, estimate)
        asked.append(_Asked(answer.job, costs, market, wide, search, builds, halt))
    bars = tuple(min(one.job.wanted_chance, _reach(one)) for one in asked)
    searches = tuple(one.search for one in asked)
    purse = Purse(searches, market, costs.hour_cents / 60.0, bars, days=costs.patience_days)
    spent = purse.cheapest()
    if spent is None:
        return None
    plans = tuple(
        one.search.columns.plan(counts) for one, counts in zip(asked, spent.counts, strict=True)
    )
    used: dict[str, int] = {}
    for piece in (piece for plan in plans for stack in plan.stacks for piece in stack.pieces):
        used[piece.id] = used.get(piece.id, 0) + piece.count
    chances = tuple(
        simulated_chance(one.job, wide, estimate_job(one.job, wide), plan, one.builds)
        for one, plan in zip(asked, plans, strict=True)
    )
    bound = all(s.tangents_bound(bar) for s, bar in zip(searches, bars, strict=True))
    return Shopping(
        answers,
        plans,
        chances,
        spent.cents,
        tuple((market.packs[at], count) for at, count in spent.packs),
        tuple((s, used[s.lot.id]) for s in market.sheets if s.lot.id in used),
        spent.closed and bound,
    )


def _reach(asked: _Asked) -> float:
    """The chance that a job alone can come to with all that is on offer, less half a per cent."""
    found = asked.purse("any", FAINT).best(1 << 40, HIGHEST_TO)
    return max(found.chances[0] - STEP, FAINT) if found else FAINT
