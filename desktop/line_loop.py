"""Where the arrows of a line stand: chained end to start, the gap closing them, as long as drawn.

housing  o==============================>
shaft               <===================o
bearing      <======o
shims    <==o            what is too short to be seen is drawn longer, and the longest arrow takes
gap     <>               that up, so that the gap closes all the same; neither is to scale then
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

STEPS = 60  # of halving the range of scales
FULL, LEAST = 0.85, 1.0  # of the room that shortest arrows may take; shortest ever [px]
OFF_SCALE = 0.03  # of a length: more than that is seen


@dataclass(frozen=True, slots=True)
class Arrow:
    """One arrow, from where it starts to its tip [px]."""

    start: float
    end: float
    broken: bool = False  # not to scale

    @property
    def way(self) -> int:
        """1 to the right, -1 to the left, 0 for what has no length."""
        return (self.end > self.start) - (self.end < self.start)


def chain(
    lengths_um: Sequence[float | None],
    gap_um: float | None,
    ways: Sequence[int],
    *,
    wide_px: float,
    least_px: float,
) -> tuple[tuple[Arrow, ...], Arrow]:
    """Lay arrows end to start, and the closing gap.

    lengths_um: signed [µm], None where one is not known, 0 where there is nothing; gap_um: what
    they add up to, None where it is not known; ways: 1 right, -1 left, where a length is not known;
    wide_px: room; least_px: shortest arrow that can be seen. Returns: the arrows, the leftmost
    point at 0, and the gap, from where the first starts to where the last ends.
    """
    while least_px > LEAST and _extent(_drawn(lengths_um, gap_um, ways, 0.0, least_px)[0]) > (
        FULL * wide_px
    ):
        least_px *= 0.9  # so many arrows that their least would not fit
    known = [abs(one) for one in (*lengths_um, gap_um) if one]
    longest = max(known, default=0.0)
    low, high = 0.0, wide_px / longest if longest else 0.0
    for _ in range(STEPS if longest else 0):
        scale = (low + high) / 2.0
        if _extent(_drawn(lengths_um, gap_um, ways, scale, least_px)[0]) <= wide_px:
            low = scale
        else:
            high = scale
    drawn, gap_px = _drawn(lengths_um, gap_um, ways, low, least_px)
    squeeze = min(wide_px / max(_extent(drawn), wide_px), 1.0)  # a gap that is no sum of them
    drawn, gap_px = [px * squeeze for px in drawn], gap_px * squeeze
    arrows, at = [], 0.0
    for px, length in zip(drawn, lengths_um, strict=True):
        arrows.append(Arrow(at, at + px, _off(px, length, low)))
        at += px
    left = min([0.0, *(one.end for one in arrows)])
    moved = tuple(Arrow(one.start - left, one.end - left, one.broken) for one in arrows)
    return moved, Arrow(-left, -left + sum(drawn), _off(gap_px, gap_um, low))


def _off(px: float, length_um: float | None, scale: float) -> bool:
    if length_um is None:
        return True
    return abs(px - length_um * scale) > max(OFF_SCALE * abs(length_um) * scale, 1.0)


def _extent(drawn: list[float]) -> float:
    ends, at = [0.0], 0.0
    for px in drawn:
        at += px
        ends.append(at)
    return max(ends) - min(ends)


def _drawn(
    lengths_um: Sequence[float | None],
    gap_um: float | None,
    ways: Sequence[int],
    scale: float,
    least_px: float,
) -> tuple[list[float], float]:
    """Signed lengths as drawn [px], and the gap, at a scale [px/µm]."""
    drawn = []
    for length, way in zip(lengths_um, ways, strict=True):
        if length is None:
            drawn.append(way * least_px)
        else:
            long = max(abs(length) * scale, least_px) if length else 0.0
            drawn.append(math.copysign(long, length))
    closing = sum(drawn)
    gap_px = math.copysign(max(abs(gap_um) * scale, least_px), gap_um) if gap_um else least_px
    if gap_um is not None and gap_um == 0.0:
        gap_px = 0.0
    over = closing - gap_px
    order = sorted(range(len(drawn)), key=lambda at: -abs(lengths_um[at] or 0.0))
    for at in order:  # the longest that can takes up what the short ones were drawn too long
        taken = drawn[at] - over
        if drawn[at] and taken * drawn[at] > 0.0 and abs(taken) >= least_px:
            drawn[at] = taken
            return drawn, gap_px
    return drawn, closing
