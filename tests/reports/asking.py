"""Ask a page as a browser does, and read what it was given."""

from django.db import connection
from django.test.utils import CaptureQueriesContext

LATE = "as_of=2031-12-31"


def words(answer) -> str:
    """The page's text with spaces as single blanks."""
    text = answer.content.decode().replace("\u202f", " ").replace("\u2009", " ")
    return " ".join(text.split())


def page(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.context["page"]


def queries(client, address) -> int:
    with CaptureQueriesContext(connection) as caught:
        assert client.get(address).status_code == 200
    return len(caught)
