"""The integer program over one shared drawer, all seats at once; it has the last word.

Whole numbers only: thicknesses in ticks of 10 nm, variances in 1e-3 µm², log-chances in 1e-9.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from solver.columns import Columns
from solver.tangents import SLACK, Tangents

LOG_UNIT = 1e9
VARIANCE_UNIT = 1000.0  # per µm²
CLOSE_ENOUGH = 2e-4  # log-chance: how near the highest bound a plan has to be
EFFORT = 10.0  # deterministic seconds for one question; machine-independent
EFFORT_MANY = 0.6  # the same with more than two seats, where there are many more questions
TWO_SEATS = 2

Counts = tuple[dict[int, int], ...]


@dataclass(slots=True)
class Halt:
    """A way to stop a choice from another thread."""

    stopped: bool = False
    running: cp_model.CpSolver | None = None

    def stop(self) -> None:
        """Stop at the next chance; also before the solver has begun."""
        self.stopped = True
        if self.running is not None:
            self.running.stop_search()


@dataclass(frozen=True, slots=True)
class Found:
    """What the integer program says: a plan, or none, and whether that is final."""

    counts: Counts | None
    bound: float  # no plan has a higher log-chance, by the tangents so far
    closed: bool  # False: out of effort or stopped


@dataclass(slots=True)
class Master:
    """One model, grown by tangents as they are found.

    windows: least and most thickness of each seat [ticks]; pieces: least and most in all; usable:
    columns for each seat, all where arithmetic has not ruled any out.
    """

    columns: Columns
    tangents: Tangents
    windows: tuple[tuple[int, int], ...]
    pieces: tuple[int, int]
    floor: float  # log-chance that every plan must be able to reach
    halt: Halt
    usable: tuple[set[int], ...] | None = None  # columns that arithmetic left for each seat
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    counts: list[dict[int, cp_model.IntVar]] = field(default_factory=list)
    parts: list[cp_model.LinearExprT] = field(default_factory=list)  # the coordinates of z
    cuts: int = 0
    log: cp_model.IntVar = field(init=False)
    total: cp_model.IntVar = field(init=False)

    def __post_init__(self) -> None:
        for seat, window in enumerate(self.windows):
            self.counts.append(self._count_seat(seat, window))
        self._share_stock()
        self._bound_pieces()
        self._measure()
        floor = math.floor(max(self.floor, -27.0) * LOG_UNIT)
        self.log = self.model.new_int_var(min(floor, 0), round(SLACK * LOG_UNIT), "log chance")

    def _count_seat(self, seat: int, window: tuple[int, int]) -> dict[int, cp_model.IntVar]:
        """n(seat, column): how many pieces of each column go into the seat."""
        most = self.columns.seats[seat].most
        counts = {}
        for at, column in enumerate(self.columns.items):
            if self.usable is not None and at not in self.usable[seat]:
                continue
            reach = min(column.stock, most, window[1] // column.ticks)
            if column.seats[seat] and reach > 0:
                counts[at] = self.model.new_int_var(0, int(reach), f"{seat}:{at}")
        return counts

    def _share_stock(self) -> None:
        """What all seats take of a column is no more than there is."""
        for at, column in enumerate(self.columns.items):
            uses = [seat[at] for seat in self.counts if at in seat]
            if len(uses) > 1 and column.stock < sum(s.most for s in self.columns.seats):
                self.model.add(sum(uses) <= column.stock)

    def _bound_pieces(self) -> None:
        """Each seat has its own least and most; the plan has the wanted number in all."""
        everything = [var for seat in self.counts for var in seat.values()]
        for seat, counts in zip(self.columns.seats, self.counts, strict=True):
            self.model.add_linear_constraint(sum(counts.values()), seat.least, seat.most)
        self.total = self.model.new_int_var(*self.pieces, "pieces")
        self.model.add(self.total == sum(everything))

    def _measure(self) -> None:
        """The coordinates of z as sums over the counts: thickness, variance, lean."""
        items = self.columns.items
        for seat, window in enumerate(self.windows):
            thick = self.model.new_int_var(*window, f"thickness {seat}")
            variables, at = list(self.counts[seat].values()), list(self.counts[seat])
            self.model.add(
                thick == cp_model.LinearExpr.weighted_sum(variables, [items[a].ticks for a in at])
            )
            self.parts.append(thick)
        tables = [self._table(seat) for seat in range(len(self.windows))]
        self.parts += [own for own, _ in tables]
        seats = range(len(self.windows))
        self.parts += [self._both(pair) for pair in itertools.combinations(seats, 2)]
        for _, lean in tables:
            self.parts += lean

    def _table(self, seat: int) -> tuple[cp_model.LinearExprT, list[cp_model.LinearExprT]]:
        """Own variance and leans of a seat; columns whose pieces are not alike by one step each."""
        busy, items = self.columns.busy, self.columns.items
        own: list[tuple[cp_model.IntVar, int]] = []
        lean: list[list[tuple[cp_model.IntVar, int]]] = [[] for _ in busy]
        for at, var in self.counts[seat].items():
            column = items[at]
            most = var.proto.domain[-1]
            steps = self._steps(var, most) if column.alone and most > 1 else [(var, 1)]
            for step, count in steps:
                more = column.own_um2[seat, count] - column.own_um2[seat, count - 1]
                if more:
                    own.append((step, max(round(more * VARIANCE_UNIT), 1)))
                leans = (column.lean[seat, count] - column.lean[seat, count - 1])[busy]
                for place in np.flatnonzero(leans):
                    lean[place].append((step, round(leans[place])))
        return _weighted(own), [_weighted(terms) for terms in lean]

    def _steps(self, var: cp_model.IntVar, most: int) -> list[tuple[cp_model.IntVar, int]]:
        """Split a count into its first, second, … piece."""
        steps = [self.model.new_bool_var(f"{var.name} #{k}") for k in range(1, most + 1)]
        self.model.add(sum(steps) == var)
        for one, two in itertools.pairwise(steps):
            self.model.add_implication(two, one)
        return [(step, k) for k, step in enumerate(steps, 1)]

    def _both(self, pair: tuple[int, int]) -> cp_model.LinearExprT:
        """Covariance of two seats by an unmeasured lot in both: product of its two counts."""
        terms: list[tuple[cp_model.IntVar, int]] = []
        for at, column in enumerate(self.columns.items):
            uses = [self.counts[seat][at] for seat in pair if at in self.counts[seat]]
            if column.shared_um2 > 0 and len(uses) == 2 and column.stock > 1:
                product = self.model.new_int_var(0, column.stock**2 // 4, f"both {pair} {at}")
                self.model.add_multiplication_equality(product, uses)
                terms.append((product, max(round(column.shared_um2 * VARIANCE_UNIT), 1)))
        return _weighted(terms)

    def cut(self) -> None:
        """Put in the tangents found since the last time.

        log chance <= level + slope·(z - point), rounded so that no plan is cut off.
        """
        tangents, units = self.tangents, np.ones(len(self.parts))
        first, after = tangents.parts
        units[first:after] = VARIANCE_UNIT
        for at in range(self.cuts, len(tangents.levels)):
            point, slope = tangents.points[at] * units, tangents.slopes[at] / units * LOG_UNIT
            whole = np.round(slope)
            level = (tangents.levels[at] + SLACK) * LOG_UNIT - float(whole @ point)
            pairs = zip(self.parts, whole, strict=True)
            terms = sum(int(weight) * part for part, weight in pairs if weight)
            self.model.add(self.log <= terms + math.ceil(level))
        self.cuts = len(tangents.levels)

    def forbid(self, counts: Counts) -> None:
        """Leave out one plan whose true chance is known. counts: column -> pieces, each seat."""
        variables = [var for seat in self.counts for var in seat.values()]
        row = [of.get(at, 0) for seat, of in zip(self.counts, counts, strict=True) for at in seat]
        if variables:
            self.model.add_forbidden_assignments(variables, [row])
        else:
            self.model.add_bool_or([])  # the empty plan was the only one

    def ask(self, *, fewest: bool, hint: Counts | None = None, floor: float | None = None) -> Found:
        """Ask for the fewest pieces, or for the highest log-chance.

        fewest: which of the two; hint: counts to begin with; floor: a higher log-chance that the
        tangents must allow. Returns: Found. Limits: one worker, so that the answer is repeatable.
        """
        self.cut()
        model = self.model.clone() if floor is not None else self.model
        log = model.get_int_var_from_proto_index(self.log.index)
        if floor is not None:
            model.add(log >= math.ceil(floor * LOG_UNIT))
        if fewest:
            model.minimize(model.get_int_var_from_proto_index(self.total.index))
        else:
            model.maximize(log)
        for seat, counts in zip(self.counts, hint or (), strict=False):
            for at, var in seat.items():
                model.add_hint(model.get_int_var_from_proto_index(var.index), counts.get(at, 0))
        return self._solve(model, fewest=fewest)

    def _solve(self, model: cp_model.CpModel, *, fewest: bool) -> Found:
        gap = None if fewest else CLOSE_ENOUGH * LOG_UNIT
        solver, closed = run(model, self.halt, gap, seats=len(self.windows))
        if solver is None:
            return Found(None, -math.inf if closed else 0.0, closed)
        bound = 0.0 if fewest else solver.best_objective_bound / LOG_UNIT
        return Found(self.taken(solver), bound, closed)

    def taken(self, solver: cp_model.CpSolver) -> Counts:
        """The counts that a solver found. solver: after it solved. Returns: for each seat."""
        return tuple(
            {at: solver.value(var) for at, var in seat.items() if solver.value(var)}
            for seat in self.counts
        )


def blank_model() -> cp_model.CpModel:
    """A model with nothing in it yet, for a program of another room. Returns it."""
    return cp_model.CpModel()


def run(
    model: cp_model.CpModel,
    halt: Halt,
    gap: float | None,
    *,
    seats: int = TWO_SEATS,
    effort_s: float | None = None,
) -> tuple[cp_model.CpSolver | None, bool]:
    """Solve a model, the same way on every machine.

    model; halt: to stop from another thread; gap: how near the best is near enough, None for the
    best [as the objective]; seats: of the plan; effort_s: deterministic seconds in place of the
    usual. Returns: the solver with its plan, None where there is none; and whether that is final.
    """
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    # long presolve and probing cost more than they save here: two to five times as fast without
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.cp_model_probing_level = 0
    if gap is not None:
        solver.parameters.absolute_gap_limit = gap
    solver.parameters.max_deterministic_time = EFFORT
    if seats > TWO_SEATS:  # a fuller linear relaxation halves the time there
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = EFFORT_MANY
    if effort_s is not None:
        solver.parameters.max_deterministic_time = effort_s
    solver.parameters.catch_sigint_signal = False
    if halt.stopped:
        return None, False
    halt.running = solver
    status = solver.solve(model)
    halt.running = None
    if status == cp_model.MODEL_INVALID:
        raise AssertionError(model.validate())
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return solver, status == cp_model.OPTIMAL
    return None, status == cp_model.INFEASIBLE


def _weighted(terms: list[tuple[cp_model.IntVar, int]]) -> cp_model.LinearExprT:
    if not terms:
        return 0
    return cp_model.LinearExpr.weighted_sum([t[0] for t in terms], [t[1] for t in terms])
