"""The record of one party as it was before a club came beside it, asked in turns with it now."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.db import DEFAULT_DB_ALIAS, connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper

COPY = "alone"


@contextmanager
def kept_alone() -> Iterator[BaseDatabaseWrapper]:
    """A copy of the whole database, counts of rows and all, that goes afterwards."""
    connection.close()  # what SQLite still holds in its log comes into the file
    connection.creation.clone_test_db(COPY, verbosity=0)
    alone = connection.copy()
    alone.settings_dict = connection.creation.get_test_db_clone_settings(COPY)
    try:
        yield alone
    finally:
        alone.close()
        connection.creation.destroy_test_db(suffix=COPY, verbosity=0)


def asked_of(database: BaseDatabaseWrapper, work: Callable[[], object]) -> Callable[[], object]:
    """The same work with another database in the place of the only one."""

    def done() -> object:
        usual = connections[DEFAULT_DB_ALIAS]
        connections[DEFAULT_DB_ALIAS] = database
        try:
            return work()
        finally:
            connections[DEFAULT_DB_ALIAS] = usual

    return done
