"""Answer on a port. The port is taken before anything else, so that a taken one is said in clear words."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable

from starlette.types import ASGIApp

from pinseal.reasons import Refusal

_WAITING_MAX = 128


def serve(site: ASGIApp, host: str, port: int, ready: Callable[[str], None]) -> None:
    """Serve until stopped. `ready` is called with the address once the port is ours. Raises `Refusal`."""
    import uvicorn  # late: a command that does not serve shall not wait for it

    with bind(host, port) as taken:
        ready(address_of(taken))
        config = uvicorn.Config(
            site, log_level="warning", access_log=False, lifespan="off", server_header=False, proxy_headers=False, timeout_keep_alive=5
        )
        uvicorn.Server(config).run(sockets=[taken])


def bind(host: str, port: int) -> socket.socket:
    """Take a port; 0 takes any free one. Raises `Refusal` that tells what stands in the way."""
    if not 0 <= port <= 65_535:
        raise _refusal(host, port, "this is not a port", "a port is a whole number from 0 to 65535", "choose a port such as 8000")
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0]
    except (socket.gaierror, UnicodeError) as unknown:
        rule = "pages are served at an address of this machine"
        raise _refusal(host, port, "this name is not known here", rule, "use 127.0.0.1, or an address of this machine") from unknown
    taken = socket.socket(family, kind, protocol)
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind(address)
        taken.listen(_WAITING_MAX)
    except OSError as error:
        taken.close()
        raise told(error, host, port) from error
    return taken


def told(error: OSError, host: str, port: int) -> Refusal:
    """What stands in the way, in words."""
    if error.errno == errno.EADDRINUSE:
        do = f"stop the other program, or choose another port, for example --port {port + 1 if port < 65_535 else 8_000}"
        return _refusal(host, port, f"port {port} is taken", "one program at a time can answer on a port", do)
    if error.errno in (errno.EACCES, errno.EPERM):
        return _refusal(host, port, f"port {port} may not be used", "low ports belong to the system", "choose a port from 1024 up")
    if error.errno == errno.EADDRNOTAVAIL:
        rule = "pages are served at an address of this machine"
        return _refusal(host, port, "this address is not of this machine", rule, "use 127.0.0.1, or an address of this machine")
    return _refusal(host, port, "the port cannot be used", f"the system says: {error.strerror}", "choose another port")


def address_of(taken: socket.socket) -> str:
    """The address to open in a browser."""
    host, port = taken.getsockname()[:2]
    shown = {"0.0.0.0": "127.0.0.1", "::": "[::1]"}.get(host, f"[{host}]" if ":" in host else host)  # noqa: S104 - only compared
    return f"http://{shown}:{port}"


def _refusal(host: str, port: int, what: str, rule: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=f"{host}:{port}", do=do)
