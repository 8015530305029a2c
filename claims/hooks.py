"""What other parts of the site do when a party's defaults, fees or ways to a site change.

`claims` knows nothing of what rests on its facts. Whoever keeps rows worked out from them puts a
function into the list at start; it runs inside the transaction that changes the fact. In the
same way others say on which page of theirs a file is shown, and what work the record shows.
"""

import datetime as dt
from collections.abc import Callable, Sequence

from django.urls import reverse

from claims.models import Hole, KeptFile, Party
from claims.rules.work import WorkAsked, WorkFound

party_changed: list[Callable[[Party], None]] = []


def tell_party_changed(party: Party) -> None:
    """Run every registered function; call it inside the transaction."""
    for rebuild in party_changed:
        rebuild(party)


# Each says in sentences what doesn't hold together in a party's record.
troubles: list[Callable[[Party], set[str]]] = []


def find_troubles(party: Party) -> set[str]:
    """What every registered function finds; call it inside the transaction of a change."""
    return {words for look in troubles for words in look(party)}


# Each gives the address of the page that shows a file, or "" if it isn't one of theirs.
file_pages: list[Callable[[KeptFile], str]] = []


def address_of_file(file: KeptFile) -> str:
    """The page of what a file belongs to."""
    for name in ("paper", "hole", "spot"):
        if (pk := getattr(file, f"{name}_id")) is not None:
            return reverse(f"claims:{name}_detail", args=[pk])
    if file.mark_id is not None:
        return reverse("claims:paper_detail", args=[file.mark.condition.paper_id])
    if file.done_id is not None:
        return reverse("claims:duty_detail", args=[file.done.duty_id])
    return next((found for page in file_pages if (found := page(file))), "/")


# Put in at start by whoever keeps the work; without it, work to be shown is unknown.
work_found: list[Callable[[Party, Sequence[WorkAsked], dt.date], dict[int, WorkFound]]] = []
# Given open holes, the last day of the visit on which each was dug, by the hole's id.
visits_of_holes: list[Callable[[Party, Sequence[Hole]], dict[int, dt.date]]] = []


def find_work(party: Party, asked: Sequence[WorkAsked], day: dt.date) -> dict[int, WorkFound]:
    """What the record shows of the work asked for, told on a day, by key."""
    found: dict[int, WorkFound] = {}
    for look in work_found if asked else ():
        found |= look(party, asked, day)
    return found


def visit_ends(party: Party, holes: Sequence[Hole]) -> dict[int, dt.date]:
    """The last day of the visit on which each hole was dug, where a trip is known."""
    found: dict[int, dt.date] = {}
    for look in visits_of_holes if holes else ():
        found |= look(party, holes)
    return found
