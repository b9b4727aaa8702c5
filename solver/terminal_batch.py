"""`choose --batch`: a whole batch out of one drawer, results as CSV, broken runs gone on with."""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from solver.trouble import Fault, Trouble

MET, NOT_MET = 0, 1
TELL_EVERY_S = 0.5


def batch_text(options: argparse.Namespace) -> tuple[str, int]:
    """Deal a drawer out to a batch.

    options: with `job`, `batch`, `drawer`, `out` and `json`. Returns: what to print, and an exit
    code: 0 where every assembly is met and no readings disagree. Raises: Trouble.
    """
    if options.job is not None:
        way_out = "name the patterns in the batch's column job"
        raise Trouble([Fault("command line", "a job beside --batch", "one of the two", way_out)])
    from solver.batch_file import load_batch

    batch = load_batch(Path(options.batch), Path(options.drawer) if options.drawer else None)
    from solver.batch import answer_batch
    from solver.batch_keep import load_kept, path_beside
    from solver.plain_file import replace_bytes
    from solver.report_batch import batch_as_csv, batch_as_json, batch_as_text

    out = Path(options.out) if options.out else None
    with _held(out), _progress() as tell:
        kept = load_kept(path_beside(out) if out else None)
        answer = answer_batch(batch, kept, tell)
        if out is not None:
            replace_bytes(out, batch_as_csv(answer).encode())
            kept.done()
    code = MET if answer.good else NOT_MET
    if options.json:
        return json.dumps(batch_as_json(answer), indent=1, allow_nan=False) + "\n", code
    if out is not None:
        return batch_as_text(answer) + f"Results: {out}\n", code
    print(batch_as_text(answer), end="", file=sys.stderr)
    return batch_as_csv(answer), code


@contextlib.contextmanager
def _held(out: Path | None) -> Iterator[None]:
    """Nobody else works at the same results meanwhile."""
    if out is None:
        yield
        return
    from solver.file_lock import held

    if out.resolve().parent.is_dir():
        with held(out):
            yield
        return
    found = f"no folder {out.parent.name}"
    raise Trouble(
        [Fault(out.name, found, "a place that can be written", "make it, or name another")]
    )


class _Teller:
    """Tells how far a run is, not more often than can be read."""

    def __init__(self) -> None:
        self.last = 0.0
        self.live = sys.stderr.isatty()
        self.width = 0

    def __call__(self, words: str) -> None:
        now = time.monotonic()
        if now - self.last >= (TELL_EVERY_S if self.live else 10 * TELL_EVERY_S):
            self.last = now
            self._show(words)

    def _show(self, words: str) -> None:
        if not self.live:
            print(words, file=sys.stderr, flush=True)
            return
        print("\r" + words.ljust(self.width), end="", file=sys.stderr, flush=True)
        self.width = len(words)

    def end(self) -> None:
        """Leave the line clear for what comes after."""
        if self.live and self.width:
            print("\r" + " " * self.width + "\r", end="", file=sys.stderr, flush=True)


@contextlib.contextmanager
def _progress() -> Iterator[_Teller]:
    teller = _Teller()
    try:
        yield teller
    finally:
        teller.end()
