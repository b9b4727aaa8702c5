"""What plans cost: packs whole, a delivery once a seller, sheets no larger than they are.

One integer program over all jobs at once: each with its own seats and chance, all with one drawer,
one order and the same sheets. Money in cents.

    cost = sum packs * price + sum (seller asked) * delivery + sum cut pieces * (price + time)
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from solver.market import Market
from solver.market_file import BOUGHT, CUT
from solver.master import CLOSE_ENOUGH, LOG_UNIT, Counts, Master, run
from solver.search import Search

MOST_PACKS = 6  # of one kind
PIECE_COST = 1  # among equally dear plans the one with fewer pieces: a thousandth of a cent each
CENT = 1000
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Spent:
    """Plans with what they cost."""

    counts: tuple[Counts, ...]  # of each job
    chances: tuple[float, ...]  # by the normal law
    cents: int
    packs: tuple[tuple[int, int], ...]  # (place in the market, how many)
    closed: bool  # nothing cheaper (or better) is there


@dataclass(slots=True)
class Purse:
    """One model: the seats of some jobs, and what is spent on them."""

    searches: tuple[Search, ...]
    market: Market
    minute_cents: float
    bars: tuple[float, ...]  # chance that each job has to reach
    cutting: bool = True
    buying: bool = True
    days: int | None = None
    masters: list[Master] = field(init=False)
    packs: dict[int, Any] = field(default_factory=dict)  # place in the market -> how many
    cost: Any = field(init=False)  # thousandths of a cent

    def __post_init__(self) -> None:
        self.masters = []
        for search, bar in zip(self.searches, self.bars, strict=True):
            totals = search.totals
            beside = self.masters[0] if self.masters else None
            self.masters.append(search.master((totals[0], totals[-1]), bar, beside))
        self._share_drawer()
        terms = [self._buy(), self._cut_sheets()]
        pieces = sum(master.total for master in self.masters)
        self.cost = sum(terms) * CENT + PIECE_COST * pieces

    @property
    def model(self) -> Any:
        """The integer program that all jobs share."""
        return self.masters[0].model

    @property
    def _seats(self) -> int:
        """The most seats that any one job has."""
        return max(search.law.seats for search in self.searches)

    def uses(self, lot_id: str) -> list[Any]:
        """Every count, in any seat of any job, of a lot that is alone in its column.

        lot_id: of it. Returns: variables of the model.
        """
        found = []
        for search, master in zip(self.searches, self.masters, strict=True):
            lots = search.columns.drawer.lots
            for at, column in enumerate(search.columns.items):
                if any(lots[place].id == lot_id for place in column.lots):
                    found += [seat[at] for seat in master.counts if at in seat]
        return found

    def _share_drawer(self) -> None:
        """What all jobs take of like lots is no more than the drawer has."""
        if len(self.searches) < 2:
            return
        groups: dict[tuple[str, ...], tuple[int, list[Any]]] = {}
        for search, master in zip(self.searches, self.masters, strict=True):
            lots = search.columns.drawer.lots
            for at, column in enumerate(search.columns.items):
                names = tuple(lots[place].id for place in column.lots)
                stock = sum(lots[place].count for place in column.lots)
                uses = [seat[at] for seat in master.counts if at in seat]
                groups.setdefault(names, (stock, []))[1].extend(uses)
        for names, (stock, uses) in groups.items():
            if not names[0].startswith((BOUGHT, CUT)) and uses:
                self.model.add(sum(uses) <= stock)

    def _buy(self) -> Any:
        """Packs whole, a delivery once a seller; what is not on offer in time is not used."""
        spent: Any = 0
        orders: dict[str, list[Any]] = {}
        for at, pack in enumerate(self.market.packs):
            late = self.days is not None and pack.days > self.days
            uses = [self.uses(lot.id) for lot in pack.lots]
            if not self.buying or late or not any(uses):
                for used in uses:
                    if used:
                        self.model.add(sum(used) == 0)
                continue
            count = self.model.new_int_var(0, MOST_PACKS, f"pack {at}")
            for lot, used in zip(pack.lots, uses, strict=True):
                if used:
                    self.model.add(sum(used) <= lot.count * count)
            self.packs[at] = count
            spent += pack.price_cents * count
            orders.setdefault(pack.seller, []).append(count)
        for seller, counts in orders.items():
            asked = self.model.new_bool_var(f"order from {seller}")
            for count in counts:
                self.model.add(count <= MOST_PACKS * asked)
            spent += self.market.delivery(seller) * asked
        return spent

    def _cut_sheets(self) -> Any:
        """A piece costs its metal and its time; no more are cut than the sheet has."""
        spent: Any = 0
        for sheet in self.market.sheets:
            used = self.uses(sheet.lot.id)
            if not used:
                continue
            if not self.cutting:
                self.model.add(sum(used) == 0)
                continue
            self.model.add(sum(used) <= sheet.lot.count)
            spent += (sheet.price_cents + round(sheet.minutes * self.minute_cents)) * sum(used)
        return spent

    def cheapest(self, most_cents: int | None = None) -> Spent | None:
        """The least money for which every job reaches its bar.

        most_cents: more is of no interest. Returns: None where none reaches it.
        """
        if most_cents is not None:
            self.model.add(self.cost <= most_cents * CENT + CENT - 1)
        self.model.minimize(self.cost)
        for _ in range(MOST_ROUNDS):
            for master in self.masters:
                master.cut()
            solver, closed = run(self.model, self.searches[0].halt, None, seats=self._seats)
            if solver is None:
                return None
            spent = self._spent(solver, closed)
            failed = [
                at
                for at, (chance, bar) in enumerate(zip(spent.chances, self.bars, strict=True))
                if chance < bar
            ]
            if not failed:
                return spent
            for at in failed:
                self._rule_out(at, spent.counts[at])
        return None

    def best(self, most_cents: int, gap: float) -> Spent | None:
        """The highest chance of the one job for no more than some money.

        most_cents: money; gap: of chance, that nothing else is better by. Returns: it, or None.
        """
        (master,) = self.masters
        self.model.add(self.cost <= most_cents * CENT + CENT - 1)
        self.model.maximize(master.log)
        found: Spent | None = None
        for _ in range(MOST_ROUNDS):
            master.cut()
            solver, closed = run(
                self.model, self.searches[0].halt, CLOSE_ENOUGH * LOG_UNIT, seats=self._seats
            )
            if solver is None:
                return found
            spent = self._spent(solver, closed)
            if found is None or spent.chances[0] > found.chances[0]:
                found = spent
            bound = math.exp(min(solver.best_objective_bound / LOG_UNIT, 0.0))
            if bound <= found.chances[0] + gap:
                return Spent(found.counts, found.chances, found.cents, found.packs, closed)
            self._rule_out(0, spent.counts[0])
        return found and Spent(found.counts, found.chances, found.cents, found.packs, False)

    def _rule_out(self, at: int, counts: Counts) -> None:
        """Lower the bound at a plan whose chance is less than it promised, or leave it out."""
        search = self.searches[at]
        if not search.cut_off(search.point(counts)[None, :]):
            self.masters[at].forbid(counts)

    def _spent(self, solver: Any, closed: bool) -> Spent:
        counts = tuple(master.taken(solver) for master in self.masters)
        chances = []
        for search, one in zip(self.searches, counts, strict=True):
            stacks = search.tangents.stacks(search.point(one)[None, :])
            chances.append(float(search.law.chance(stacks)[0]))
        packs = tuple((at, solver.value(count)) for at, count in self.packs.items())
        cents = solver.value(self.cost) // CENT
        return Spent(counts, tuple(chances), cents, tuple(p for p in packs if p[1]), closed)
