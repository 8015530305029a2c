"""What goes wrong when a record comes in."""


class NoRecord(ValueError):
    """The file can't be brought in; the message says which table, line and column."""
