"""Cut, buy or use what is there: optima by enumeration, frontiers, fixed charges against HiGHS."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import highspy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.answer import answer_job
from solver.choice import begin_search
from solver.columns import list_columns
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.findings import Answer
from solver.job import Costs, Job
from solver.law import law_of
from solver.market import CutSheet, Market, Pack
from solver.market_file import load_market
from solver.master import Halt, Master
from solver.pieces import known_of, list_unknowns
from solver.purse import MOST_PACKS, Purse
from solver.region import find_peak
from solver.report_routes import routes_as_text, routes_headline
from solver.routes import STEP, Routes, find_routes, find_shopping, widened
from solver.simulation import simulate_builds, true_stacks_um
from solver.tangents import HOLDS_FROM, Tangents
from solver.terminal import main
from solver.terminal_inputs import read_inputs
from tests.brute import as_plan, every_plan
from tests.jobs import THOU_UM, a_job, repeatable

FOLDER = Path(__file__).parent.parent / "stock_lists"
COSTS = Costs(2000, 15_000, 10, "", None, None)


def lot(name: str, thou: float, count: int = 1, within_um: float = 2.5, **more: object) -> Lot:
    """A measured lot; unmeasured where it is on offer. thou: thickness."""
    tool = "" if name.startswith(("buy ", "cut ")) else "micrometer"
    return Lot(name, thou * THOU_UM, count, within_um, tool, **more)  # type: ignore[arg-type]  # fields by name


DRAWER = Drawer((lot("a", 18.0), lot("b", 20.5), lot("c", 33.0), lot("d", 3.0)))
MARKET = Market(
    (
        Pack("tin", "North", (lot("buy p", 38.9), lot("buy q", 19.2)), 1400, 4),
        Pack("one", "Mill", (lot("buy r", 5.4),), 300, 2),
        Pack("late", "Mill", (lot("buy s", 38.7),), 100, 30),
    ),
    (("North", 600), ("Mill", 500)),
    (
        CutSheet(replace(lot("cut t", 5.6, 2, 4.0), lift_um=10.0), 60, 20.0),
        CutSheet(replace(lot("cut u", 20.0, 1, 4.0), lift_um=10.0), 90, 25.0),
    ),
)


def a_case(costs: Costs = COSTS) -> Job:
    """A small job whose drawer falls short. costs: of it."""
    return replace(a_job(wanted=0.9, pinch_thou=(5.0, 8.0)), costs=costs)


def routes_of(job: Job, drawer: Drawer = DRAWER, market: Market = MARKET) -> Routes:
    """The routes of a job. Returns them."""
    return find_routes(answer_job(job, drawer), market)


def cents_of(counts: tuple[tuple[int, ...], ...], wide: Drawer, kind: str) -> int | None:
    """What a plan costs, reckoned by hand; None where its route does not allow it."""
    used = {one.id: sum(seat[at] for seat in counts) for at, one in enumerate(wide.lots)}
    total, orders = 0, set()
    for pack in MARKET.packs:
        need = max(-(-used[one.id] // one.count) for one in pack.lots)
        if need and (kind not in ("buy", "any") or pack.days > 10 or need > MOST_PACKS):
            return None
        total += need * pack.price_cents
        orders |= {pack.seller} if need else set()
    total += sum(dict(MARKET.delivery_cents)[seller] for seller in orders)
    for sheet in MARKET.sheets:
        many = used[sheet.lot.id]
        if many and (kind not in ("cut", "any") or many > sheet.lot.count):
            return None
        total += many * (sheet.price_cents + round(sheet.minutes * COSTS.hour_cents / 60.0))
    return total


def enumerated(job: Job, kind: str) -> list[tuple[int, float]]:
    """Cost and chance of every plan that a route allows."""
    wide = widened(DRAWER, MARKET)
    few = replace(wide, lots=tuple(replace(one, count=min(one.count, 2)) for one in wide.lots))
    estimate = estimate_job(job, wide)
    every = every_plan(job, few, estimate, law_of(job, estimate))
    found = []
    for counts, chance in zip(every.counts, every.chance, strict=True):
        cents = cents_of(counts, wide, kind)
        if cents is not None:
            found.append((cents, float(chance)))
    return found


@pytest.fixture(scope="module")
def small() -> Routes:
    """The routes of the small case, with two pieces a seat at most."""
    job = a_case()
    seats = tuple(replace(seat, most=2) for seat in job.seats)
    return routes_of(replace(job, seats=seats))


@pytest.mark.parametrize("kind", ["drawer", "cut", "buy", "any"])
def test_every_route_is_what_enumeration_finds(small: Routes, kind: str) -> None:
    """Each point: none cheaper is as sure, none as cheap is surer; and the least expected cost."""
    plans = enumerated(small.answer.job, kind)
    route = small.route(kind)
    assert route.points and route.best is not None
    for point in route.points:
        assert point.proved
        surest = max(chance for cents, chance in plans if cents <= point.cents)
        assert point.normal == pytest.approx(surest, abs=0.002)
        cheaper = [chance for cents, chance in plans if cents < point.cents]
        assert max(cheaper, default=0.0) < point.normal + 1e-6
    redo = COSTS.redo_cents
    least = min(cents + (1.0 - chance) * redo for cents, chance in plans)
    found = min(point.cents + (1.0 - point.normal) * redo for point in route.points)
    assert found <= least + STEP * redo
    assert found >= least - 0.002 * redo


def test_no_point_is_dominated(small: Routes) -> None:
    """Along each frontier dearer is surer; mixing routes is never worse than either alone."""
    for route in small.routes:
        cents = [point.cents for point in route.points]
        chances = [point.normal for point in route.points]
        assert cents == sorted(set(cents)) and chances == sorted(set(chances))
    best = {route.kind: route.best.expected_cents for route in small.routes if route.best}
    slack = STEP * COSTS.redo_cents + 100
    assert best["any"] <= min(best["cut"], best["buy"]) + slack
    assert max(best["cut"], best["buy"]) <= best["drawer"]


@repeatable(6)
@given(st.floats(3.0, 40.0), st.integers(100, 900))
def test_an_offer_more_never_raises_the_least_cost(thou: float, price: int) -> None:
    """One more pack on offer: the least money plus risk is no more than without it."""
    job, base = a_case(), Market(MARKET.packs[:1], MARKET.delivery_cents, MARKET.sheets)
    pack = Pack("more", "Mill", (lot("buy more", round(thou, 2)),), price, 2)
    wider = replace(base, packs=(*base.packs, pack))
    before, after = (_least(routes_of(job, market=one)) for one in (base, wider))
    assert after <= before + STEP * COSTS.redo_cents


def _least(routes: Routes) -> float:
    points = [point for route in routes.routes for point in route.points]
    return min(point.cents + (1.0 - point.normal) * COSTS.redo_cents for point in points)


def test_patience_and_cutting_are_kept(small: Routes) -> None:
    """What comes after the last day is not bought; no more is cut than the sheet has."""
    for route in small.routes:
        for point in route.points:
            assert point.days <= 10
            assert all(pack.name != "late" for pack, _ in point.packs)
            assert all(count <= sheet.lot.count for sheet, count in point.cut)
            assert bool(point.packs) <= (route.kind in ("buy", "any"))
            assert bool(point.cut) <= (route.kind in ("cut", "any"))


@pytest.mark.parametrize("seed", range(5))
def test_packs_and_deliveries_against_another_solver(seed: int) -> None:
    """Least money for thicknesses in a window: the fixed charges are those of HiGHS."""
    rng = np.random.default_rng(seed)
    job = a_case()
    packs = tuple(
        Pack(
            f"k{at}",
            ("North", "Mill", "Quay")[at % 3],
            tuple(
                lot(f"buy {at}{part}", float(rng.integers(3, 28)), int(rng.integers(1, 3)))
                for part in range(int(rng.integers(1, 4)))
            ),
            int(rng.integers(200, 2000)),
            1,
        )
        for at in range(7)
    )
    market = Market(packs, (("North", 600), ("Mill", 450), ("Quay", 900)), MARKET.sheets)
    wide = widened(Drawer((lot("a", 11.0), lot("b", 17.0))), market)
    windows = tuple((round(m * 2540) - 250, round(m * 2540) + 250) for m in rng.uniform(22, 40, 2))
    found = _cheapest_ours(job, wide, market, windows)
    assert found == _cheapest_highs(job, wide, market, windows)


def _cheapest_ours(
    job: Job, wide: Drawer, market: Market, windows: tuple[tuple[int, int], ...]
) -> int | None:
    estimate = estimate_job(job, wide)
    columns = list_columns(wide, job.seats, estimate.unknowns)
    law = law_of(job, estimate)
    tangents = Tangents(law, columns.busy, find_peak(law))  # no tangents: windows alone
    real = begin_search(job, wide, estimate)
    totals = range(0, 7)
    search = SimpleNamespace(
        columns=columns,
        tangents=tangents,
        law=law,
        halt=Halt(),
        totals=totals,
        point=real.point,
        master=lambda pieces, bar, beside: Master(
            columns, tangents, windows, pieces, -27.0, Halt()
        ),
    )
    purse = Purse((search,), market, COSTS.hour_cents / 60.0, (0.0,))  # type: ignore[arg-type]  # stands in for a Search
    spent = purse.cheapest()
    assert spent is None or spent.closed
    return spent.cents if spent else None


def _cheapest_highs(
    job: Job, wide: Drawer, market: Market, windows: tuple[tuple[int, int], ...]
) -> int | None:
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    many = {
        (seat, one.id): solver.addIntegral(0, min(one.count, job.seats[seat].most))
        for seat in (0, 1)
        for one in wide.lots
    }
    cost = 0.0
    asked = {seller: solver.addBinary() for seller, _ in market.delivery_cents}
    for pack in market.packs:
        count = solver.addIntegral(0, MOST_PACKS)
        for one in pack.lots:
            solver.addConstr(many[0, one.id] + many[1, one.id] <= one.count * count)
        solver.addConstr(count <= MOST_PACKS * asked[pack.seller])
        cost = cost + pack.price_cents * count
    for seller, cents in market.delivery_cents:
        cost = cost + cents * asked[seller]
    for sheet in market.sheets:
        used = many[0, sheet.lot.id] + many[1, sheet.lot.id]
        solver.addConstr(used <= sheet.lot.count)
        cost = cost + (sheet.price_cents + round(sheet.minutes * COSTS.hour_cents / 60.0)) * used
    for one in wide.lots:
        if not one.id.startswith(("buy ", "cut ")):
            solver.addConstr(many[0, one.id] + many[1, one.id] <= one.count)
    for seat, window in enumerate(windows):
        thick = sum(round(one.thickness_um * 100) * many[seat, one.id] for one in wide.lots)
        solver.addConstr(thick >= window[0])
        solver.addConstr(thick <= window[1])
        pieces = sum(many[seat, one.id] for one in wide.lots)
        solver.addConstr(pieces <= job.seats[seat].most)
    solver.minimize(cost)
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return round(solver.getInfo().objective_function_value)


LADDER_UM = (100, 120, 150, 180, 300, 400, 500)  # of outboard lower units


@pytest.mark.parametrize(
    ("target_um", "pieces"),
    [
        (920, 3), (760, 3), (410, None), (400, 1), (420, 2), (650, 2), (570, 3), (600, 2),
        (610, 4), (1200, 3), (1240, 4), (1250, 4), (990, None),
    ],
)  # fmt: skip
def test_a_ladder_on_offer_costs_its_fewest_pieces(target_um: int, pieces: int | None) -> None:
    """Each step on offer at one price: the least cost of a thickness is its fewest pieces.

    Source: check values, section 6, by full enumeration; 0.99 mm cannot be reached with four.
    """
    packs = tuple(
        Pack(f"{um}", "Quay", (Lot(f"buy {um}", float(um), 1, 1.0),), 100, 1) for um in LADDER_UM
    )
    seats = tuple(replace(seat, most=4) for seat in a_case().seats)
    job = replace(a_case(), seats=seats)
    market = Market(packs)
    wide = widened(Drawer((Lot("a", 2_000.0, 1, 1.0, "micrometer"),)), market)
    window = (target_um * 100, target_um * 100)
    found = _cheapest_ours(job, wide, market, (window, (0, 0)))
    assert found == (None if pieces is None else 100 * pieces)


def test_what_a_burr_adds_is_a_rectangular() -> None:
    """Mean half the lift, variance lift²/12 for each piece, independent; closed form, and drawn."""
    job = a_case()
    piece = replace(lot("cut t", 5.0, 3, 0.0), lift_um=24.0, thickness_um=127.0 + 12.0)
    drawer = Drawer((*DRAWER.lots, piece))
    unknowns = list_unknowns(job, drawer)
    for count in (1, 2, 3):
        known = known_of(piece, "wheel side", count, unknowns)
        assert known.own_um2 == pytest.approx(count * 24.0**2 / 12.0)
    estimate = estimate_job(job, drawer)
    builds = simulate_builds(job, estimate)
    plan = as_plan(job, drawer, ((0, 0, 0, 0, 2), (0, 0, 0, 0, 1)))
    stacks = true_stacks_um(plan, drawer, unknowns, builds)
    assert stacks[:, 0].mean() == pytest.approx(2 * 139.0, abs=0.2)
    assert stacks[:, 0].var() == pytest.approx(2 * 48.0, rel=0.03)
    assert stacks[:, 1].min() >= 127.0 and stacks[:, 1].max() <= 151.0
    assert abs(np.corrcoef(stacks.T)[0, 1]) < 0.02


def test_one_piece_from_the_sheets_is_the_best_one(small: Routes) -> None:
    """Of all plans with exactly one cut piece, none is surer."""
    wide = widened(DRAWER, MARKET)
    job = small.answer.job
    estimate = estimate_job(job, wide)
    few = replace(wide, lots=tuple(replace(one, count=min(one.count, 2)) for one in wide.lots))
    every = every_plan(job, few, estimate, law_of(job, estimate))
    cut = [at for at, one in enumerate(wide.lots) if one.id.startswith("cut ")]
    bought = [at for at, one in enumerate(wide.lots) if one.id.startswith("buy ")]
    best = max(
        float(chance)
        for counts, chance in zip(every.counts, every.chance, strict=True)
        if sum(seat[at] for seat in counts for at in cut) == 1
        and not any(seat[at] for seat in counts for at in bought)
    )
    assert small.one_cut is not None
    assert small.one_cut.normal == pytest.approx(best, abs=0.0015)


def test_one_order_for_two_jobs_is_no_dearer_than_two() -> None:
    """A delivery is paid once; every job reaches what it asks; nothing is used twice."""
    jobs = (a_case(), replace(a_case(), title="another", wanted_chance=0.85))
    answers = tuple(answer_job(job, DRAWER) for job in jobs)
    both = find_shopping(answers, MARKET)
    assert both is not None and both.proved
    alone = [find_shopping((one,), MARKET) for one in answers]
    assert all(alone)
    used: dict[str, int] = {}
    for stack in (stack for plan in both.plans for stack in plan.stacks):
        for piece in stack.pieces:
            used[piece.id] = used.get(piece.id, 0) + piece.count
    for one in DRAWER.lots:
        assert used.get(one.id, 0) <= one.count
    assert both.cents >= max(one.cents for one in alone if one)


def test_two_jobs_need_what_enumeration_says() -> None:
    """Two jobs, one seat of pieces each: the least joint cost of every pair of plans."""
    seats = tuple(replace(seat, most=1) for seat in a_case().seats)
    jobs = tuple(replace(a_case(), seats=seats, wanted_chance=w) for w in (0.5, 0.6))
    drawer = Drawer((lot("a", 18.0), lot("c", 38.5)))
    packs = (
        Pack("w", "North", (lot("buy w", 18.2),), 400, 1),
        Pack("p", "North", (lot("buy p", 38.6),), 500, 1),
        Pack("q", "Mill", (lot("buy q", 38.4),), 300, 1),
    )
    market = Market(packs, (("North", 600), ("Mill", 100)), ())
    found = find_shopping(tuple(answer_job(job, drawer) for job in jobs), market)
    wide = widened(drawer, market)
    few = replace(wide, lots=tuple(replace(one, count=min(one.count, 2)) for one in wide.lots))
    sure = []
    for job in jobs:
        estimate = estimate_job(job, wide)
        every = every_plan(job, few, estimate, law_of(job, estimate))
        kept = [c for c, chance in zip(every.counts, every.chance, strict=True)
                if chance >= job.wanted_chance]  # fmt: skip
        sure.append(kept)
    best = None
    for one, two in itertools.product(*sure):
        used = {
            lot_.id: sum(seat[at] for plan in (one, two) for seat in plan)
            for at, lot_ in enumerate(wide.lots)
        }
        if used["a"] > 1 or used["c"] > 1:
            continue
        bought = [(pack, used[pack.lots[0].id]) for pack in packs]
        cents = sum(pack.price_cents * count for pack, count in bought)
        cents += sum(market.delivery(s) for s in {pack.seller for pack, count in bought if count})
        best = cents if best is None else min(best, cents)
    assert found is not None and best is not None
    assert found.cents == best


def example(changes: tuple[tuple[str, str], ...] = ()) -> tuple[Answer, Market]:
    """The example's answer, its costs or offers changed. changes: (pack or key, value)."""
    job, drawer = read_inputs(FOLDER / "routes.toml", None)
    assert job.costs is not None
    market = load_market(job.costs.offers_path, job.costs.sheets_path)
    costs = job.costs
    for key, value in changes:
        if key in ("hour_cents", "redo_cents", "patience_days"):
            costs = replace(costs, **{key: int(value)})
        else:
            packs = tuple(
                replace(pack, price_cents=int(value)) if key in ("packs", pack.name) else pack
                for pack in market.packs
            )
            market = replace(market, packs=packs)
    return answer_job(replace(job, costs=costs), drawer), market


@pytest.mark.parametrize(
    ("changes", "headline"),
    [
        ((), "Buy 1 pack"),
        ((("packs", "2500"),), "Cut 1 piece"),
        ((("patience_days", "2"),), "Cut 1 piece"),
        ((("redo_cents", "3000"),), "Use what is there"),
        ((("packs", "2500"), ("hour_cents", "9000")), "Use what is there"),
    ],
)
def test_each_route_wins_once_as_prices_change(
    changes: tuple[tuple[str, str], ...], headline: str
) -> None:
    """The same drawer: what to do follows from what things cost."""
    found = find_routes(*example(changes))
    assert routes_headline(found) == headline
    assert routes_as_text(found).startswith(headline.upper())


def test_the_verb_says_it_as_text_and_json(capsys: pytest.CaptureFixture[str]) -> None:
    """`routes` on the example: exit 0, since what it advises meets the wanted chance."""
    path = str(FOLDER / "routes.toml")
    assert main(["routes", path]) == 0
    text = capsys.readouterr().out
    assert "against" in text and "razor edges" in text
    assert "EXAMPLE LIMITS, from no manual: backlash and pinch" in text
    assert main(["routes", path, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["best"] == "buy" and set(found["routes"]) == {"drawer", "cut", "buy", "any"}
    assert main(["routes", path, path]) == 0
    assert capsys.readouterr().out.startswith("ONE ORDER FOR 2 JOBS")


def test_a_job_without_offers_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """One line with the way out, exit 2."""
    assert main(["routes", str(FOLDER / "example.toml")]) == 2
    assert "add [costs]" in capsys.readouterr().err


def test_bounds_hold_from_where_tangents_do(small: Routes) -> None:
    """Points say proved only where the chance is high enough for tangents to bound."""
    wide = widened(DRAWER, MARKET)
    search = begin_search(small.answer.job, wide, estimate_job(small.answer.job, wide))
    floor = HOLDS_FROM * search.tangents.peak.chance
    for route in small.routes:
        for point in route.points:
            assert point.proved <= (point.normal >= floor)
