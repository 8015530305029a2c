"""Search the party's record."""

from django.shortcuts import render

from claims.access import reader_page
from trips.selectors.search import KINDS, LONGEST, search, search_page, words_of


@reader_page
def search_record(request):
    """All kinds, the first few of each; with `in` all of one kind, a page at a time."""
    asked = request.GET.get("q", "")[:LONGEST].strip()
    words, key = words_of(asked), request.GET.get("in", "")
    context = {"asked": asked, "words": words}
    if words and key in KINDS:
        title, page, hits = search_page(request.party, words, key, request.GET.get("page"))
        context |= {"title": title, "page": page, "hits": hits, "key": key}
    elif words:
        context["groups"] = search(request.party, words)
    return render(request, "trips/search.html", context)
