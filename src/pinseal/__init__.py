"""Pinseal: what every fire extinguisher of a fleet needs, by when and why, and a record that lasts."""

__version__ = "0.1.0"
