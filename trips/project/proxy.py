"""Which address a request comes from when proxies stand in front."""

from django.conf import settings


def client_address(request) -> str:
    """The address of whoever asked the outermost of our own `PROXIES`; without one, the peer's.

    Each proxy of ours adds the address that it was asked from at the end. Everything further
    left was written by the one who asks and is not believed.
    """
    if settings.PROXIES:
        passed = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
        if len(passed) >= settings.PROXIES and passed[-settings.PROXIES]:
            return passed[-settings.PROXIES]
    return request.META.get("REMOTE_ADDR", "")
