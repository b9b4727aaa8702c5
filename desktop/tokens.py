"""The colours, sizes and spaces of the window; every other file takes them from here."""

from __future__ import annotations

from dataclasses import dataclass, fields

from solver.report_words import TRADE_WORDS

LARGE_TYPE = 1.35  # of the usual size
DENSE_TYPE = 0.92  # on a screen under DENSE_BELOW_PX, usual type only: large type never shrinks
DENSE_SPACE = 0.72
DENSE_BELOW_PX = 1150

# Type in points: (size, bold).
TYPE = {
    "caption": (9.0, False),
    "body": (10.0, False),
    "label": (10.0, True),
    "title": (11.0, True),
    "dimension": (12.0, True),
    "value": (13.0, True),
    "heading": (14.0, True),
    "display": (19.0, True),
    "shout": (25.0, True),
}
# Space in px at 96 dpi.
SPACE = {
    "gutter": 14,
    "panel_x": 16,
    "panel_y": 14,
    "card_x": 12,
    "card_y": 9,
    "between": 10,
    "field_x": 8,
    "field_y": 4,
    "button_x": 12,
    "button_y": 6,
    "badge": 22,
}
RADIUS = {"card": 9, "button": 6, "field": 4}
RING = 2  # px, of the focus ring
FAMILIES = ("Inter", "Noto Sans", "Cantarell", "Ubuntu", "Open Sans", "DejaVu Sans")
SURE_FAMILY = "DejaVu Sans"  # the only one that X11 machines and matplotlib always have


@dataclass(frozen=True, slots=True)
class Palette:
    """Every colour of one mode, as '#RRGGBB'."""

    bg: str
    card: str
    sunk: str
    ink: str
    soft: str
    line: str
    hair: str
    field_edge: str
    accent: str
    tint: str
    on_accent: str
    wheel_side: str
    plain_side: str
    pinion_head: str
    pinion_spacer: str
    good: str
    good_tint: str
    warn: str
    warn_tint: str
    bad: str
    bad_tint: str
    housing: str
    carrier: str
    bearing: str
    edge: str
    gear: str
    tooth: str
    hatch: str
    quiet: str


LIGHT = Palette(
    bg="#F3F1EC",
    card="#FFFFFF",
    sunk="#FAF9F6",
    ink="#1B2733",
    soft="#52606D",
    line="#DAD6CC",
    hair="#E9E6DE",
    field_edge="#8A949E",
    accent="#0B5670",
    tint="#E4EFF3",
    on_accent="#FFFFFF",
    wheel_side="#0067A5",
    plain_side="#B84A00",
    pinion_head="#8420D8",
    pinion_spacer="#3A2200",
    good="#00695A",
    good_tint="#DDF1EC",
    warn="#7A5300",
    warn_tint="#FBF0D5",
    bad="#A3242B",
    bad_tint="#FBE3E3",
    housing="#D3D8DE",
    carrier="#B7C4D1",
    bearing="#E6EBF0",
    edge="#56667A",
    gear="#8DA2B6",
    tooth="#6C8399",
    hatch="#BCC4CD",
    quiet="#8795A3",
)
DARK = Palette(
    bg="#12171D",
    card="#1B222B",
    sunk="#171D25",
    ink="#E9EEF3",
    soft="#A7B3BF",
    line="#313B47",
    hair="#28313B",
    field_edge="#6C7987",
    accent="#4FB3D2",
    tint="#1B3441",
    on_accent="#06222C",
    wheel_side="#6DB8F2",
    plain_side="#F4A261",
    pinion_head="#A578FF",
    pinion_spacer="#E1FF4B",
    good="#5FD0B3",
    good_tint="#173832",
    warn="#E9C46A",
    warn_tint="#3B3218",
    bad="#FF8A8A",
    bad_tint="#452326",
    housing="#3B4651",
    carrier="#566676",
    bearing="#46535F",
    edge="#8C9BAA",
    gear="#6F8395",
    tooth="#93A8BB",
    hatch="#4B5763",
    quiet="#708090",
)
PALETTES = {"light": LIGHT, "dark": DARK}

SEAT_TOKENS = ("wheel_side", "plain_side", "pinion_head", "pinion_spacer")

# Every pair of (text, ground) that the window uses; a test holds each to TEXT_CONTRAST.
TEXT_CONTRAST = 4.5  # WCAG 2.2, 1.4.3, level AA
SHAPE_CONTRAST = 3.0  # WCAG 2.2, 1.4.11
TEXT_PAIRS = (
    *((ink, ground) for ink in ("ink", "soft") for ground in ("bg", "card", "sunk")),
    *((ink, "card") for ink in ("accent", *SEAT_TOKENS, "good", "warn", "bad")),
    *((state, f"{state}_tint") for state in ("good", "warn", "bad")),
    *(("ink", f"{state}_tint") for state in ("good", "warn", "bad")),
    ("ink", "tint"),
    ("accent", "tint"),
    ("accent", "sunk"),
    ("on_accent", "accent"),
    *(("on_accent", seat) for seat in SEAT_TOKENS),
    ("card", "ink"),  # a badge: its number in the card's colour on ink
)
SHAPE_PAIRS = (
    ("field_edge", "card"),
    ("accent", "card"),
    *((seat, "housing") for seat in SEAT_TOKENS),
    ("bad", "bad_tint"),
    ("ink", "good_tint"),
    ("edge", "card"),
    ("quiet", "card"),
)


def luminance(colour: str) -> float:
    """Give the relative luminance of a colour. colour: '#RRGGBB'. Returns 0 to 1.

    Source: WCAG 2.2, 'relative luminance'.
    """
    parts = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours. one, other: '#RRGGBB'. Returns 1 to 21.

    Source: WCAG 2.2, 'contrast ratio'.
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def mixed(one: str, other: str, part: float) -> str:
    """Mix two colours. one, other: '#RRGGBB'; part: of the other, 0 to 1. Returns '#RRGGBB'."""
    pairs = ((int(one[k : k + 2], 16), int(other[k : k + 2], 16)) for k in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * part):02X}" for a, b in pairs)


def palette(mode: str) -> Palette:
    """Give the colours of a mode. mode: 'light' or 'dark'. Returns them. Raises: KeyError."""
    return PALETTES[mode]


def colour_names() -> tuple[str, ...]:
    """Name every colour token. Returns them in order."""
    return tuple(field.name for field in fields(Palette))


def trade_name(name: str, words: str) -> str:
    """Say a name of the files as the trade says it.

    name: of a reading, a seat or a result; words: 'UK' or 'US'. Returns text with a capital first.
    """
    trade = TRADE_WORDS[words]
    said = {
        "end float": trade.end_float,
        "pinch": trade.pinch,
        "crown wheel": trade.crown_wheel,
        "pinion end float": f"pinion {trade.end_float}",
        "crush spacer": trade.crush_spacer,
    }
    text = said.get(name, name)
    return text[:1].upper() + text[1:]
