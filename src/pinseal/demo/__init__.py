"""The invented demo shop: a town, its extinguishers, and twelve years of their history, all from one fixed seed."""

from pinseal.demo.build import Demo, DemoDeed, build

__all__ = ["Demo", "DemoDeed", "build"]
