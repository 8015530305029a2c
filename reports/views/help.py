"""Help: a page for each idea, and what the sums are checked against. No sign-in, no data."""

from django.http import Http404
from django.shortcuts import render
from django.utils.translation import gettext

from claims.cautions import WorkFacts, cautions
from claims.web.topics import GROUPS, TOPICS
from reports.help.checked import checked_groups
from reports.help.examples import examples
from reports.help.glossary import by_letter

ORDER = tuple(TOPICS)
# Facts under which every caution shows.
EVERYTHING = WorkFacts(
    has_engine=True,
    has_winch=True,
    deepest_mm=2_000,
    near_old_workings=True,
)


def help_index(request):
    return render(request, "reports/help_index.html", {"groups": GROUPS})


def help_page(request, topic: str):
    if topic not in TOPICS:
        raise Http404
    place = ORDER.index(topic)
    context = {
        "topic": TOPICS[topic],
        "examples": examples(topic),
        "before": TOPICS[ORDER[place - 1]] if place else None,
        "after": TOPICS[ORDER[place + 1]] if place + 1 < len(ORDER) else None,
    }
    if topic == "cautions":
        context["cautions"] = cautions(EVERYTHING)
    elif topic == "glossary":
        context["letters"] = by_letter()
    return render(request, f"reports/help/{topic}.html", context)


def checked(request):
    groups = checked_groups()
    context = {
        "groups": groups,
        "count": len({each.source for room in groups for each in room.checks}),
        "headers": (gettext("Source"), gettext("How it is known"), gettext("What rests on it")),
    }
    return render(request, "reports/help_checked.html", context)
