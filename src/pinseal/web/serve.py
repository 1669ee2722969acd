"""Answer on a port. The port is taken before anything else, so that a taken one is said in clear words."""

from __future__ import annotations

import errno
import ipaddress
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from starlette.types import ASGIApp

from pinseal.reasons import Refusal
from pinseal.web.traffic import Traffic

if TYPE_CHECKING:
    import uvicorn

_WAITING_MAX = 128
_RENEWED_S = 6 * 3_600
_STOPPING_S = 5
_LOOK_S = 0.05


Beside = Callable[[Traffic, threading.Event], None]


def serve(site: ASGIApp, host: str, port: int, ready: Callable[[str], None], beside: Beside | None = None) -> None:
    """Serve until stopped. `ready` is called with the address once the port is ours. Raises `Refusal`.

    `beside` works in a thread of its own from when the server answers; it is told of the requests in hand, and when to stop.
    """
    with bind(host, port) as taken:
        ready(address_of(taken))
        traffic = Traffic(site)
        server = _server(traffic)
        with _working_beside(server, traffic, beside):
            server.run(sockets=[taken])


@contextmanager
def _working_beside(server: uvicorn.Server, traffic: Traffic, beside: Beside | None) -> Iterator[None]:
    stopped = threading.Event()

    def work() -> None:
        while not (server.started or stopped.wait(_LOOK_S)):
            pass
        if beside and not stopped.is_set():
            beside(traffic, stopped)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    try:
        yield
    finally:
        stopped.set()
        thread.join(_STOPPING_S)


def _server(site: ASGIApp, **more: Any) -> uvicorn.Server:
    import uvicorn  # late: a command that does not serve shall not wait for it

    config = uvicorn.Config(
        site, log_level="warning", access_log=False, lifespan="off", server_header=False, proxy_headers=False, timeout_keep_alive=5, **more
    )
    return uvicorn.Server(config)


def serve_tls(
    site: Callable[[str], ASGIApp],
    plain: Callable[[str], ASGIApp],
    host: str,
    ports: tuple[int, int],
    *,
    files: tuple[Path, Path],
    renew: Callable[[], None],
    ready: Callable[[str, str], None],
    beside: Beside | None = None,
) -> None:
    """Serve over TLS on the first port, and a few pages in plain HTTP on the second, until stopped. Raises `Refusal`.

    `site` and `plain` are made once both ports are ours; they are given the address over TLS. `files` are the certificate
    and its key; `renew` is called every few hours, and writes them anew before they end. `beside` works as with `serve`.
    """
    with bind(host, ports[0]) as taken, bind(host, ports[1]) as plain_port:
        address, plainly = address_of(taken).replace("http:", "https:", 1), address_of(plain_port)
        ready(address, plainly)
        traffic = Traffic(site(address))
        server = _server(traffic, ssl_certfile=files[0], ssl_keyfile=files[1])
        other = _server(plain(address))
        running = threading.Thread(target=other.run, kwargs={"sockets": [plain_port]}, daemon=True)
        stopped = threading.Event()
        renewing = threading.Thread(target=_renewing, args=(server, files, renew, stopped), daemon=True)
        for thread in (running, renewing):
            thread.start()
        try:
            with _working_beside(server, traffic, beside):
                server.run(sockets=[taken])
        finally:
            other.should_exit = True
            stopped.set()
            running.join(_STOPPING_S)


def _renewing(server: uvicorn.Server, files: tuple[Path, Path], renew: Callable[[], None], stopped: threading.Event) -> None:
    """Connections that are made after a renewal get the new certificate; nothing is cut off."""
    while not stopped.wait(_RENEWED_S):
        renew()
        if server.config.ssl is not None:
            server.config.ssl.load_cert_chain(*files)


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


def is_loopback(host: str) -> bool:
    """Whether what listens at this address is reached from this machine alone.

    >>> is_loopback("127.0.0.1"), is_loopback("localhost"), is_loopback("0.0.0.0"), is_loopback("192.0.2.7")
    (True, True, False, False)
    """
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def lan_address() -> str:
    """The address of this machine in its network; its loopback address where it is in none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))  # RFC 5737: an address that is nobody's; connecting a datagram socket only picks the way
            return str(asking.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def tls_names(host: str) -> list[str]:
    """The names and addresses that a certificate for what listens at `host` must hold."""
    own = ["localhost", "127.0.0.1", "::1"]
    if is_loopback(host):
        return own
    every = host in ("0.0.0.0", "::")  # noqa: S104 - only compared
    return [*own, lan_address() if every else host]


def address_for_phones(address: str) -> str:
    """The address that another device opens, where the pages listen at every address of this machine."""
    parts = urlsplit(address)
    return f"{parts.scheme}://{lan_address()}:{parts.port}" if parts.hostname and is_loopback(parts.hostname) else address


def _refusal(host: str, port: int, what: str, rule: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=f"{host}:{port}", do=do)
