"""What rests on a party's field records outside `trips`.

Whoever keeps rows worked out from them puts a function into a list at start. `facts_changed` runs
inside the transaction that changes a fact; `rebuilds` runs when everything is worked out anew.
`onward` takes a stored plan and says what sends the party to each fallback.
`trip_page_parts` take the request and a trip's loaded page, and add a piece to it or None.
"""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from claims.models import Party


@dataclass(frozen=True)
class TripPart:
    """A piece of a trip's page: a template, and what it shows as `part`."""

    template: str
    shown: Any


facts_changed: list[Callable[[int], None]] = []  # takes the party's id
rebuilds: list[Callable[[Party], None]] = []
onward: list[Callable[[Any, dt.date], dict[int, str]]] = []  # trip, day → words by fallback's site
trip_page_parts: list[Callable[[Any, Any], TripPart | None]] = []


def tell_facts_changed(party_id: int) -> None:
    """Run every registered function; call it inside the transaction."""
    for mark in facts_changed:
        mark(party_id)


def parts_for(request, page) -> list[TripPart]:
    """Every part that has something to say about a trip."""
    return [part for make in trip_page_parts if (part := make(request, page)) is not None]


def onward_words(trip, day: dt.date) -> dict[int, str]:
    """What sends the party to each fallback of a stored plan, by the fallback's site."""
    return {site: words for say in onward for site, words in say(trip, day).items()}
