"""Who asks the API, and whether they may: by the session of a browser, or by a token."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import Request
from starlette.concurrency import run_in_threadpool

from pinseal.web.account import Account
from pinseal.web.api_doors import NotForYou, NoToken, Tokens
from pinseal.web.guards import bearer_of
from pinseal.web.rights import API_RIGHTS


def access(tokens: Tokens, name: str) -> Callable[[Request], object]:
    """A check for one route: gives the account, or raises `NoToken` or `NotForYou`. A route without a row opens for nobody."""
    scope, roles = API_RIGHTS.get(name, ("", frozenset()))

    async def account(request: Request) -> Account:
        found, scopes = await _asking(request, tokens)
        if found is None:
            raise NoToken(
                what="nobody is signed in",
                rule="the API asks for a session, or for a token: Authorization: Bearer TOKEN",
                got="neither" if bearer_of(request.headers) is None else "a token that opens nothing",
                do="sign in, or let a supervisor give you a token",
            )
        if scopes is not None and scope not in scopes:
            raise NotForYou(
                what="this token does not open this",
                rule=f"it needs the scope {scope}",
                got=", ".join(sorted(scopes)) or "no scope",
                do="let a supervisor give you a token with that scope",
            )
        if found.role not in roles:
            raise NotForYou(
                what="this is not for your role",
                rule=f"it is for {', '.join(sorted(roles)) or 'nobody'}",
                got=found.role,
                do="ask a supervisor of the shop",
            )
        return found

    return account


async def _asking(request: Request, tokens: Tokens) -> tuple[Account | None, frozenset[str] | None]:
    """The account, and the scopes of its token; None where a browser's session asks."""
    token = bearer_of(request.headers)
    if token is None:
        return getattr(request.state, "account", None), None
    found = await run_in_threadpool(tokens.account_of, token) if token else None
    return found if found is not None else (None, None)
