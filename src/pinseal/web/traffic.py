"""How long nobody has waited for an answer, so that work of less hurry can stand aside for those who do."""

from __future__ import annotations

import math
import time

from starlette.types import ASGIApp, Receive, Scope, Send


class Traffic:
    """A site that knows whether anybody waits for it."""

    def __init__(self, site: ASGIApp) -> None:
        self.site, self._in_hand, self._last = site, 0, -math.inf

    @property
    def quiet_s(self) -> float:
        """For how many seconds nobody has waited; 0 while somebody does."""
        return 0.0 if self._in_hand else time.monotonic() - self._last

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        # Counted in the event loop alone; another thread may read it.
        self._in_hand += 1
        try:
            await self.site(scope, receive, send)
        finally:
            self._in_hand -= 1
            self._last = time.monotonic()
