"""The command and a small shop, as the tests of the command line have them."""

from tests.cli.conftest import pinseal, shop

__all__ = ["pinseal", "shop"]
