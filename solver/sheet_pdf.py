"""Paper as PDF, its text real text; the only room that knows matplotlib, which it loads late.

Source: ISO 32000-1: a PDF's unit is 1/72 in. TrueType fonts are put in whole glyphs (type 42) with
a map back to characters, so that the words can be searched, copied and read aloud.
"""

from __future__ import annotations

import io
from functools import cache
from typing import Any

from solver.paper import Area, Circle, Item, Line, Paper, Words

POINTS_PER_MM = 72.0 / 25.4  # exact
_FACES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}


def words_wide_mm(words: str, size_mm: float, bold: bool) -> float:
    """Measure words. words: one line; size_mm: of the type; bold. Returns its width [mm]."""
    return size_mm * sum(_advance(c, bold) for c in _shown(words, bold))


def pdf_of(papers: tuple[Paper, ...], title: str) -> bytes:
    """Write sheets of paper as one PDF, the same papers always as the same bytes.

    papers: at least one; title: of the document. Returns: the file.
    """
    import matplotlib
    from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages
    from matplotlib.figure import Figure

    # Nothing else here writes PDF; set for good, as a window's charts are drawn in another thread.
    matplotlib.rcParams["pdf.fonttype"] = 42
    file = io.BytesIO()
    told = {"Title": title, "Creator": "Shimwright", "CreationDate": None}
    with PdfPages(file, metadata=told) as pages:
        for paper in papers:
            size = (paper.wide_mm / 25.4, paper.tall_mm / 25.4)
            figure = Figure(figsize=size, dpi=72, facecolor="white")
            for order, item in enumerate(paper.items):
                artist = _artist(item, paper.tall_mm)
                artist.set_zorder(order)
                artist.set_snap(False)  # a template is not rounded to anybody's pixels
                figure.add_artist(artist)
            # not `savefig`, whose page a user's own settings may cut
            canvas: Any = FigureCanvasPdf(figure)
            canvas.print_pdf(pages)
    return file.getvalue()


def _artist(item: Item, tall_mm: float) -> Any:
    """An artist in points from the lower left corner, as PDF counts."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Circle as Round
    from matplotlib.patches import Polygon
    from matplotlib.text import Text
    from matplotlib.transforms import IdentityTransform

    def at(x_mm: float, y_mm: float) -> tuple[float, float]:
        return x_mm * POINTS_PER_MM, (tall_mm - y_mm) * POINTS_PER_MM

    look: dict[str, Any] = {"transform": IdentityTransform()}
    if isinstance(item, Words):
        return Text(
            *at(item.x_mm, item.y_mm),
            _shown(item.text, item.bold),
            fontproperties=_face(item.bold, item.size_mm),
            color="white" if item.white else "black",
            parse_math=False,
            usetex=False,
            **look,
        )
    if isinstance(item, Line):
        x, y = zip(*(at(*point) for point in item.points), strict=True)
        style: Any = (0, (4.0, 3.0)) if item.dashed else "-"
        wide = item.wide_mm * POINTS_PER_MM
        return Line2D(x, y, linewidth=wide, color="black", linestyle=style, **look)
    if isinstance(item, Area):
        return Polygon(
            [at(*point) for point in item.points],
            facecolor=str(item.grey),
            edgecolor="black" if item.edge_mm else "none",
            linewidth=item.edge_mm * POINTS_PER_MM,
            **look,
        )
    assert isinstance(item, Circle)
    return Round(
        at(item.x_mm, item.y_mm),
        item.diameter_mm / 2 * POINTS_PER_MM,
        fill=False,
        edgecolor="black",
        linewidth=item.wide_mm * POINTS_PER_MM,
        **look,
    )


def _face(bold: bool, size_mm: float) -> Any:
    """The type, by its file: what a user has set, or has not, makes no difference."""
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=_path(bold), size=size_mm * POINTS_PER_MM)


def _shown(text: str, bold: bool) -> str:
    """Words with a question mark for what the type has no glyph for."""
    known = _known(bold)
    return "".join(c if ord(c) in known else "?" for c in text)


@cache
def _path(bold: bool) -> str:
    from pathlib import Path

    import matplotlib

    return str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / _FACES[bold])


@cache
def _font(bold: bool) -> Any:
    from matplotlib.ft2font import FT2Font

    return FT2Font(_path(bold))


@cache
def _known(bold: bool) -> frozenset[int]:
    return frozenset(_font(bold).get_charmap())


@cache
def _advance(letter: str, bold: bool) -> float:
    """How far a letter moves on, of the size of the type [1]."""
    from matplotlib.ft2font import LoadFlags

    font = _font(bold)
    font.set_size(100.0, 72)
    return float(font.load_char(ord(letter), flags=LoadFlags.NO_HINTING).linearHoriAdvance) / (
        65536.0 * 100.0
    )
