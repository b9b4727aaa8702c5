"""One integer program for a whole batch: at most one plan an assembly, no lot used twice over.

    most assemblies served   those whose plans reach the wanted chance before those that fall short
    then fewest pieces       in all
    then the best chances    their sum: how many assemblies are expected to be right

The bound is the same program in which an assembly may also have a plan that nobody listed: of the
fewest pieces that such a plan can have, out of nothing but the drawer's number of pieces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from solver.batch_fill import fill
from solver.batch_pool import MET, NONE, Offer
from solver.master import Halt, blank_model, run

CHANCE_UNIT = 10_000
MANY_SEATS = 3  # so that a fuller linear relaxation is used: it tells what stock leaves
EFFORT_S, QUICK_EFFORT_S = 2.0, 1.0  # deterministic, of each question; before the last deal
Picks = tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Dealt:
    """Which plan each assembly gets, and how far from the best that can be."""

    picks: Picks  # of each assembly, a place in its offer; None: none
    pieces: int
    unserved: int  # that have plans, but got none
    least_unserved: int  # no deal leaves fewer without
    least_pieces: int | None  # no deal that serves as many takes fewer; None: not known


def deal(
    offers: tuple[Offer, ...],
    stock: tuple[int, ...],
    before: Picks | None,
    halt: Halt,
    *,
    final: bool = True,
) -> Dealt:
    """Deal the drawer out.

    offers: of every assembly; stock: pieces of each lot; before: picks to begin with, places in
    these offers, or None; halt: to stop from another thread; final: whether chances count, too.
    Returns: Dealt, the same for the same offers.
    Limits: one worker, effort in deterministic seconds; what is missed shows in the bounds.
    """
    start = fill(offers, stock, before or (None,) * len(offers))
    able = sum(offer.kind != NONE for offer in offers)
    best, effort_s = start, EFFORT_S if final else QUICK_EFFORT_S
    lost = _lost(offers, start)
    program = _Program(offers, stock)
    if lost:
        best = program.best(program.lost, best, effort_s, halt)
        lost = _lost(offers, best)
    program.model.add(program.lost <= lost)
    cheapest = sum(_fewest(offer) for offer in offers if offer.kind != NONE)
    if lost or _pieces(offers, best) > cheapest:
        best = program.best(program.pieces, best, effort_s, halt)
    pieces = _pieces(offers, best)
    least_lost, least = _bounds(offers, stock, best, halt, final=final)
    if final:
        program.model.add(program.pieces <= pieces)
        best = program.best(-program.chance, best, effort_s, halt)
    served = sum(pick is not None for pick in best)
    return Dealt(best, _pieces(offers, best), able - served, min(least_lost, able - served), least)


def _bounds(
    offers: tuple[Offer, ...], stock: tuple[int, ...], best: Picks, halt: Halt, *, final: bool
) -> tuple[int, int | None]:
    """The fewest that can be left without, and pieces that so many at least must take.

    final: else only what needs no program of its own.
    """
    pieces, lost = _pieces(offers, best), _lost(offers, best)
    sure = sum(_sure(offer) for offer in offers if offer.kind != NONE)
    if not lost and pieces <= sure:
        return 0, pieces
    if not final:
        return 0, None if lost else sure
    program = _Program(offers, stock, free=True)
    floor = program.bound(program.lost, EFFORT_S, halt) if lost else 0
    program.model.add(program.lost <= lost)
    least = program.bound(program.pieces, EFFORT_S, halt)
    return math.ceil(floor / program.weight), max(least, 0 if lost else sure)


def _sure(offer: Offer) -> int:
    """Pieces that an assembly needs at least, listed or not."""
    known = [one.pieces for one in offer.options]
    return min(known if offer.unlisted is None else [*known, offer.unlisted])


def _fewest(offer: Offer) -> int:
    return min(one.pieces for one in offer.options)


def _pieces(offers: tuple[Offer, ...], picks: Picks) -> int:
    return sum(
        offer.options[pick].pieces
        for offer, pick in zip(offers, picks, strict=True)
        if pick is not None
    )


def _lost(offers: tuple[Offer, ...], picks: Picks) -> int:
    """How bad it is who is left without: those that could be met count before all that cannot."""
    weight = _weight(offers)
    return sum(
        weight if offer.kind == MET else 1
        for offer, pick in zip(offers, picks, strict=True)
        if pick is None and offer.kind != NONE
    )


def _weight(offers: tuple[Offer, ...]) -> int:
    return 1 + sum(offer.kind not in (MET, NONE) for offer in offers)


@dataclass(slots=True)
class _Program:
    """The model, grown by what one question after the other has settled."""

    offers: tuple[Offer, ...]
    stock: tuple[int, ...]
    free: bool = False  # whether plans that nobody listed may be had
    model: Any = field(default_factory=blank_model)
    takes: list[list[Any]] = field(default_factory=list)
    lost: Any = 0
    pieces: Any = 0
    chance: Any = 0
    weight: int = 1

    def __post_init__(self) -> None:
        """Choose at most one plan an assembly; what all take of a lot is no more than there is."""
        uses: list[list[tuple[Any, int]]] = [[] for _ in self.stock]
        pieces, chance, lost = [], [], []
        self.weight = _weight(self.offers)
        for at, offer in enumerate(self.offers):
            takes = [self.model.new_bool_var(f"{at}:{k}") for k in range(len(offer.options))]
            self.takes.append(takes)
            if offer.kind == NONE:
                continue
            for take, one in zip(takes, offer.options, strict=True):
                pieces.append((take, one.pieces))
                chance.append((take, round(one.chance * CHANCE_UNIT)))
                for lot, count in one.uses.items():
                    uses[lot].append((take, count))
            without = self.model.new_bool_var(f"{at} without")
            lost.append((without, self.weight if offer.kind == MET else 1))
            choices = [*takes, without]
            if self.free and offer.unlisted is not None:
                unlisted = self.model.new_bool_var(f"{at} unlisted")
                pieces.append((unlisted, offer.unlisted))
                choices.append(unlisted)
            self.model.add_exactly_one(choices)
        for lot, terms in enumerate(uses):
            if sum(count for _, count in terms) > self.stock[lot]:
                self.model.add(_sum(terms) <= self.stock[lot])
        self.pieces, self.chance, self.lost = _sum(pieces), _sum(chance), _sum(lost)
        self.model.add(self.pieces <= sum(self.stock))

    def best(self, objective: Any, before: Picks, effort_s: float, halt: Halt) -> Picks:
        """The best deal by an objective; the one before where no better one is found."""
        self.model.clear_hints()
        for takes, pick in zip(self.takes, before, strict=True):
            for place, take in enumerate(takes):
                self.model.add_hint(take, int(place == pick))
        self.model.minimize(objective)
        solver, _ = run(self.model, halt, None, seats=MANY_SEATS, effort_s=effort_s)
        if solver is None:
            return before
        return tuple(
            next((place for place, take in enumerate(takes) if solver.value(take)), None)
            for takes in self.takes
        )

    def bound(self, objective: Any, effort_s: float, halt: Halt) -> int:
        """What an objective cannot go below."""
        self.model.minimize(objective)
        solver, _ = run(self.model, halt, None, seats=MANY_SEATS, effort_s=effort_s)
        return 0 if solver is None else math.ceil(solver.best_objective_bound - 1e-6)


def _sum(terms: list[tuple[Any, int]]) -> Any:
    return sum(weight * take for take, weight in terms)
