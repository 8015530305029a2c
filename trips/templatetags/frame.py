"""Tags behind the page frame: navigation, form layout, plain tables. No queries, no sums."""

import re
from dataclasses import dataclass

from django import template
from django.forms import BaseForm, DateField
from django.forms.boundfield import BoundField
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext, gettext_lazy

from claims.web import show
from claims.web.undoing import undo_key

register = template.Library()

MAIN = (
    ("reports:where_next", gettext_lazy("Where next")),
    ("trips:trip_list", gettext_lazy("Trips")),
    ("claims:site_list", gettext_lazy("Sites")),
    ("claims:paper_list", gettext_lazy("Papers")),
    ("trips:weighin_list", gettext_lazy("Gold")),
    ("reports:does_it_pay", gettext_lazy("Does it pay")),
)
MORE = (
    ("trips:search", gettext_lazy("Search")),
    ("reports:compare", gettext_lazy("Is A better than B")),
    ("trips:kit_list", gettext_lazy("Gear and cars")),
    ("trips:price_list", gettext_lazy("Prices")),
    ("trips:field_page", gettext_lazy("Field page")),
    ("trips:field_import", gettext_lazy("From the field")),
    ("trips:flood_overview", gettext_lazy("Floods")),
    ("trips:import_start", gettext_lazy("Import")),
    ("reports:export_list", gettext_lazy("Exports")),
    ("claims:hole_list", gettext_lazy("Holes")),
    ("claims:rule_list", gettext_lazy("Rules")),
    ("claims:deleted_list", gettext_lazy("Recently deleted")),
    ("claims:job_list", gettext_lazy("Work in the background")),
    ("claims:party_detail", gettext_lazy("Party")),
    ("reports:help_index", gettext_lazy("Help")),
)


@dataclass(frozen=True)
class Link:
    """One entry of the bar; `current` is "page", "true" (a page below it) or ""."""

    label: str
    url: str
    current: str


def _links(entries: tuple[tuple[str, str], ...], path: str, best: str) -> tuple[Link, ...]:
    links = []
    for name, label in entries:
        url = _address(name)
        if url:
            links.append(Link(label, url, _current(url, path, best)))
    return tuple(links)


def _address(name: str) -> str:
    # A page that isn't installed drops out of the bar instead of breaking every other page;
    # a test holds that all of them are there.
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def _current(url: str, path: str, best: str) -> str:
    if url == path:
        return "page"
    return "true" if url == best else ""


def _best(path: str) -> str:
    """The longest address in the bar that `path` lies under."""
    addresses = [_address(name) for name, _ in (*MAIN, *MORE)]
    under = [url for url in addresses if url not in ("", "/") and path.startswith(url)]
    return max(under, key=len, default="")


@register.inclusion_tag("_nav.html", takes_context=True)
def site_nav(context):
    """The bar's links, for a signed-in person with a party; else only the name of the site."""
    request = context.get("request")
    user = getattr(request, "user", None)
    party = getattr(request, "party", None)
    path = getattr(request, "path", "")
    best = _best(path)
    memberships = getattr(request, "memberships", ())
    shown = party is not None
    return {
        "party": party,
        "person": user if user is not None and user.is_authenticated else None,
        "main_links": _links(MAIN, path, best) if shown else (),
        "more_links": _links(MORE, path, best) if shown else (),
        "others": [m.party for m in memberships if party is not None and m.party_id != party.pk],
        "csrf_token": context.get("csrf_token"),
        "path": path,
    }


@dataclass(frozen=True)
class Cell:
    """A field in a row; `unit_of` marks the unit or currency that belongs to the field before."""

    field: BoundField
    unit_of: bool


@dataclass(frozen=True)
class Group:
    """Fields under one legend; a form without a layout is one group without a legend."""

    legend: str
    hint: str
    rows: tuple[tuple[Cell, ...], ...]


@register.simple_tag
def form_groups(form: BaseForm) -> tuple[Group, ...]:
    """The form's visible fields in groups and rows.

    A form may name its groups: `layout = (("Legend", ("day", ("gross", "gross_unit"))), …)`, with
    an optional third item, the hint under the legend. Fields named in no group come last, so that
    nothing gets lost. Without being told, `x_unit` and `x_currency` stand beside `x`.
    """
    left = {field.name: field for field in form.visible_fields()}
    groups = []
    for legend, names, *hint in getattr(form, "layout", ()):
        rows = _rows(names, left)
        if rows:
            groups.append(Group(legend, hint[0] if hint else "", rows))
    if left:
        groups.append(Group("", "", _rows(tuple(left), left)))
    return tuple(groups)


def _rows(names, left: dict[str, BoundField]) -> tuple[tuple[Cell, ...], ...]:
    rows = []
    for entry in names:
        wanted = (entry,) if isinstance(entry, str) else tuple(entry)
        if len(wanted) == 1:
            wanted += tuple(f"{entry}{tail}" for tail in ("_unit", "_currency"))
        cells = [
            Cell(left.pop(name), name != wanted[0] and name.endswith(("_unit", "_currency")))
            for name in wanted
            if name in left
        ]
        if cells:
            rows.append(tuple(cells))
    return tuple(rows)


@register.simple_tag
def chosen_words(form: BaseForm) -> str:
    """What a bar of filters is set to, for the line that stands for it on the phone."""
    return " · ".join(filter(None, map(_chosen, form.visible_fields())))


UNCLEAR_ALONE = ("price",)  # "each trip's day" of what?


def _chosen(field: BoundField) -> str:
    value = field.value()
    if value in (None, ""):
        return ""
    if hasattr(field.field, "queryset"):  # its choices would be a query more
        return str(getattr(field.form, "cleaned_data", {}).get(field.name) or "")
    choices = dict(getattr(field.field, "choices", ()))
    if choices:
        words = str(choices.get(value) or choices.get(str(value), ""))
        return f"{field.label}: {words}" if field.name in UNCLEAR_ALONE else words
    if isinstance(field.field, DateField):
        words = show.day_typed(field.field, value)
        days = [each for each in field.form.fields.values() if isinstance(each, DateField)]
        return words if len(days) == 1 else f"{field.label}: {words}"
    return f"{field.label}: {value}"


@register.inclusion_tag("_on_page.html")
def on_page(*keys_and_titles: str):
    """Links to the parts of a long page: `{% on_page "key" _("Title") … %}`."""
    pairs = zip(keys_and_titles[::2], keys_and_titles[1::2], strict=True)
    return {"links": [{"key": key, "title": title} for key, title in pairs]}


@register.simple_tag
def undo_of(message):
    """The key of the deletion that a message tells of, for its button; else None."""
    return undo_key(message)


@register.simple_tag
def form_errors(form: BaseForm) -> tuple[tuple[str, str, str], ...]:
    """(id of the field or "", its label, message) of everything wrong, in the form's order."""
    found = [("", "", str(message)) for message in form.non_field_errors()]
    for field in form:
        for message in field.errors:
            if field.is_hidden:
                found.append(("", str(field.label), str(message)))
            else:
                place = field.id_for_label or field.auto_id
                # A message that opens with the field's name needn't be told it twice.
                named = str(message).casefold().startswith(str(field.label).casefold())
                found.append((place, "" if named else str(field.label), str(message)))
    return tuple(found)


@dataclass(frozen=True)
class Entry:
    """One cell of a plain table with the words over its column."""

    label: str
    value: object
    number: bool


@dataclass(frozen=True)
class PlainTable:
    heads: tuple[Entry, ...]
    rows: tuple[tuple[Entry, ...], ...]


NUMBER = re.compile(r"^[-−+–±<>≥≤≈~]?\s*[^\w\s]?\s*\d")
# Days start with a digit too, but nobody compares their digits from the right.
DAY = re.compile(r"^(\d{4}-\d\d?-\d\d?|\d{1,2}\.? [^\W\d]{3,}\.? \d{4})")
DASHES = {"", "-", "–", "—"}


@register.simple_tag
def plain_table(headers, rows) -> PlainTable:
    """Headers and rows with every cell labelled; a column of numbers is set to the right.

    The first column names its row and stays on the left.
    """
    rows = [tuple(row) for row in rows]
    numeric = [i > 0 and _is_numeric([row[i] for row in rows]) for i in range(len(headers))]
    return PlainTable(
        heads=tuple(Entry(str(h), h, n) for h, n in zip(headers, numeric, strict=True)),
        rows=tuple(
            tuple(Entry(str(h), c, n) for h, c, n in zip(headers, row, numeric, strict=True))
            for row in rows
        ),
    )


def _is_numeric(cells: list[object]) -> bool:
    gaps = {*DASHES, gettext("unknown"), gettext("not counted")}
    told = [str(cell).strip() for cell in cells if str(cell).strip().lower() not in gaps]
    return bool(told) and all(NUMBER.match(cell) and not DAY.match(cell) for cell in told)
