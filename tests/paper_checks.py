"""What has to hold of any sheet of paper: nothing leaves it, and no words are written over."""

from __future__ import annotations

from itertools import combinations

from solver.paper import Area, Circle, Line, Paper, Words
from solver.sheet_pdf import words_wide_mm

EDGE_MM = 10.0  # no printer reaches further
SLACK_MM = 0.05
Box = tuple[float, float, float, float]


def box_of(words: Words) -> Box:
    """Left, top, right and bottom of written words, capitals and tails [mm]."""
    wide = words_wide_mm(words.text, words.size_mm, words.bold)
    top, bottom = words.y_mm - 0.73 * words.size_mm, words.y_mm + 0.2 * words.size_mm
    return words.x_mm, top, words.x_mm + wide, bottom


def written(paper: Paper) -> list[Words]:
    """Every line of words. paper. Returns them."""
    return [item for item in paper.items if isinstance(item, Words)]


def check_paper(paper: Paper) -> None:
    """Nothing leaves the paper, no words touch other words, no line goes through any. paper."""
    for item in paper.items:
        left, top, right, bottom = _ends(item)
        assert left >= EDGE_MM and right <= paper.wide_mm - EDGE_MM, item
        assert top >= EDGE_MM and bottom <= paper.tall_mm - EDGE_MM, item
    words = written(paper)
    for one, other in combinations(words, 2):
        assert not _meet(box_of(one), box_of(other), SLACK_MM), (one, other)
    for item in paper.items:
        if isinstance(item, Line):
            for start, end in zip(item.points, item.points[1:], strict=False):
                ends = (*map(min, start, end), *map(max, start, end))
                for one in words:
                    assert not _meet(ends, box_of(one), 0.1 * one.size_mm), (item, one)


def _ends(item: object) -> Box:
    if isinstance(item, Words):
        return box_of(item)
    if isinstance(item, Circle):
        half = item.diameter_mm / 2
        return item.x_mm - half, item.y_mm - half, item.x_mm + half, item.y_mm + half
    assert isinstance(item, Line | Area)
    x, y = zip(*item.points, strict=True)
    return min(x), min(y), max(x), max(y)


def _meet(one: Box, other: Box, slack: float) -> bool:
    return (
        one[0] < other[2] - slack
        and other[0] < one[2] - slack
        and one[1] < other[3] - slack
        and other[1] < one[3] - slack
    )
