"""Every page of the site, found by itself: what the walks in the browser look at.

Every address that answers a keeper with a page is looked at, with the demo's own objects in it;
where the demo has none of a kind, with one that is made for the purpose.
"""

from pathlib import Path
from unittest.mock import patch

from django.conf import settings
from django.template.base import Template
from django.test import Client
from django.urls import reverse

from claims.models import User
from tests.isolation.test_url_map import ADDRESSES, FILLERS, kind_of, one_of_each, read_whole
from trips.demo.load import load
from trips.models import Trip

AS_OF = "?as_of=2031-10-12"
# Kinds of which an early object shows little: the one that holds everything is looked at.
BEST = {"trip": {"state": "wrapped_up", "runs__isnull": False}}
TRIED = 6


def is_page(client, address: str) -> bool:
    """Whether an address gives a page, and not a file, a move elsewhere or a refusal.

    Nothing is drawn for this answer: the browser asks for the page itself, several times.
    """
    with patch.object(Template, "render", lambda *_: ""):
        answer = client.get(address + AS_OF)
    read_whole(answer)
    return answer.status_code == 200 and answer.get("Content-Type", "").startswith("text/html")


def pages_of(user, rows, *, only: set[str] | None = None) -> dict[str, str]:
    """Address by name of every page that `user` can open."""
    client = Client()
    client.force_login(user)
    found = {}
    for name, pattern in ADDRESSES.items():
        if only is not None and name not in only:
            continue
        for values in _values(name, pattern, rows):
            address = reverse(name, kwargs=values)
            if is_page(client, address):
                found[name] = address
                break
    return found


def _values(name, pattern, rows):
    keys = pattern.pattern.converters
    fixed = {key: FILLERS[key] for key in keys if key != "pk"}
    if "pk" not in keys:
        return [fixed]
    kind = kind_of(name)
    objects = type(rows[kind])._base_manager.order_by("pk")
    best = [row.pk for row in objects.filter(**BEST.get(kind, {}))[:TRIED]]
    return [{**fixed, "pk": pk} for pk in dict.fromkeys([*best[::-1], rows[kind].pk])]


def everything() -> tuple[User, list[str], User, list[str]]:
    """The demo's keeper with their pages, and somebody with one of each thing that it lacks."""
    load(Path(settings.BASE_DIR) / "fixtures_demo")
    user = User.objects.get(username="robin")
    rows = one_of_each("Filler")
    pages = pages_of(user, rows)
    other = rows["member"].user
    missing = {name for name in ADDRESSES if name not in pages}
    made = pages_of(other, rows, only=missing)
    assert len(pages) > 60
    addresses = sorted(set(pages.values()))
    # A plan and a trip under way look different from one that is over.
    addresses += [
        reverse("trips:trip_detail", args=[Trip.objects.filter(state=state).first().pk])
        for state in ("planned", "under_way", "called_off")
    ]
    return user, addresses, other, sorted(made.values())
