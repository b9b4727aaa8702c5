"""What a job notes for the bench and no sum needs: fasteners, marks, the ring to cut; frozen types.

Read by `job_sheet`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

NOTED_KEYS = ("fasteners", "marks", "ring")  # of a job file
NEAR = 0.15  # of the larger: torques that lie nearer are easily swapped


@dataclass(frozen=True, slots=True)
class Fastener:
    """What is tightened, to the torque that the user has looked up."""

    what: str
    torque_newton_m: float
    written: str  # as in the file, its own unit with it
    checked: bool = False  # against the maker's manual
    note: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """How something goes together again."""

    what: str
    how: str  # '' where it is still to be written on the sheet


@dataclass(frozen=True, slots=True)
class Ring:
    """The ring that a shim has to be, for one seat or for all."""

    seat: str  # '' for every seat that has none of its own
    outside_um: float  # diameter of what it bears on
    inside_um: float
    clearance_um: float  # on the diameter: that much less outside, that much more inside

    @property
    def cut_um(self) -> tuple[float, float]:
        """Diameters to cut, outside and inside [µm]."""
        return self.outside_um - self.clearance_um, self.inside_um + self.clearance_um


@dataclass(frozen=True, slots=True)
class BenchNotes:
    """All that a job notes for the bench."""

    fasteners: tuple[Fastener, ...] = ()
    marks: tuple[Mark, ...] = ()
    rings: tuple[Ring, ...] = ()

    def ring(self, seat: str) -> Ring | None:
        """The ring of a seat, None where the job does not say. seat: its name."""
        own = next((ring for ring in self.rings if ring.seat == seat), None)
        return own or next((ring for ring in self.rings if not ring.seat), None)


NOTHING_NOTED = BenchNotes()


def taken_for(fasteners: tuple[Fastener, ...], place: int) -> tuple[Fastener, ...]:
    """Find the fasteners whose torque is easily taken for another's.

    fasteners: all; place: of the one in question, from 0. Returns: those within 15 % of it, or with
    the same digits in another order or place, or one figure inside the other (85 and 185). Equal
    torques are no danger. Source: common practice, no source.
    """
    one = fasteners[place]
    return tuple(
        other
        for k, other in enumerate(fasteners)
        if k != place and not _equal(one, other) and (_near(one, other) or _alike(one, other))
    )


def _equal(one: Fastener, other: Fastener) -> bool:
    return abs(one.torque_newton_m - other.torque_newton_m) < 1e-6 * one.torque_newton_m


def _near(one: Fastener, other: Fastener) -> bool:
    torques = (one.torque_newton_m, other.torque_newton_m)
    return max(torques) - min(torques) <= NEAR * max(torques) * (1.0 + 1e-9)


def _alike(one: Fastener, other: Fastener) -> bool:
    """Whether two figures share their digits, as written."""
    figures = [re.sub(r"\D", "", _figure(written)) for written in (one.written, other.written)]
    short, long = sorted(figures, key=len)
    told = [sorted(figure.replace("0", "")) for figure in figures]
    return (told[0] == told[1] and told[0] != []) or (len(short) > 1 and short in long)


def _figure(written: str) -> str:
    """The number of a torque as written."""
    found = re.match(r"\s*[\d.,\s]*\d", written)
    return found[0] if found else ""
