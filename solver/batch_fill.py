"""A deal by hand, for the integer program to begin with: first come, and who can make room does."""

from __future__ import annotations

from dataclasses import dataclass

from solver.batch_pool import MET, Offer

Picks = tuple[int | None, ...]


def fill(offers: tuple[Offer, ...], stock: tuple[int, ...], before: Picks) -> Picks:
    """Serve whom one can on top of a deal.

    offers: of every assembly; stock: pieces of each lot; before: places in the offers, None for
    those without. Returns: picks that take no more than there is; the same for the same offers.
    """
    filling = _Filling(offers, list(stock), list(before), _dearness(offers, stock))
    for at, pick in enumerate(before):
        if pick is not None:
            filling.take(at, pick)
    many = range(len(offers))
    open_ = [at for at in many if before[at] is None and offers[at].options]
    open_.sort(key=lambda at: (offers[at].kind != MET, len(offers[at].options)))
    left = [at for at in open_ if not filling.serve(at)]
    for at in left:
        filling.make_room(at)
    return tuple(filling.picks)


def _dearness(offers: tuple[Offer, ...], stock: tuple[int, ...]) -> list[float]:
    """How much of each lot would go if all took from their plans evenly, of what there is."""
    wanted = [0.0] * len(stock)
    for offer in offers:
        for one in offer.options:
            for lot, count in one.uses.items():
                wanted[lot] += count / len(offer.options)
    return [some / max(most, 1) for some, most in zip(wanted, stock, strict=True)]


@dataclass(slots=True)
class _Filling:
    """What is left of each lot, and who has what."""

    offers: tuple[Offer, ...]
    left: list[int]
    picks: list[int | None]
    dear: list[float]

    def take(self, at: int, place: int, sign: int = 1) -> None:
        """Take the pieces of a plan, or with -1 put them back."""
        for lot, count in self.offers[at].options[place].uses.items():
            self.left[lot] -= sign * count

    def fitting(self, at: int) -> int | None:
        """The plan with fewest pieces, of those the least dear, that what is left allows."""
        best, found = None, None
        for place, one in enumerate(self.offers[at].options):
            uses = one.uses
            if all(self.left[lot] >= count for lot, count in uses.items()):
                dear = sum(count * self.dear[lot] for lot, count in uses.items())
                rank = (one.pieces, dear, -one.chance)
                if best is None or rank < best:
                    best, found = rank, place
        return found

    def serve(self, at: int) -> bool:
        """Give an assembly what is left for it."""
        place = self.fitting(at)
        if place is not None:
            self.take(at, place)
            self.picks[at] = place
        return place is not None

    def make_room(self, at: int) -> bool:
        """Serve an assembly whose plan lacks one lot, by moving who has it to another plan."""
        if self.serve(at):
            return True
        for place, one in enumerate(self.offers[at].options):
            lacks = [lot for lot, count in one.uses.items() if self.left[lot] < count]
            if len(lacks) != 1:
                continue
            for holder, held in enumerate(self.picks):
                if held is None or lacks[0] not in self.offers[holder].options[held].uses:
                    continue
                if self._moved(at, place, holder, held):
                    return True
        return False

    def _moved(self, at: int, place: int, holder: int, held: int) -> bool:
        """Try one exchange; everything is as before where it does not come off."""
        self.take(holder, held, -1)
        uses = self.offers[at].options[place].uses
        if all(self.left[lot] >= count for lot, count in uses.items()):
            self.take(at, place)
            other = self.fitting(holder)
            if other is not None:
                self.take(holder, other)
                self.picks[at], self.picks[holder] = place, other
                return True
            self.take(at, place, -1)
        self.take(holder, held)
        return False
