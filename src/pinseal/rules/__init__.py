"""The only place that decides: the clocks, evaluated for a whole fleet at once, and why each is what it is."""
