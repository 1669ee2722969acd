"""One step for each form of a shop."""
