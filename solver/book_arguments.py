"""What the verbs of the drawer's books take at a terminal."""

from __future__ import annotations

import argparse


def take_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `take` takes. parser: of the verb."""
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file")
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    parser.add_argument("--yes", action="store_true", help="book it; else only say what would be")
    parser.add_argument("--short", action="store_true", help="also where it is below the chance")
    _json_argument(parser)


def back_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `back` takes. parser: of the verb."""
    parser.add_argument("what", metavar="JOB|ENTRY", help="a job's file, or an entry's number")
    parser.add_argument("--drawer", metavar="CSV", help="the drawer, needed with an entry")
    parser.add_argument("--lot", metavar="LOT[:N]", action="append", help="this alone; may repeat")
    _json_argument(parser)


def measured_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `measured` takes. parser: of the verb."""
    parser.add_argument("drawer", metavar="DRAWER", help="a CSV file")
    parser.add_argument("lot", metavar="LOT", help="its id in the drawer")
    parser.add_argument("thickness", metavar="THICKNESS", help="such as '0.487 mm'")
    _said_arguments(parser)
    parser.add_argument("--pieces", metavar="N", help="part off N pieces of the lot; else all")
    _json_argument(parser)


def arrived_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `arrived` takes. parser: of the verb."""
    _lot_arguments(parser)
    parser.add_argument("--cut", action="store_true", help="cut at the bench; else bought")
    parser.add_argument("--thickness", metavar="T", default="", help="of a new lot, with its unit")
    _said_arguments(parser)
    _json_argument(parser)


def spoiled_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `spoiled` takes. parser: of the verb."""
    _lot_arguments(parser)
    parser.add_argument("--job", metavar="JOB", help="they were out for this job, a TOML file")
    _json_argument(parser)


def _lot_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("drawer", metavar="DRAWER", help="a CSV file")
    parser.add_argument("lot", metavar="LOT", help="its id in the drawer")
    parser.add_argument("count", metavar="COUNT", help="how many pieces")


def _said_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--within", metavar="W", default="", help="how far off a piece can be")
    parser.add_argument("--tool", metavar="NAME", default="", help="that it was measured with")


def books_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `books` takes. parser: of the verb."""
    parser.add_argument("drawer", metavar="DRAWER", help="a CSV file")
    kinds = ("counted", "bought", "cut", "used up")
    help_text = f"take in what was done to the drawer past its books, as {', '.join(kinds)}"
    parser.add_argument("--adopt", metavar="AS", choices=kinds, help=help_text)
    _json_argument(parser)


def undo_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `undo` takes. parser: of the verb."""
    parser.add_argument("drawer", metavar="DRAWER", help="a CSV file")
    parser.add_argument("--entry", metavar="N", help="this one; else the last that stands")
    _json_argument(parser)


def _json_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON object")
