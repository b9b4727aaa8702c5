"""Choose shims for a bevel or hypoid final drive out of the drawer that is there."""
