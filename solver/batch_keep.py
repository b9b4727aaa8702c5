"""What a batch has worked out so far, kept beside its results, so that a broken run goes on.

One line an offer, under a digest of all that it was worked out from: a row, a pattern or a drawer
that was changed since has another digest, and what was kept for the old one is not looked at.
"""

from __future__ import annotations

import hashlib
import json
import time
from dataclasses import dataclass, field
from pathlib import Path

from solver.batch_pool import MET, NONE, SHORT, Offer, Option, Wish
from solver.drawer import Drawer
from solver.job import Job
from solver.plain_file import read_text, replace_bytes
from solver.trouble import Trouble

HEAD = "shimwright batch, kept 1"
EVERY_S = 1.0  # what is lost of a broken run, at most, and the offer that was being worked out
LARGEST_BYTES = 200_000_000


def digest_of(job: Job, drawer: Drawer, wish: Wish) -> str:
    """A digest of everything that an offer follows from. job; drawer; wish. Returns it."""
    words = repr((HEAD, job, drawer.lots, wish))
    return hashlib.sha256(words.encode()).hexdigest()


def path_beside(results: Path) -> Path:
    """Where a batch keeps what it has so far. results: its CSV. Returns: a hidden file there."""
    return results.with_name(f".{results.name}.part")


@dataclass(slots=True)
class Kept:
    """Offers by digest; written whole now and then, and at the end of a run, broken or not."""

    path: Path | None  # None: nothing is kept
    lines: dict[str, str] = field(default_factory=dict)
    written: float = field(default_factory=time.monotonic)
    fresh: bool = False

    def offer(self, digest: str) -> Offer | None:
        """What was kept under a digest; None where there is nothing that can be read. digest."""
        line = self.lines.get(digest)
        return _offer_in(line) if line is not None else None

    def keep(self, digest: str, offer: Offer) -> None:
        """Keep an offer. digest: of what it follows from; offer."""
        self.lines[digest] = _as_line(offer)
        self.fresh = True
        if time.monotonic() - self.written > EVERY_S:
            self.write()

    def write(self) -> None:
        """Write what is not written yet. Raises: Trouble."""
        if self.path is not None and self.fresh:
            text = [HEAD, *(f"{digest} {line}" for digest, line in self.lines.items())]
            replace_bytes(self.path, ("\n".join(text) + "\n").encode())
            self.written, self.fresh = time.monotonic(), False

    def done(self) -> None:
        """Take the file away: the results stand. Raises: OSError."""
        if self.path is not None:
            self.path.unlink(missing_ok=True)


def load_kept(path: Path | None) -> Kept:
    """Read what a broken run left.

    path: of the file, which need not be there; None: nothing is kept. Returns: Kept, empty where
    the file is none of ours or cannot be read: it is all worked out anew then.
    """
    kept = Kept(path)
    if path is None or not path.exists():
        return kept
    try:
        head, *lines = read_text(path, LARGEST_BYTES, "a batch so far").splitlines() or [""]
    except Trouble:
        return kept
    for line in lines if head == HEAD else []:
        digest, _, rest = line.partition(" ")
        kept.lines[digest] = rest
    return kept


def _as_line(offer: Offer) -> str:
    options = [[one.pieces, one.chance, one.seats] for one in offer.options]
    return json.dumps([offer.kind, offer.unlisted, offer.readings, options], separators=(",", ":"))


def _offer_in(line: str) -> Offer | None:
    """An offer as it was kept; None where the line is none."""
    try:
        kind, unlisted, readings, options = json.loads(line)
        found = tuple(
            Option(
                int(pieces),
                float(chance),
                tuple(tuple((int(lot), int(count)) for lot, count in seat) for seat in seats),
            )
            for pieces, chance, seats in options
        )
        if kind not in (MET, SHORT, NONE):
            return None
        return Offer(kind, found, None if unlisted is None else int(unlisted), str(readings))
    except (ValueError, TypeError):
        return None
