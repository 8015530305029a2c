"""Ports and addresses of the laptop server."""

import threading
import urllib.request

import pytest

from trips import serve
from trips.serve import NoFreePort, address, bound_socket


def test_a_wanted_port_that_is_taken_is_refused_by_number():
    with bound_socket(0) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(NoFreePort, match=f"Port {port} on 127.0.0.1 is taken"):
            bound_socket(port)


def test_a_port_outside_the_range_is_refused():
    with pytest.raises(NoFreePort, match="Port 70000"):
        bound_socket(70000)


def test_the_next_free_port_is_taken(monkeypatch):
    with bound_socket(0) as first:
        port = first.getsockname()[1]
        monkeypatch.setattr(serve, "FIRST_PORT", port)
        with bound_socket(None) as second:
            assert port < second.getsockname()[1] < port + serve.PORTS_TRIED


def test_no_free_port_says_which_were_tried(monkeypatch):
    with bound_socket(0) as taken:
        port = taken.getsockname()[1]
        monkeypatch.setattr(serve, "FIRST_PORT", port)
        monkeypatch.setattr(serve, "PORTS_TRIED", 1)
        with pytest.raises(NoFreePort, match=f"No free port from {port} to {port}"):
            bound_socket(None)


@pytest.mark.parametrize(
    ("host", "expected"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000/"),
        ("0.0.0.0", "http://127.0.0.1:8000/"),
        ("::1", "http://[::1]:8000/"),
        ("laptop", "http://laptop:8000/"),
    ],
)
def test_the_address_is_one_a_browser_here_can_open(host, expected):
    assert address(host, 8000) == expected


def test_the_server_answers_on_the_socket_it_is_given():
    def application(environ, start_response):
        start_response("200 OK", [("Content-Type", "text/plain"), ("Content-Length", "4")])
        return [b"gold"]

    sock = bound_socket(0)
    url = address("127.0.0.1", sock.getsockname()[1])
    # A daemon: waitress stops with the process, by an interrupt, and not otherwise.
    threading.Thread(target=serve.serve, args=(application, sock), daemon=True).start()
    with urllib.request.urlopen(url, timeout=20) as answer:
        assert answer.read() == b"gold"
