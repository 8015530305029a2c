"""Rows that all tests of a file look at: made once, and taken back after its last test.

Each test still begins with what was made, because what it changes is taken back after it as ever.
Not for files with tests that commit (`transaction=True`).
"""

import contextlib

from django.db import transaction


@contextlib.contextmanager
def taken_back(blocker):
    """Around the `yield` of a fixture with scope "module" that asks for `django_db_setup`."""
    with blocker.unblock(), transaction.atomic():
        yield
        transaction.set_rollback(True)
