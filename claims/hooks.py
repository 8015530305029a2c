"""What other parts of the site do when a party's defaults, fees or ways to a site change.

`claims` knows nothing of what rests on its facts. Whoever keeps rows worked out from them puts a
function into the list at start; it runs inside the transaction that changes the fact. In the
same way others say on which page of theirs a file is shown.
"""

from collections.abc import Callable

from django.urls import reverse

from claims.models import KeptFile, Party

party_changed: list[Callable[[Party], None]] = []


def tell_party_changed(party: Party) -> None:
    """Run every registered function; call it inside the transaction."""
    for rebuild in party_changed:
        rebuild(party)


# Each gives the address of the page that shows a file, or "" if it isn't one of theirs.
file_pages: list[Callable[[KeptFile], str]] = []


def address_of_file(file: KeptFile) -> str:
    """The page of what a file belongs to."""
    for name in ("paper", "hole", "spot"):
        if (pk := getattr(file, f"{name}_id")) is not None:
            return reverse(f"claims:{name}_detail", args=[pk])
    return next((found for page in file_pages if (found := page(file))), "/")
