"""The message after a deletion, with the button that takes it back."""

import uuid

from django.contrib import messages

from claims.services.changes import change_set

MARK = "undo-"


def tell_deleted(request, words: str) -> None:
    """Say that something was deleted by this request, and offer to bring it back."""
    messages.success(request, words, extra_tags=f"{MARK}{change_set()}")


def undo_key(message) -> uuid.UUID | None:
    """What one press of "Undo" beside this message brings back; None where there is nothing."""
    for tag in (message.extra_tags or "").split():
        if tag.startswith(MARK):
            try:
                return uuid.UUID(tag.removeprefix(MARK))
            except ValueError:  # deleted outside a request: belongs to no press of a button
                return None
    return None
