"""A batch: many assemblies, one drawer, all dealt out at once.

offers of every assembly ─▶ deal ─▶ wider offers where lots are contested ─▶ deal ─▶ … ─▶ results
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from solver.batch_file import Assembly, Batch
from solver.batch_keep import Kept, digest_of
from solver.batch_pool import MET, NONE, Errors, Offer, Wish, gather_offer
from solver.batch_program import Dealt, deal
from solver.batch_shelves import Shelves, put_on_shelves, take_from
from solver.estimate import estimate_job
from solver.master import Halt
from solver.plan import Plan
from solver.trouble import Fault, Trouble
from solver.verdict import predict_plan

UNSERVED = "unserved"
MOST_ROUNDS = 3  # of wider offers
MOST_WIDENED = 36  # assemblies in one of them
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Predicted:
    """What a result is expected to be."""

    result: str
    value_um: float
    u_um: float  # standard uncertainty


@dataclass(frozen=True, slots=True)
class Fitted:
    """What one assembly gets."""

    assembly: Assembly
    status: str  # 'met', 'short', 'none' or 'unserved'
    chance: float  # simulated
    plan: Plan | None
    predicted: tuple[Predicted, ...]
    readings: str  # whether they agree


@dataclass(frozen=True, slots=True)
class BatchAnswer:
    """Every assembly's plan, and how far the whole is from the best that can be."""

    fitted: tuple[Fitted, ...]
    pieces: int
    least_pieces: int | None  # no deal that serves as many takes fewer, by the normal law
    unserved: int
    least_unserved: int  # no deal leaves fewer without
    rounds: int

    @property
    def gap(self) -> float | None:
        """By what share of the bound the pieces may be too many; None where there is no bound."""
        if self.least_pieces is None or self.least_pieces <= 0:
            return 0.0 if self.pieces == self.least_pieces else None
        return (self.pieces - self.least_pieces) / self.least_pieces

    @property
    def good(self) -> bool:
        """Whether every assembly meets its wanted chance and no readings disagree."""
        return all(one.status == MET and one.readings != "disagree" for one in self.fitted)


def answer_batch(
    batch: Batch, kept: Kept, tell: Progress | None = None, halt: Halt | None = None
) -> BatchAnswer:
    """Deal one drawer out to a whole batch.

    batch; kept: what an earlier run left, and where this one keeps its own; tell: called with a
    line of progress now and then; halt: to stop the program from another thread. Returns: the
    answer; the same whether the run was broken or not. Raises: Trouble where readings do not
    settle an assembly.
    """
    say, stop = tell or (lambda words: None), halt or Halt()
    _check_settled(batch)
    shelves = put_on_shelves(batch.drawer, tuple(one.job for one in batch.assemblies))
    desk = _Desk(batch.assemblies, shelves, kept, say)
    try:
        wishes = [Wish(one.id) for one in batch.assemblies]
        offers = desk.offers(wishes, range(len(wishes)), "plans for")
        say("dealing the drawer out")
        dealt = deal(tuple(offers), shelves.stock, None, stop, final=False)
        dear = (0.0,) * len(shelves.stock)
        rounds = 0
        while rounds < MOST_ROUNDS and _improvable(dealt):
            dear = _dearer(dear, tuple(offers), dealt, shelves.stock)
            contested = _contested(offers, dealt, shelves.stock, rounds)
            if not contested:
                break
            rounds += 1
            for at in contested:
                wishes[at] = Wish(wishes[at].seed, rounds if dealt.picks[at] is None else 1, dear)
            wider = desk.offers(wishes, contested, f"round {rounds}: wider plans for")
            for at, offer in zip(contested, wider, strict=True):
                offers[at] = _joined(offers[at], offer)
            say("dealing the drawer out again")
            dealt = deal(tuple(offers), shelves.stock, dealt.picks, stop, final=False)
        dealt = deal(tuple(offers), shelves.stock, dealt.picks, stop)
    finally:
        kept.write()
    return _answer(batch, shelves, offers, dealt, rounds)


def _check_settled(batch: Batch) -> None:
    """Refuse, all at once, assemblies whose readings settle nothing. Raises: Trouble."""
    faults: list[Fault] = []
    for one in batch.assemblies:
        try:
            estimate_job(one.job, batch.drawer)
        except Trouble as trouble:
            for fault in trouble.faults:
                where = f"line {one.line}: {one.id}: readings"
                faults.append(replace(fault, where=where))
    if faults:
        raise Trouble(faults)


@dataclass(slots=True)
class _Desk:
    """Where offers are worked out, or taken from what was kept."""

    assemblies: tuple[Assembly, ...]
    shelves: Shelves
    kept: Kept
    say: Progress

    def offers(self, wishes: list[Wish], which: range | list[int], words: str) -> list[Offer]:
        """The offers of some assemblies, in their order."""
        errors, found = Errors(), []
        for done, at in enumerate(which):
            job, wish = self.assemblies[at].job, wishes[at]
            digest = digest_of(job, self.shelves.drawer, wish)
            offer = self.kept.offer(digest)
            if offer is None:
                offer = gather_offer(job, self.shelves.drawer, wish, errors)
                self.kept.keep(digest, offer)
            found.append(offer)
            self.say(f"{words} {done + 1} of {len(which)} assemblies")
        return found


def _improvable(dealt: Dealt) -> bool:
    least = dealt.least_pieces
    return dealt.unserved > 0 or least is None or dealt.pieces > least


def _uses(offers: tuple[Offer, ...], dealt: Dealt, lots: int) -> list[int]:
    """Pieces that a deal takes of each lot."""
    used = [0] * lots
    for offer, pick in zip(offers, dealt.picks, strict=True):
        if pick is not None:
            for lot, count in offer.options[pick].uses.items():
                used[lot] += count
    return used


def _dearer(
    dear: tuple[float, ...], offers: tuple[Offer, ...], dealt: Dealt, stock: tuple[int, ...]
) -> tuple[float, ...]:
    """What a piece of each lot is worth: dearer the more of it is used, most where none is left."""
    used = _uses(offers, dealt, len(stock))
    return tuple(
        round(before + taken / most + (taken == most), 6) if most else before
        for before, taken, most in zip(dear, used, stock, strict=True)
    )


def _contested(offers: list[Offer], dealt: Dealt, stock: tuple[int, ...], rounds: int) -> list[int]:
    """Assemblies whose offers are worth widening: without a plan, or with more pieces than need be.

    From the second round on, or where those are all, also those that hold what others would need.
    """
    used = _uses(tuple(offers), dealt, len(stock))
    gone = {lot for lot, most in enumerate(stock) if used[lot] == most}
    losers, holders = [], []
    for at, (offer, pick) in enumerate(zip(offers, dealt.picks, strict=True)):
        if offer.unlisted is None or offer.kind != MET:
            continue
        if pick is None or offer.options[pick].pieces > offer.unlisted:
            losers.append(at)
        elif gone & set(offer.options[pick].uses):
            holders.append(at)
    few = losers[:MOST_WIDENED]
    if (rounds or not few) and len(few) < MOST_WIDENED:
        few += holders[: MOST_WIDENED - len(few)]
    return few


def _joined(one: Offer, two: Offer) -> Offer:
    """Two offers of one assembly as one; what is in the first keeps its place."""
    if NONE in (one.kind, two.kind) or one.kind != two.kind:
        return one
    known = {option.seats for option in one.options}
    more = tuple(option for option in two.options if option.seats not in known)
    bounds = (one.unlisted, two.unlisted)
    unlisted = None if None in bounds else max(bound for bound in bounds if bound is not None)
    return Offer(one.kind, (*one.options, *more), unlisted, one.readings)


def _answer(
    batch: Batch, shelves: Shelves, offers: list[Offer], dealt: Dealt, rounds: int
) -> BatchAnswer:
    """Every assembly with its plan out of the drawer's own lots."""
    plans = [
        None if pick is None else offer.options[pick].plan(one.job, shelves.drawer)
        for one, offer, pick in zip(batch.assemblies, offers, dealt.picks, strict=True)
    ]
    own = take_from(shelves, tuple(plans))
    fitted = []
    for one, offer, pick, plan, lots in zip(
        batch.assemblies, offers, dealt.picks, plans, own, strict=True
    ):
        predicted: tuple[Predicted, ...] = ()
        chance, status = 0.0, NONE if offer.kind == NONE else UNSERVED
        if plan is not None and pick is not None:
            chance, status = offer.options[pick].chance, offer.kind
            predicted = _predicted(one, shelves, plan)
        fitted.append(Fitted(one, status, chance, lots, predicted, offer.readings))
    return BatchAnswer(
        tuple(fitted),
        dealt.pieces,
        dealt.least_pieces,
        dealt.unserved,
        dealt.least_unserved,
        rounds,
    )


def _predicted(one: Assembly, shelves: Shelves, plan: Plan) -> tuple[Predicted, ...]:
    """What the results of one assembly are expected to be."""
    estimate = estimate_job(one.job, shelves.drawer)
    mean, cov = predict_plan(one.job, shelves.drawer, estimate, plan)
    return tuple(
        Predicted(result, float(mean[at]), float(cov[at, at]) ** 0.5)
        for at, result in enumerate(estimate.axle.results)
    )
