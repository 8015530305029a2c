"""What to say when the database takes nothing."""

import logging
import sys

from django.db import InternalError, OperationalError
from django.http import HttpResponse
from django.shortcuts import render
from django.template import loader
from django.views.defaults import server_error

from trips.calc.words import marked, say

# Words in an engine's message → what it means. In this order; the last one fits everything.
UNSAVED = (
    ("locked", marked("Somebody else was writing at the same time, and it took too long.")),
    ("full", marked("The disk that holds the record is full.")),
    ("no space", marked("The disk that holds the record is full.")),
    ("read-only", marked("The record can only be read at the moment, not written.")),
    ("readonly", marked("The record can only be read at the moment, not written.")),
    ("unable to open", marked("The file that holds the record can't be opened for writing.")),
    ("", marked("The database didn't answer as it should.")),
)
LONGEST_KEPT = 200_000
log = logging.getLogger(__name__)


class NotSaved:
    """Answer with a page of its own when the database takes nothing: full, read-only or locked.

    Every write is one transaction, so nothing is half saved. What was typed is on the page, and
    one press sends it again; passwords and files are not.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        if not isinstance(exception, OperationalError | InternalError):
            return None
        log.error("Nothing was saved at %s: %s", request.path, exception)
        context = {
            "why": reason(exception),
            "typed": typed(request),
            "had_files": bool(request.FILES),
        }
        return render(request, "503.html", context, status=503)


def no_answer(request):
    """The handler of what went wrong: a database that didn't even say who is signed in is told.

    That happens before any view, and a page with the usual bar would ask the database again.
    There is no button that sends the same once more: nobody checked yet where it came from.
    """
    exception = sys.exc_info()[1]
    if not isinstance(exception, OperationalError | InternalError):
        return server_error(request)
    context = {"why": reason(exception), "typed": typed(request)}
    page = loader.get_template("no_answer.html").render(context)
    return HttpResponse(page, status=503)


def reason(exception: Exception) -> str:
    """What an engine's message means, in a sentence."""
    told = str(exception).casefold()
    return say(next(words for part, words in UNSAVED if part in told))


def typed(request) -> list[tuple[str, str]]:
    """What a form sent, to be sent again; nothing that is secret."""
    if request.method != "POST" or request.content_type == "application/json":
        return []
    pairs = [
        (name, value)
        for name, values in request.POST.lists()
        for value in values
        if name != "csrfmiddlewaretoken" and "password" not in name
    ]
    too_long = sum(len(value) for _, value in pairs) > LONGEST_KEPT
    return [] if too_long or any("password" in name for name in request.POST) else pairs
