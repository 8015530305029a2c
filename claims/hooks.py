"""What other parts of the site do when a party's defaults, fees or ways to a site change.

`claims` knows nothing of what rests on its facts. Whoever keeps rows worked out from them puts a
function into the list at start; it runs inside the transaction that changes the fact.
"""

from collections.abc import Callable

from claims.models import Party

party_changed: list[Callable[[Party], None]] = []


def tell_party_changed(party: Party) -> None:
    """Run every registered function; call it inside the transaction."""
    for rebuild in party_changed:
        rebuild(party)
