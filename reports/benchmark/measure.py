"""Times and queries of one request, taken in turns with its floor."""

import gc
import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from unittest.mock import patch

from django.db import connection
from django.template.base import Template
from django.test import Client
from django.test.utils import CaptureQueriesContext, ContextList, instrumented_test_render

from claims.models import User
from reports.benchmark.ground import AS_OF

OURS = ("claims", "trips", "reports")
AS_ASKED = {"as_of": AS_OF.isoformat()}


def sign_in(user: User) -> Client:
    """A browser of nobody's machine; `localhost` is allowed on every site."""
    client = Client(SERVER_NAME="localhost")
    client.force_login(user, backend="claims.sign_in.WithMemberships")
    return client


@dataclass(frozen=True)
class Seen:
    """What one request gave: its queries as they ran, its template with what that was given."""

    queries: tuple[str, ...]
    template: Template | None
    context: dict
    content: bytes


def look(client: Client, address: str) -> Seen:
    """Ask once to fill what is kept, then once more to see what it takes.

    Raises: RuntimeError if the page doesn't come.
    """
    _content(client.get(address, AS_ASKED))
    with (
        patch.object(Template, "_render", instrumented_test_render),
        CaptureQueriesContext(connection) as caught,
    ):
        response = client.get(address, AS_ASKED)
        if response.status_code != 200:
            raise RuntimeError(f"{address} gave {response.status_code}.")
        content = _content(response)
    sql = tuple(query["sql"] for query in caught.captured_queries)
    # Widgets and parts are templates, too; the page's own is the one that extends the frame.
    given = response.context
    contexts = given if isinstance(given, ContextList) else [given]
    for template, context in zip(response.templates, contexts, strict=False):
        if template.name and template.name.partition("/")[0] in OURS:
            return Seen(sql, template, dict(context.flatten()), content)
    return Seen(sql, None, {}, content)


def _content(response) -> bytes:
    """All of a page or file; a file that is sent in pieces closes at its end."""
    return b"".join(response) if response.streaming else response.content


def environ_of(client: Client, address: str) -> dict:
    """The request for a page as of the record's day, signed in as the client is."""
    return client._base_environ(
        PATH_INFO=address, QUERY_STRING="&".join(f"{k}={v}" for k, v in AS_ASKED.items())
    )


def asking(client: Client, address: str) -> Callable[[], object]:
    """The same request without what the test client adds to it."""
    environ = environ_of(client, address)

    def ask():
        response = client.handler(dict(environ))
        return _content(response)

    return ask


YARD = 0.010  # seconds that the yardstick takes on a machine of middling speed


def yardstick() -> int:
    """Work that rests on no record: what it takes tells how busy the machine is."""
    return sum(len(f"{n} of {n * n}") for n in range(25_000))


def _deeper(work: Callable[[], object], calls: int) -> object:
    return work() if calls == 0 else _deeper(work, calls - 1)


def in_turns(*works: Callable[[], object], repeats: int) -> tuple[float, ...]:
    """Median seconds of each work, taken in turns, so that a busy moment hits all of them.

    SQLite works within this process: its own seconds count, whatever else the machine does.
    Each turn is taken at another depth of calls. Python keeps frames in pieces of memory and takes
    and gives one back whenever calls cross its border: rendering a form that happened to lie there
    took half as long again, page or floor by chance. And each begins with no garbage: the collector
    came at every second page, so always in the same work of two.
    """
    now = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    spent: list[list[float]] = [[] for _ in works]
    for turn in range(repeats):
        for work, times in zip(works, spent, strict=True):
            gc.collect()
            start = now()
            _deeper(work, 12 * turn)
            times.append(now() - start)
    return tuple(median(times) for times in spent)
