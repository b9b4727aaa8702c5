"""Torques, forces and masses as people write them, to N·m, N and kg and back; exact factors.

A torque is a force word and a length word in either order, joined by a dot, a dash, a blank or
nothing: 'lbf.in', 'in-lb', 'Nm', 'kgf cm'. In a torque and on a spring balance a pound or a
kilogram is a force; on a string it is a mass.
"""

from __future__ import annotations

import re
from fractions import Fraction

from solver.trouble import shown
from solver.units import UM_PER, NotAQuantity, bare_number, length_um, number_and_word, said

GRAVITY = 9.80665  # [m/s²] standard; NIST SP 811, B.8. It is within 0.3 % of that anywhere on earth
LB_KG = 0.45359237  # exact; NIST SP 811, B.8
NEWTON_M_PER = {  # exact: pound, inch and standard gravity multiplied out
    "N.m": 1.0,
    "lbf.in": 0.1129848290276167,
    "lbf.ft": 1.3558179483314004,
    "kgf.cm": 0.0980665,
    "kgf.m": 9.80665,
    "ozf.in": 0.00706155181422604375,
}
TORQUE_UNITS = tuple(NEWTON_M_PER)
TORQUE_DECIMALS = {"N.m": 2, "lbf.in": 1, "lbf.ft": 2, "kgf.cm": 1, "kgf.m": 3, "ozf.in": 0}
MOST_NEWTON_M, MOST_NEWTON, MOST_KG = 1e5, 1e6, 1e5  # past these a number is a slip

_POUND = Fraction("0.45359237") * Fraction("9.80665")  # a product of decimals, rounded once
_NEWTON_PER = {
    "N": (Fraction(1), ("n", "newton", "newtons")),
    "cN": (Fraction(1, 100), ("cn",)),
    "lbf": (_POUND, ("lbf", "lbsf", "lb", "lbs", "pound", "pounds")),
    "ozf": (_POUND / 16, ("ozf", "oz", "ounce", "ounces")),
    "kgf": (Fraction("9.80665"), ("kgf", "kg", "kp", "kilogram", "kilograms")),
    "gf": (Fraction("0.00980665"), ("gf", "g", "gram", "grams")),
}
_FORCES = {word: float(newton) for newton, words in _NEWTON_PER.values() for word in words}
_KG_PER = {
    "kg": 1.0, "kilogram": 1.0, "kilograms": 1.0, "g": 0.001, "gram": 0.001, "grams": 0.001,
    "lb": LB_KG, "lbs": LB_KG, "pound": LB_KG, "pounds": LB_KG,
    "oz": LB_KG / 16.0, "ounce": LB_KG / 16.0, "ounces": LB_KG / 16.0,
}  # fmt: skip
_ARMS = {  # which lengths go with a force in a unit of torque [m]
    "metric": {"m": "1", "metre": "1", "metres": "1", "meter": "1", "meters": "1",
               "cm": "0.01", "mm": "0.001"},
    "inch": {"in": "0.0254", "inch": "0.0254", "inches": "0.0254",
             "ft": "0.3048", "foot": "0.3048", "feet": "0.3048"},
}  # fmt: skip
_JOINTS = re.compile(r"[ .·⋅•∙*×x-]+")  # what stands between force and length


def _torque_words() -> dict[str, float]:
    """Every spelling of a unit of torque, in small letters, dots between [N·m]."""
    found: dict[str, float] = {}
    for unit, (newton, words) in _NEWTON_PER.items():
        arms = _ARMS["inch" if unit in ("lbf", "ozf") else "metric"]
        for word in words:
            for arm, metre in arms.items():
                value = float(newton * Fraction(metre))
                found |= {f"{word}.{arm}": value, f"{arm}.{word}": value, f"{word}{arm}": value}
                if unit not in ("N", "cN"):  # 'mN' is a thousandth of a newton
                    found[f"{arm}{word}"] = value
    return found


_TORQUES = _torque_words()


def _torque_factor(word: str) -> float | None:
    """How many N·m a word means; None for a word that is no unit of torque."""
    if word == "nm":  # elsewhere in a job that is a nanometre
        return None
    return _TORQUES.get(_JOINTS.sub(".", word.strip(" .").lower()).strip("."))


def torque_unit_named(text: object) -> str | None:
    """Find which unit of torque a word means. text: a word. Returns: of NEWTON_M_PER, or None."""
    factor = _torque_factor(text.strip()) if isinstance(text, str) else None
    return next((unit for unit, value in NEWTON_M_PER.items() if value == factor), None)


def torque_newton_m(value: object, unit: str | None, *, decimal_comma: bool = False) -> float:
    """Read a torque.

    value: a number in `unit`, or text such as '20 lbf.in', '2.3 N·m', '20 in-lb'; unit: one of
    NEWTON_M_PER, or None where none is known; decimal_comma: as for `length_um`.
    Returns: the torque [N·m]. Raises: NotAQuantity. Source: NIST SP 811, appendix B.
    """
    wanted = "a torque"
    way_out = f"write a number in {unit} or text such as '2.3 N.m'" if unit else _WITH_UNIT
    number, word = _parted(value, wanted, way_out, decimal_comma)
    if not word:
        if unit is None:
            raise NotAQuantity(f"{said(value)} without a unit", wanted, _WITH_UNIT)
        factor: float | None = NEWTON_M_PER[unit]
    else:
        factor = _torque_factor(word)
    if factor is None:
        raise _no_torque(value, word)
    if not abs(number * factor) <= MOST_NEWTON_M:
        way_out = "check the number and the unit"
        raise NotAQuantity(said(value), "a torque under 100 000 N·m", way_out)
    return number * factor


_WITH_UNIT = "write the unit too, such as '20 lbf.in' or '2.3 N.m'"


def force_newton(value: object) -> float:
    """Read a force: text such as '8 lbf', '35 N', '3.6 kgf'; '8 lb' is what a balance shows.

    value: from a file. Returns: the force [N]. Raises: NotAQuantity, also for a bare number.
    """
    newton = _with_unit(value, "a force", "write text such as '8 lbf' or '35 N'", _FORCES)
    if not abs(newton) <= MOST_NEWTON:
        raise NotAQuantity(said(value), "a force under 1 000 000 N", "check number and unit")
    return newton


def mass_kg(value: object) -> float:
    """Read a mass: text such as '2.5 kg', '5.5 lb', '400 g', '12 oz'.

    value: from a file. Returns: the mass [kg]. Raises: NotAQuantity, also for a bare number.
    """
    kg = _with_unit(value, "a mass", "write text such as '2.5 kg' or '5.5 lb'", _KG_PER)
    if not abs(kg) <= MOST_KG:
        raise NotAQuantity(said(value), "a mass under 100 000 kg", "check number and unit")
    return kg


def in_torque_unit(value_newton_m: float, unit: str) -> float:
    """Turn a torque into a unit. value_newton_m; unit: one of NEWTON_M_PER. Returns it."""
    return value_newton_m / NEWTON_M_PER[unit]


def torque_unit_shown(unit: str) -> str:
    """Spell a unit for people. unit: one of NEWTON_M_PER. Returns text such as 'lbf·in'."""
    return unit.replace(".", "·")


def bare_torque(value_newton_m: float, unit: str) -> str:
    """Show a torque to the digits of the bench, without its unit.

    value_newton_m; unit: one of NEWTON_M_PER. Returns text such as '20.3'; a hundred and more
    without decimals.
    """
    value = in_torque_unit(value_newton_m, unit)
    text = f"{value:.{0 if abs(value) >= 100.0 else TORQUE_DECIMALS[unit]}f}"
    return text[1:] if text.startswith("-") and not float(text) else text  # no '-0.0'


def shown_torque(value_newton_m: float, unit: str) -> str:
    """Show a torque to the digits of the bench.

    value_newton_m; unit: one of NEWTON_M_PER. Returns text such as '20.3 lbf·in'.
    """
    return f"{bare_torque(value_newton_m, unit)} {torque_unit_shown(unit)}"


def _parted(
    value: object, wanted: str, way_out: str, decimal_comma: bool = False
) -> tuple[float, str]:
    """The number and the unit word of a value of any kind."""
    if isinstance(value, str):
        return number_and_word(value, wanted, way_out, decimal_comma)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotAQuantity(said(value), wanted, way_out)
    return bare_number(value, wanted), ""


def _with_unit(value: object, wanted: str, way_out: str, known: dict[str, float]) -> float:
    """A text with a unit out of some words."""
    number, word = _parted(value, wanted, way_out)
    if not word:
        raise NotAQuantity(f"{said(value)} without a unit", wanted, way_out)
    factor = known.get(word.rstrip(".").lower()) if word != "mN" else None
    if factor is None:
        raise NotAQuantity(f"{shown(value)}, which is not {wanted}", wanted, way_out)
    return number * factor


def _no_torque(value: object, word: str) -> NotAQuantity:
    """What to say of a number with a unit that is none of torque."""
    if word == "nm":
        return NotAQuantity(f"{shown(value)}, which is nanometres", "a torque", "write N.m")
    if word.rstrip(".").lower() in _FORCES:
        way_out = "write lbf.in, say; or, of a pull, its force as pull and its radius"
        return NotAQuantity(f"{shown(value)}, which is a force", "a torque", way_out)
    if "/" in word or _is_length(word):
        return NotAQuantity(f"{shown(value)}, which is no torque", "a torque", _WITH_UNIT)
    known = f"write one of {', '.join(TORQUE_UNITS)}"
    return NotAQuantity(f"{shown(value)} with an unknown unit", "a torque", known)


def _is_length(word: str) -> bool:
    if word in UM_PER:
        return True
    try:
        length_um(f"1 {word}", None)
    except NotAQuantity:
        return False
    return True
