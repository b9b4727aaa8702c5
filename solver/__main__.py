"""`python -m solver choose JOB` takes the same words as the command."""

from __future__ import annotations

import gc
import sys

from solver.terminal import main

if __name__ == "__main__":
    gc.disable()  # a process that ends with its answer: looking for litter took 6 % of its time
    sys.exit(main())
