"""One search over the record: parts of words, any case, no accents, one party's rows only."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from claims.models import Hole, Paper, Site, Spot
from claims.web.folded import Folded, fold
from tests import factories as make
from trips.models import FieldNote, Trip
from trips.selectors.search import search, snippet, words_of

SEARCH = reverse("trips:search")


@given(st.text())
def test_folding_twice_is_folding_once(text):
    assert fold(fold(text)) == fold(text)


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Mühlbach", "muhlbach"),
        ("MÜHLBACH", "muhlbach"),
        ("Muehlbach", "muehlbach"),
        ("Straße", "strasse"),
        ("Ålesund Ø", "alesund o"),
        ("Łódź", "lodz"),
        ("Þórsmörk", "thorsmork"),
        ("Ἀθῆναι", "αθηναι"),
        ("ﬁne", "fine"),
    ],
)
@pytest.mark.django_db
def test_python_and_the_database_fold_alike(text, plain):
    site = make.make_site(make.make_party(), name=text)
    assert fold(text) == plain
    assert Site.objects.annotate(plain=Folded("name")).get(pk=site.pk).plain == plain


@pytest.fixture
def party(db):
    return make.make_party(name="Ours")


@pytest.fixture
def full(party):
    """A word of its own kind in every kind of row, and the same in another party's."""
    for owner in (party, make.make_party(name="Theirs")):
        site = make.make_site(party=owner, name="Mühlbach ford", hazards="Old shaft by the Weir")
        trip = make.make_trip(party=owner, site=site, story="The weir was under water.")
        spot = make.make_spot(site=site, name="Below the weir")
        make.make_hole(site, notes="By the weir, roots")
        make.make_paper(owner, conditions="Keep 20 m from the WEIR.")
        make.make_pan(trip=trip, spot=spot, note="next to the weir")
        make.make_gear(owner, name="Weir net")
        FieldNote.objects.create(party=owner, trip=trip, day=trip.starts_on, text="Weír open")
    return party


def found(party, text):
    return {group.key: group.hits for group in search(party, words_of(text))}


def test_every_kind_is_found_and_only_once(full):
    hits = found(full, "wEir")
    assert {key: len(rows) for key, rows in hits.items()} == {
        "sites": 1, "spots": 1, "trips": 1, "papers": 1, "notes": 2, "holes": 1, "kit": 1,
    }  # fmt: skip
    assert "Old shaft by the Weir" in hits["sites"][0].around
    assert all("eir" in hit.around.lower() or "í" in hit.around for hit in hits["notes"])


@pytest.mark.parametrize("text", ["muhl", "MÜHLB", "hlbach for", "mühlbach"])
def test_parts_of_words_in_any_case_without_accents(full, text):
    assert len(found(full, text)["sites"]) == 1


def test_all_words_must_stand_in_one_row(full):
    assert set(found(full, "roots weir")) == {"holes"}
    assert found(full, "roots shaft") == {}


def test_a_trip_is_found_by_its_site_and_by_its_day(full):
    trip = Trip.objects.get(party=full)
    day = trip.starts_on
    for text in ("muhlbach", f"{day:%Y-%m}", f"{day.day} {day:%B} {day:%Y}", "muhlbach water"):
        assert [hit.url for hit in found(full, text)["trips"]] == [
            reverse("trips:trip_detail", args=[trip.pk])
        ], text


@pytest.mark.parametrize("text", ["100%", "_", "\\", "'; --", "%", "zq\x00qz", "🏞", "x" * 500])
def test_signs_of_patterns_are_only_letters(full, text):
    assert found(full, text) == {}


def test_the_page_groups_and_says_where(client, full):
    make.signed_in(client, full, "reader")
    html = client.get(SEARCH, {"q": "weir"}).content.decode()
    for title in ("Sites", "Spots", "Trips", "Papers", "Notes of trips", "Holes", "Cars and gear"):
        assert f">{title}</h2>" in html
    assert "Nothing in this record" in client.get(SEARCH, {"q": "dragline"}).content.decode()
    assert client.get(SEARCH).status_code == client.get(SEARCH, {"q": "   "}).status_code == 200


def test_every_page_has_the_box(client, full):
    make.signed_in(client, full)
    for name in ("trips:trip_list", "claims:paper_list", "reports:where_next"):
        assert f'action="{SEARCH}"' in client.get(reverse(name)).content.decode()


def test_each_hit_leads_to_a_page(client, full):
    make.signed_in(client, full)
    for hits in found(full, "weir").values():
        for hit in hits:
            assert client.get(hit.url).status_code == 200, hit


def test_a_long_list_is_cut_and_has_pages(client, party):
    sites = [Site(party=party, name=f"Alder {number:02}") for number in range(30)]
    Site.objects.bulk_create(sites)
    make.signed_in(client, party)
    html = client.get(SEARCH, {"q": "alder"}).content.decode()
    assert html.count(">Alder ") == 8
    assert "?q=alder&amp;in=sites" in html
    first = client.get(SEARCH, {"q": "alder", "in": "sites"})
    second = client.get(SEARCH, {"q": "alder", "in": "sites", "page": "2"})
    assert (len(first.context["hits"]), len(second.context["hits"])) == (25, 5)
    assert client.get(SEARCH, {"q": "alder", "in": "what", "page": "x"}).status_code == 200


def test_the_queries_dont_grow_with_the_rows(client, full):
    make.signed_in(client, full)

    def queries():
        with CaptureQueriesContext(
            connection,
        ) as caught:
            client.get(SEARCH, {"q": "weir"})
        return len(caught)

    before = queries()
    site = Site.objects.get(party=full)
    for number in range(5):
        make.make_spot(site=site, name=f"Weir {number}")
        make.make_hole(site, notes="weir")
        make.make_paper(full, notes="weir", number=f"W{number}")
    assert queries() == before <= 12


@pytest.mark.parametrize(
    ("text", "words", "piece"),
    [
        ("Straße am Mühlbach", ("muhl",), "Straße am Mühlbach"),
        ("nothing here", ("weir",), ""),
        ("", ("weir",), ""),
        (f"{'a ' * 100}weir{' b' * 200}", ("weir",), "weir"),
    ],
)
def test_the_piece_shown_holds_the_word(text, words, piece):
    cut = snippet(text, words)
    assert piece in cut if piece else cut == ""
    assert len(cut) < 160


def test_models_searched_belong_to_the_party_only(full):
    assert Spot.objects.count() == Hole.objects.count() == Paper.objects.count() == 2
    assert all(len(hits) < 3 for hits in found(full, "weir").values())
