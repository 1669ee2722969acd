"""What the pages of trust are given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.views import Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class TrustPage:
    """How a phone is told to trust the shop. `address` is empty where the pages are served without TLS."""

    frame: Frame
    address: str
    fingerprint: str
    until: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPage:
    """Whether this phone can work offline now. `there` is the same page over TLS."""

    frame: Frame
    there: str
