"""Which address a request comes from when proxies stand in front."""

import ipaddress

from django.conf import settings

# Stands for everybody whose address isn't known: all of them count as one.
UNKNOWN = "0.0.0.0"


def client_address(request) -> str:
    """The address of whoever asked the outermost of our own `PROXIES`; without one, the peer's.

    Each proxy of ours adds the address that it was asked from at the end. Everything further
    left was written by the one who asks and is not believed. Of an IPv6 address the first 64
    bits count: the rest is the asker's own to choose.
    """
    if settings.PROXIES:
        passed = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
        if len(passed) >= settings.PROXIES and passed[-settings.PROXIES]:
            return counted_as(passed[-settings.PROXIES])
    return counted_as(request.META.get("REMOTE_ADDR", ""))


def counted_as(text: str) -> str:
    """What an address as a server or proxy writes it, with or without a port, is counted as."""
    host = text
    if text.startswith("["):
        host = text[1:].partition("]")[0]
    elif text.count(":") == 1:
        host = text.partition(":")[0]
    try:
        found = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return UNKNOWN
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, 64), strict=False).network_address)
    return str(found)
