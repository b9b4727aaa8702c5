"""`python -m solver choose JOB` takes the same words as the command."""

from __future__ import annotations

import sys

from solver.terminal import main

if __name__ == "__main__":
    sys.exit(main())
