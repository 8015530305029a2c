"""What rests on a party's field records outside `trips`.

Whoever keeps rows worked out from them puts a function into a list at start. `facts_changed` runs
inside the transaction that changes a fact; `rebuilds` runs when everything is worked out anew.
"""

from collections.abc import Callable

from claims.models import Party

facts_changed: list[Callable[[int], None]] = []  # takes the party's id
rebuilds: list[Callable[[Party], None]] = []


def tell_facts_changed(party_id: int) -> None:
    """Run every registered function; call it inside the transaction."""
    for mark in facts_changed:
        mark(party_id)
