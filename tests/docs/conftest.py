"""The command, as the tests of the command line run it."""

from tests.cli.conftest import pinseal

__all__ = ["pinseal"]
