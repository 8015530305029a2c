"""The demo in a language that nobody speaks: what stands there in English was never marked."""

import html
import io
import re
import tomllib
from pathlib import Path

import pypdf
import pytest
from django.apps import apps
from django.conf import settings as live_settings
from django.urls import reverse

from claims.models import Paper, Site, User
from claims.web.topics import TOPICS
from tests.arch.test_translated import Texts
from tests.once import taken_back
from trips.demo.load import load
from trips.models import Trip, WeighIn
from trips.project import catalogues, pseudo, texts

pytestmark = pytest.mark.django_db
ROOT = Path(live_settings.BASE_DIR)
AS_OF = "?as_of=2031-10-12"
# Units, formats, currencies, and months and days, which come with the region.
NAMES = {
    "Apr", "April", "Aug", "August", "CSV", "Dec", "December", "EUR", "Feb", "February", "Fr",
    "Friday", "GPX", "GeoJSON", "Gravel", "JSON", "Jan", "January", "Jul", "July", "Jun",
    "June", "Ledger", "MB", "Mar", "March", "May", "Mo", "Monday", "Nov", "November", "Oct",
    "October", "PDF", "Sa", "Saturday", "Sep", "September", "Su", "Sunday", "TOML", "Th",
    "Thursday", "Tu", "Tuesday", "UTC", "We", "Wednesday", "XLSX", "XML", "cm", "dwt", "ft",
    "hp", "kg", "km", "lorem", "mg", "min", "ml", "mm", "oz", "ozt",
}  # fmt: skip
# Kept as text with a trip or a weigh-in, so in English.
QUOTED = "glossary"  # names of sources as they are
KEPT = re.compile(
    r"Wear of |Share of the fee of |Nothing has been weighed\.|No hours are noted\."
    r"|(coarse, )?(medium, )?fine not counted: estimated from litres"
    # An invented rule pack, quoted as any pack is.
    r"|The bars are closed from 1 March to 15 June\.|No engine at the creek\."
)
PAGES = [
    "/",
    "/scouting/",
    "/season-plan/",
    "/pay/",
    "/pay/sites/",
    "/pay/ladder/",
    "/pay/purchase/",
    "/compare/",
    "/trips/",
    "/sites/",
    "/papers/",
    "/duties/",
    "/calendar/",
    "/holes/",
    "/party/",
    "/gold/",
    "/gold/ledger/",
    "/gold/eye/",
    "/prices/",
    "/kit/",
    "/floods/",
    "/map/",
    "/from-the-field/",
    "/deleted/",
]


def strings(value):
    if isinstance(value, str):
        yield from (" ".join(part.split()) for part in [value, *value.splitlines()])
    elif isinstance(value, dict):
        for key, each in value.items():
            yield key
            yield from strings(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from strings(each)


def typed():
    """Every text that somebody typed or that stands in a rule pack."""
    for model in [
        *apps.get_app_config("claims").get_models(),
        *apps.get_app_config("trips").get_models(),
    ]:
        if model.__name__.startswith(("Historical", "Derived")):
            continue
        names = [
            field.attname
            for field in model._meta.concrete_fields
            if field.get_internal_type() in ("CharField", "TextField", "JSONField")
            and not field.choices
        ]
        for row in model.objects.values_list(*names) if names else ():
            yield from strings(row)
    for path in [
        *ROOT.glob("claims/rules/packs/*.toml"),
        *(ROOT / "fixtures_demo").rglob("*.toml"),
    ]:
        yield from strings(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory):
    folder = tmp_path_factory.mktemp("catalogues")
    texts.write_changed(folder, pseudo.LONGER, texts.template_catalogue(ROOT), pseudo.longer)
    return folder


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    with taken_back(django_db_blocker):
        load(ROOT / "fixtures_demo")
        yield


@pytest.fixture
def reader(client, catalogue, settings, demo):
    """The demo's keeper, who reads a language that nobody speaks."""
    settings.LOCALE_PATHS = [catalogue]
    settings.LANGUAGES = catalogues.offered([catalogue])
    User.objects.filter(username="robin").update(language="en-xa")
    client.force_login(User.objects.get(username="robin"))
    return client


def left(text, data):
    """The words of a text that are neither typed, nor kept, nor a name, nor translated."""
    whole = " ".join(html.unescape(text).split())
    # What is cut for a narrow chart can't be told from a word of ours.
    rest = "" if whole.endswith("…") else data.sub(" ", KEPT.sub(" ", whole))
    return set(re.findall(r"[A-Za-z]{2,}", rest)) - NAMES


def test_no_page_of_the_demo_holds_a_text_that_was_never_marked(reader):
    trips = [Trip.objects.filter(state=state).first() for state in ("planned", "under_way")]
    trips.append(Trip.objects.filter(state="wrapped_up").order_by("-ends_on").first())
    addresses = [
        *PAGES,
        reverse("reports:export_list"),
        *(reverse("reports:help_page", args=[key]) for key in TOPICS if key != QUOTED),
        *(reverse("trips:trip_detail", args=[trip.pk]) for trip in trips),
        reverse("reports:trip_sheet_page", args=[trips[0].pk]),
        reverse("reports:creek_page", args=[trips[1].pk]),
        reverse("reports:site_page", args=[Site.objects.first().pk]),
        reverse("claims:paper_detail", args=[Paper.objects.first().pk]),
        reverse("reports:renewal_record", args=[Paper.objects.first().pk]),
        reverse("trips:weighin_detail", args=[WeighIn.objects.first().pk]),
    ]
    known = sorted({each for each in typed() if len(each) > 2}, key=len, reverse=True)
    data = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, known))})(?!\w)")
    found = {}
    for address in addresses:
        answer = reader.get(address + AS_OF)
        assert answer.status_code == 200, address
        page = Texts()
        page.feed(answer.content.decode())
        found |= {text.strip(): address for text in page.found if left(text, data)}
    assert found == {}


def test_no_pdf_of_the_demo_holds_a_text_that_was_never_marked(reader):
    trip, paper = Trip.objects.filter(state="planned").first(), Paper.objects.first()
    addresses = [
        reverse("reports:trip_sheet", args=[trip.pk]),
        reverse("reports:field_card", args=[trip.pk]),
        reverse("reports:blank_card"),
        reverse("reports:renewal_record_file", args=[paper.pk, "pdf"]),
        reverse("reports:site_returns_file", args=["pdf"]),
        reverse("reports:pay_ladder_file", args=["pdf"]),
        reverse("reports:gold_ledger_file", args=["pdf"]),
    ]
    # Lines and cells break a name anywhere, so words are compared, not names.
    words = {word for each in typed() for word in re.findall(r"[A-Za-z]{2,}", each)}
    found = {}
    for address in addresses:
        answer = reader.get(address + AS_OF)
        assert answer.status_code == 200, address
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        said = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
        assert pseudo.OPEN in said
        rest = set(re.findall(r"(?<!\w)[A-Za-z]{2,}(?!\w)", said)) - words - NAMES
        found |= {word: address for word in rest if word not in "lorem"}
    assert found == {}
