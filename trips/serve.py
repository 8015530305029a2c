"""Serving the record from a laptop: a free port, the address, the browser, the server."""

import os
import socket
import threading
import webbrowser
from collections.abc import Callable

FIRST_PORT = 8000
PORTS_TRIED = 100


class NoFreePort(Exception):
    """No port could be had; the message says which were tried."""


def bound_socket(wanted: int | None, host: str = "127.0.0.1") -> socket.socket:
    """A socket on the wanted port, or on the first free one from 8000. The caller closes it.

    A wanted port that is taken is an error and not a reason to pick another: somebody who
    asks for a port has a bookmark or a phone that relies on it.
    """
    if wanted is not None:
        taken = _bind(wanted, host)
        if taken is None:
            raise NoFreePort(
                f"Port {wanted} on {host} is taken or not allowed. Choose another --port."
            )
        return taken
    for port in range(FIRST_PORT, FIRST_PORT + PORTS_TRIED):
        free = _bind(port, host)
        if free is not None:
            return free
    last = FIRST_PORT + PORTS_TRIED - 1
    raise NoFreePort(f"No free port from {FIRST_PORT} to {last} on {host}. Choose one with --port.")


def _bind(port: int, host: str) -> socket.socket | None:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    sock = socket.socket(family, socket.SOCK_STREAM)
    if os.name == "posix":
        # A port left a moment ago counts as free. On Windows the same option would let two
        # programs share one port.
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        sock.bind((host, port))
        # Listening at once: of two programs that start together only one gets the port.
        sock.listen(128)
    except (OSError, OverflowError):
        sock.close()
        return None
    return sock


def address(host: str, port: int) -> str:
    """Where a browser on this machine finds the server."""
    if host in {"0.0.0.0", "::"}:
        host = "127.0.0.1"
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def open_browser_soon(url: str, seconds: float = 1.0) -> threading.Timer:
    """Open the address once the server has had time to come up; never keeps the program alive."""
    timer = threading.Timer(seconds, webbrowser.open, args=[url])
    timer.daemon = True
    timer.start()
    return timer


def serve(application: Callable[..., object], sock: socket.socket) -> None:
    """Serve on the socket until interrupted."""
    from waitress import serve as waitress_serve

    waitress_serve(application, sockets=[sock], threads=4, ident=None)
