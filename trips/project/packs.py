"""A server behind WSGI runs no system checks by itself; this one has to hold there too."""

from django.core.checks import Error
from django.core.exceptions import ImproperlyConfigured


def refuse_broken_packs() -> None:
    """Stop the start where a rule pack can't be read."""
    from claims.checks import rule_packs_can_be_read

    errors: list[Error] = rule_packs_can_be_read()
    if errors:
        raise ImproperlyConfigured("\n".join(f"{error.id}: {error.msg}" for error in errors))
