"""Gold prices: the list, one by hand, and many from a table of text."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.template.defaultfilters import pluralize
from django.utils.translation import gettext, gettext_lazy

from claims.access import keeper_page, may, reader_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.export import TYPES, export_response
from claims.web.forms import form_options
from claims.web.tables import show_table
from claims.web.undoing import tell_deleted
from trips.access import own_price
from trips.calc.gold import price_on
from trips.calc.price_csv import (
    ImportPlan,
    PriceLines,
    Sheet,
    plan_import,
    read_prices,
)
from trips.forms.prices import PriceColumnsForm, PriceForm, PriceTextForm, signature
from trips.models import Price
from trips.selectors.gold import prices, stored_prices
from trips.selectors.prices import price_points
from trips.services.prices import import_prices, save_price
from trips.tables.gold import PriceTable, price_words
from trips.views.weighin_page import price_basis

SHOWN_LINES = 100


@dataclass(frozen=True)
class PriceListPage:
    """`current` says in words which price values rest on today, or why none does."""

    table: PriceTable | None
    current: str
    currency: str


@dataclass(frozen=True)
class Preview:
    """What saving would do, cut to what a page can show; the counts are of everything."""

    read: PriceLines
    plan: ImportPlan
    first: tuple[tuple[str, str, str], ...]
    differing: tuple[tuple[str, str, str, str], ...]
    refused: tuple[tuple[str, str, str], ...]
    rounded: int
    more_refused: int
    more_differing: int
    other_currency: str
    first_headers = (gettext_lazy("Day"), gettext_lazy("Price"), gettext_lazy("Line"))
    differing_headers = (
        gettext_lazy("Day"),
        gettext_lazy("Stored"),
        gettext_lazy("In the text"),
        gettext_lazy("Line"),
    )
    refused_headers = (gettext_lazy("Line"), gettext_lazy("Column"), gettext_lazy("Why"))


@reader_page
def price_list(request):
    party = request.party
    rows = prices(party)
    if (fmt := request.GET.get("export")) in TYPES:
        headers = ("day", "amount", "currency", "per_unit", "source")
        cells = (
            (
                row.day,
                Decimal(row.amount_micros) / 1_000_000,
                row.currency,
                row.per_unit,
                row.source,
            )
            for row in rows
        )
        return export_response("prices", fmt, headers, cells)
    points = price_points(party)
    current = price_on(points, as_of(request), party.currency)
    hidden = () if may(request, "keeper") else ("change",)
    page = PriceListPage(
        table=show_table(request, PriceTable(rows, exclude=hidden)) if points else None,
        current=gettext("Gold is valued {current}.").format(current=price_basis(current))
        if hasattr(current, "amount")
        else gettext("Value unknown: {reason}").format(reason=current.reason),
        currency=party.currency,
    )
    return render(request, "trips/price_list.html", {"page": page})


@keeper_page
def price_create(request):
    price = Price(party=request.party, currency=request.party.currency, day=as_of(request))
    return _price_form(request, price, gettext("Add a price"))


@keeper_page
def price_edit(request, pk):
    price = own_price(request, pk)
    return _price_form(
        request, price, gettext("Change the price of {day}").format(day=show.day(price.day))
    )


def _price_form(request, price, heading):
    form = PriceForm(
        request.POST or None, instance=price, today=as_of(request), **form_options(request)
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_price(price=form.instance)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(
                request, gettext("The price of {day} is saved.").format(day=show.day(saved.day))
            )
            return redirect("trips:price_list")
    context = {"form": form, "heading": heading, "price": price}
    return render(request, "trips/price_form.html", context)


@keeper_page
def price_delete(request, pk):
    price = own_price(request, pk)
    words = gettext("{amount_micros} {currency} of {day}").format(
        amount_micros=price_words(price.amount_micros),
        currency=price.currency,
        day=show.day(price.day),
    )
    if request.method == "POST":
        price.delete()
        tell_deleted(request, gettext("The price of {words} is deleted.").format(words=words))
        return redirect("trips:price_list")
    return render(request, "trips/price_delete.html", {"price": price, "words": words})


@keeper_page
def price_import(request):
    """Two steps at one address: bring the text, then say what its columns are and save."""
    step = request.POST.get("step") if request.method == "POST" else None
    if step is None:
        return _ask_for_text(request, PriceTextForm())
    if step == "read":
        form = PriceTextForm(request.POST, request.FILES)
        if not form.is_valid():
            return _ask_for_text(request, form)
        return _show_guess(request, form.sheet, form.cleaned_data)
    # Whatever came back is read anew, as if it had just been pasted.
    text_form = PriceTextForm({"text": request.POST.get("text", "")})
    if not text_form.is_valid():
        return _ask_for_text(request, text_form)
    sheet = text_form.sheet
    form = PriceColumnsForm(request.POST, sheet=sheet)
    if not form.is_valid():
        return _show_columns(request, form, None)
    choices = form.cleaned_data
    read = _read(request, sheet, choices)
    changed = choices["seen"] != signature(choices)
    if step == "save" and not changed:
        return _save(request, choices, read)
    if step == "save":
        messages.info(request, gettext("The choices changed: look at what they give, then save."))
    return _show_columns(request, form, _preview(request, choices, read))


def _ask_for_text(request, form):
    return render(request, "trips/price_import.html", {"form": form})


def _show_guess(request, sheet: Sheet, given: dict):
    """The second step for the first time: what the headers suggest, shown at once if complete."""
    guess = sheet.guess
    choices = {
        "date_column": guess.date_column,
        "price_column": guess.price_column,
        "currency": guess.currency,
        "per_unit": guess.per_unit,
        "decimal_mark": guess.decimal_mark,
        "month_day": "last",
    }
    preview = None
    if None not in choices.values():
        preview = _preview(request, choices, _read(request, sheet, choices))
    initial = choices | {
        "text": given["text"],
        "source": given["file"].name[:160] if given["file"] else "",
        "seen": signature(choices) if preview else "",
    }
    form = PriceColumnsForm(initial=initial, sheet=sheet)
    return render(request, "trips/price_columns.html", {"form": form, "preview": preview})


def _show_columns(request, form: PriceColumnsForm, preview: Preview | None):
    form.data = form.data.copy()
    form.data["seen"] = signature(form.cleaned_data) if preview else ""
    return render(request, "trips/price_columns.html", {"form": form, "preview": preview})


def _read(request, sheet: Sheet, data: dict) -> PriceLines:
    return read_prices(
        sheet,
        date_column=data["date_column"],
        price_column=data["price_column"],
        decimal_mark=data["decimal_mark"],
        month_day=data["month_day"],
        latest=as_of(request) + dt.timedelta(days=1),
    )


def _preview(request, data: dict, read: PriceLines) -> Preview:
    currency = data["currency"]
    plan = plan_import(read.good, data["per_unit"], stored_prices(request.party, currency))
    units = dict(Price.PerUnit.choices)
    return Preview(
        read=read,
        plan=plan,
        first=tuple(
            (show.day(line.day), price_words(line.amount_micros), str(line.line))
            for line in (*read.good[:3], *read.good[3:][-2:])
        ),
        differing=tuple(
            (
                show.day(each.line.day),
                gettext("{stored_micros} per {units}").format(
                    stored_micros=price_words(each.stored_micros), units=units[each.stored_unit]
                ),
                gettext("{amount_micros} per {units}").format(
                    amount_micros=price_words(each.line.amount_micros),
                    units=units[data["per_unit"]],
                ),
                str(each.line.line),
            )
            for each in plan.differing[:SHOWN_LINES]
        ),
        refused=tuple(
            (str(each.line), each.column or gettext("the line"), each.reason)
            for each in read.refused[:SHOWN_LINES]
        ),
        rounded=sum(line.is_rounded for line in read.good),
        more_refused=max(0, len(read.refused) - SHOWN_LINES),
        more_differing=max(0, len(plan.differing) - SHOWN_LINES),
        other_currency=request.party.currency if currency != request.party.currency else "",
    )


def _save(request, data: dict, read: PriceLines):
    done = import_prices(
        party=request.party,
        currency=data["currency"],
        per_unit=data["per_unit"],
        source=data["source"],
        lines=read.good,
        replace=data["replace"],
    )
    parts = [
        gettext("{added} new").format(added=done.added),
        gettext("{same} there already").format(same=done.same),
    ]
    if done.replaced:
        parts.append(gettext("{replaced} replaced").format(replaced=done.replaced))
    if done.left:
        parts.append(gettext("{left} differing and left as they were").format(left=done.left))
    if read.refused:
        parts.append(
            gettext("{refused} line{pluralize} refused").format(
                refused=len(read.refused), pluralize=pluralize(len(read.refused))
            )
        )
    messages.success(
        request,
        gettext("Prices in {data}: {parts}.").format(data=data["currency"], parts=", ".join(parts)),
    )
    return redirect("trips:price_list")
