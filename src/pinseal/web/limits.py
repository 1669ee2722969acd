"""How often somebody may knock. Counted in this process's memory; a start begins anew."""

from __future__ import annotations

import ipaddress
from typing import TYPE_CHECKING

from pinseal.catalogue import gettext as _
from pinseal.catalogue import ngettext
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from limits import RateLimitItem

_WRONG_MINUTES = 15


class TooOften(Refusal):
    """Asked too often: status 429."""


def place_of(host: str | None) -> str:
    """The address that counts as one place: for IPv6 its first 64 bits, because one home or phone has so many.

    >>> place_of("192.0.2.7"), place_of("2001:db8::1:2:3:4"), place_of(None)
    ('192.0.2.7', '2001:db8::/64', 'unknown')
    """
    try:
        address = ipaddress.ip_address(host or "")
    except ValueError:
        return host or "unknown"
    return str(ipaddress.ip_network((address, 64), strict=False)) if address.version == 6 else str(address)


class Limits:
    """Counts requests of each place, and wrong passphrases of each place and of each name."""

    def __init__(self, *, requests_a_minute: int = 3_000, wrong_of_place: int = 30, wrong_of_name: int = 10) -> None:
        from limits import RateLimitItemPerMinute
        from limits.storage import MemoryStorage
        from limits.strategies import SlidingWindowCounterRateLimiter

        self._counter = SlidingWindowCounterRateLimiter(MemoryStorage())
        self._requests = RateLimitItemPerMinute(requests_a_minute)
        self._of_place = RateLimitItemPerMinute(wrong_of_place, _WRONG_MINUTES)
        self._of_name = RateLimitItemPerMinute(wrong_of_name, _WRONG_MINUTES)

    def request(self, host: str | None) -> TooOften | None:
        """Count a request; a refusal where the place asked too often."""
        return (
            None
            if self._counter.hit(self._requests, "request", place_of(host))
            else _too_often(1, _("there were too many requests from here"))
        )

    def may_try(self, host: str | None, login: str) -> TooOften | None:
        """A refusal where a place or a name had too many wrong passphrases lately. Counts nothing."""
        free = self._free(self._of_place, "place", place_of(host)) and self._free(self._of_name, "name", login.strip().casefold())
        return None if free else _too_often(_WRONG_MINUTES, _("there were too many wrong passphrases from here"))

    def wrong(self, host: str | None, login: str) -> None:
        """Count a wrong passphrase."""
        self._counter.hit(self._of_place, "place", place_of(host))
        self._counter.hit(self._of_name, "name", login.strip().casefold())

    def _free(self, item: RateLimitItem, kind: str, key: str) -> bool:
        return self._counter.test(item, kind, key)


def _too_often(minutes: int, what: str) -> TooOften:
    return TooOften(
        what=what,
        rule=_("a stranger who tries everything shall not get far"),
        got="",
        do=ngettext("wait %(n)s minute and try again", "wait %(n)s minutes and try again", minutes),
    )
