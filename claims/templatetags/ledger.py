"""Template tags that show stored integers in people's units. They never query."""

from django import template
from django.urls import reverse

from claims.models.fact import Versioned
from claims.web import show
from claims.web.forms import units_of
from claims.web.topics import TOPICS
from trips.calc import digits, words

register = template.Library()


def _units(context) -> dict[str, str]:
    user = getattr(context.get("request"), "user", None)
    if user is None or not user.is_authenticated:
        return {"mass": "g", "volume": "L", "distance": "km"}
    return units_of(user)


def _known(value):
    """Nought stays nought; what a template couldn't find comes as "" and is unknown."""
    return None if value == "" else value


@register.filter
def say(text):
    """A sentence that is kept in English, in the reader's language if it holds no figure."""
    return words.say(str(text))


@register.simple_tag(takes_context=True)
def mass(context, mass_ug, places=None):
    return show.quantity("mass", _known(mass_ug), _units(context)["mass"], places)


@register.simple_tag(takes_context=True)
def volume(context, volume_ml, places=None):
    return show.quantity("volume", _known(volume_ml), _units(context)["volume"], places)


@register.simple_tag(takes_context=True)
def distance(context, distance_m, places=None):
    return show.quantity("distance", _known(distance_m), _units(context)["distance"], places)


@register.filter
def money(minor, currency):
    return show.money(minor, currency)


@register.simple_tag
def money_range(low_minor, best_minor, high_minor, currency):
    """An amount (`best`) and its range (`low`, `high`) in no more digits than the range knows."""
    return digits.money_range(low_minor, best_minor, high_minor, currency)


@register.simple_tag
def number_range(low, best, high):
    """The same of a worked-out number."""
    return digits.number_range(low, best, high)


@register.filter
def minutes(value):
    return show.minutes(value)


@register.filter
def day(value):
    return show.day(value)


@register.simple_tag
def colours(record):
    return show.counts(record.coarse, record.medium, record.fine)


@register.simple_tag
def clock_span(began, ended, zone_name):
    return show.clock_span(began, ended, zone_name)


@register.simple_tag(takes_context=True)
def may_write(context):
    membership = getattr(context.get("request"), "membership", None)
    return membership is not None and membership.role in ("hand", "keeper")


@register.simple_tag(takes_context=True)
def is_keeper(context):
    membership = getattr(context.get("request"), "membership", None)
    return membership is not None and membership.role == "keeper"


@register.inclusion_tag("_changes.html")
def changes_of(row):
    """A link to who changed a stored fact, and when; nothing for anything else."""
    kept = isinstance(row, Versioned) and row.pk
    return {"url": reverse("claims:changes", args=[row._meta.model_name, row.pk]) if kept else ""}


@register.inclusion_tag("_how.html")
def how(key, place=""):
    """A small link to the page of help about an idea; `place` is an anchor on it."""
    url = reverse("reports:help_page", args=[key])
    return {"topic": TOPICS[key], "url": f"{url}#{place}" if place else url}


@register.inclusion_tag("_worked_out.html")
def worked_out(bases, of=""):
    """A fold that says how figures were computed; nothing without any. `of` tells folds apart."""
    return {"bases": [(each, TOPICS[each.topic]) for each in bases], "of": of}
