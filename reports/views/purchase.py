"""Would a box, a nearer site, a second person or a lighter car pay?"""

from django.shortcuts import render

from claims.access import reader_page
from claims.web import show
from claims.web.asof import as_of
from claims.web.forms import form_options
from reports.figures.ranking import pct
from reports.pages.purchase import purchase_page
from reports.pages.purchase_form import KINDS
from reports.selectors.facts import trip_facts
from trips.calc.money import minor_per_main


@reader_page
def purchase(request):
    day = as_of(request)
    form, page = purchase_page(
        request.party,
        trip_facts(request.party, day),
        request.GET,
        as_of=day,
        options=form_options(request),
    )
    context = {"form": form, "page": page, "kinds": KINDS.items()}
    if page.result is not None:
        scale = minor_per_main(page.currency)
        result = page.result
        context |= {
            "chance": pct(result.chance),
            "yearly": show.money(round(result.yearly * scale), page.currency),
            "gold_yearly": show.money(round(result.gold_yearly * scale), page.currency),
            "irr": None if result.irr is None else round(100 * result.irr),
        }
    return render(request, "reports/purchase.html", context)
