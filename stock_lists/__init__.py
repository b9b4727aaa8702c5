"""Lists of shims to start from: an invented example, and the standard ladders of shim stock."""
