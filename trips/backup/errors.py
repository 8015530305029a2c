"""What can be wrong with a backup, each with a sentence that says what to do."""


class BackupError(Exception):
    """A backup that can't be made or brought back; the message says why."""
