"""The window: panels that show what the solver found; nothing is computed here."""
