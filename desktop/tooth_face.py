"""Where a flank of a tooth stands on a canvas, and which of its nine zones a spot is in."""

from __future__ import annotations

from dataclasses import dataclass

from solver.pattern_rules import ACROSS, ALONG, FLANKS


@dataclass(frozen=True, slots=True)
class Face:
    """Where one flank is on the canvas."""

    name: str
    middle: tuple[float, float]  # [px]
    half: tuple[float, float]  # length, and depth at the heel [px]
    taper: float

    @property
    def heading(self) -> float:
        """+1 where the heel is at the right."""
        return 1.0 if self.name == FLANKS[0] else -1.0

    def at(self, along: float, across: float) -> tuple[float, float]:
        """Place a spot of the flank. along, across: -1 to 1. Returns x, y [px]."""
        x, y = self.middle
        return x + self.heading * along * self.half[0], y - across * self._deep(along)

    def zone(self, x: float, y: float) -> tuple[str, str] | None:
        """Find the zone under a spot. x, y [px]. Returns (along, across); None off the flank."""
        along = self.heading * (x - self.middle[0]) / self.half[0]
        if abs(along) > 1.0:
            return None
        across = (self.middle[1] - y) / self._deep(along)
        if abs(across) > 1.0:
            return None
        return tuple(  # type: ignore[return-value]  # of two
            words[min(int((place + 1.0) * 1.5), 2)]
            for words, place in ((ALONG, along), (ACROSS, across))
        )

    def box(self, along: str, across: str) -> list[tuple[float, float]]:
        """The corners of a zone [px]. along, across: its words."""
        left, low = (2.0 * words.index(word) / 3.0 - 1.0
                     for words, word in ((ALONG, along), (ACROSS, across)))  # fmt: skip
        right, high = left + 2.0 / 3.0, low + 2.0 / 3.0
        return [self.at(*spot) for spot in ((left, low), (left, high), (right, high), (right, low))]

    def _deep(self, along: float) -> float:
        return self.half[1] * (self.taper + (1.0 - self.taper) * (along + 1.0) / 2.0)
