"""The page frame: bar, form layout, plain tables, list tables, error pages."""

from types import SimpleNamespace
from xml.etree import ElementTree

import django_tables2
import pytest
from django import forms
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory
from django.urls import reverse

from claims.web.tables import LedgerTable
from reports.charts.plots import IntervalRow, interval_plot
from trips.templatetags import frame


def request_of(path="/", party="Marsh"):
    found = RequestFactory().get(path)
    mine = SimpleNamespace(pk=1, time_zone="UTC") if party else None
    found.user = SimpleNamespace(
        is_authenticated=True, get_short_name=lambda: "Robin", get_username=lambda: "robin"
    )
    found.party = mine
    found.memberships = [SimpleNamespace(party=mine, party_id=1)] if party else []
    return found


def render(source, **context):
    return engines["django"].from_string(source).render(context)


class WeighForm(forms.Form):
    day = forms.CharField(label="Day")
    gross = forms.CharField(label="Gross mass", help_text="With the <dish>")
    gross_unit = forms.ChoiceField(label="Unit", choices=[("g", "g")])
    kind = forms.ChoiceField(label="Scale", choices=[("a", "A")], widget=forms.RadioSelect)
    dry = forms.BooleanField(label="Dry", required=False)
    token = forms.CharField(widget=forms.HiddenInput, required=False)


class LaidOut(WeighForm):
    layout = (("When", ("day",)), ("What", ("gross", ("kind", "dry")), "As shown."))


@pytest.mark.parametrize(("name", "label"), [*frame.MAIN, *frame.MORE])
def test_every_entry_of_the_bar_has_a_page(name, label):
    assert reverse(name).startswith("/"), label


def test_bar_marks_the_page_itself_and_the_page_above():
    listed = reverse("claims:site_list")
    assert f'href="{listed}" aria-current="page"' in render_nav(listed)
    assert f'href="{listed}" aria-current="true"' in render_nav(f"{listed}77/")
    assert render_nav(f"{listed}77/").count("aria-current") == 1


def render_nav(path, party="Marsh"):
    request = request_of(path, party)
    return (
        engines["django"]
        .from_string("{% load frame %}{% site_nav %}")
        .render({"request": request}, request)
    )


def test_bar_shows_no_links_without_a_party():
    told = render_nav("/", party=None)
    assert "Main" not in told
    assert "Sign out" in told


def test_unit_stands_beside_its_value_without_being_told():
    [group] = frame.form_groups(WeighForm())
    pair = next(row for row in group.rows if len(row) == 2)
    assert [(cell.field.name, cell.unit_of) for cell in pair] == [
        ("gross", False),
        ("gross_unit", True),
    ]


def test_layout_groups_fields_and_loses_none():
    form = LaidOut()
    groups = frame.form_groups(form)
    assert [group.legend for group in groups] == ["When", "What"]
    shown = [cell.field.name for group in groups for row in group.rows for cell in row]
    assert sorted(shown) == sorted(field.name for field in form.visible_fields())


def test_fields_named_in_no_group_come_last():
    class Short(WeighForm):
        layout = (("When", ("day",)),)

    groups = frame.form_groups(Short())
    assert [group.legend for group in groups] == ["When", ""]
    assert groups[1].rows[0][0].field.name == "gross"


def test_form_links_each_error_to_its_field_and_keeps_what_was_typed():
    form = WeighForm({"gross": "12,x", "gross_unit": "g", "token": "t"})
    form.add_error("gross", "Gross mass is 12,x; a number such as 12.34 was expected.")
    form.add_error(None, "Tare is more than gross.")
    told = render('{% include "_form.html" %}', form=form)
    assert '<a href="#id_gross">Gross mass is 12,x; a number' in told
    assert '<a href="#id_day">Day: This field is required.</a>' in told
    assert "<li>Tare is more than gross.</li>" in told
    assert 'value="12,x"' in told
    assert "4 things need" in told


def test_controls_name_their_hint_and_error():
    told = render('{% include "_form.html" %}', form=WeighForm({"gross_unit": "g"}))
    assert 'aria-describedby="id_gross_helptext id_gross_error"' in told
    assert 'id="id_gross_helptext"' in told
    assert 'id="id_gross_error"' in told
    assert "With the &lt;dish&gt;" in told


def test_needed_is_said_in_words_and_not_for_optional_fields():
    told = render('{% include "_form.html" %}', form=WeighForm())
    assert told.count("(needed)") == 3


def test_form_without_errors_shows_no_summary():
    assert "another look" not in render('{% include "_form.html" %}', form=WeighForm())


def test_plain_table_sets_numbers_right_and_days_left():
    table = frame.plain_table(
        ["Trip", "Day", "Net", "Note"],
        [["1", "2031-05-04", "−31.20 EUR", "wet"], ["2", "4 May 2031", "unknown", "7 pans"]],
    )
    assert [head.number for head in table.heads] == [False, False, True, False]


def test_plain_table_labels_every_cell_and_escapes():
    told = render(
        '{% include "_table.html" with caption="Trips" %}',
        headers=["Site", "Net"],
        rows=[["<b>Ford</b>", "3"]],
    )
    assert 'data-label="Net" class="num">3</td>' in told
    assert "&lt;b&gt;Ford&lt;/b&gt;" in told


class SiteTable(LedgerTable):
    name = django_tables2.Column("Site")
    grade = django_tables2.Column("Grade", orderable=False)
    caption = "Sites"


def render_list(page):
    table = SiteTable(
        [{"name": f"Site <{i}>", "grade": i} for i in range(25)],
        order_by="-name",
        template_name="django_tables2/ledger.html",
    )
    table.paginate(page=page, per_page=10)
    return table.as_html(RequestFactory().get("/sites/?sort=-name"))


def test_list_table_is_well_formed_and_names_sort_scope_caption_and_labels():
    told = render_list(2)
    root = ElementTree.fromstring(f"<div>{told}</div>")
    site, grade = root.iter("th")
    assert site.attrib["aria-sort"] == "descending"
    assert "aria-sort" not in grade.attrib
    assert site.attrib["scope"] == "col"
    assert grade.find("a") is None
    assert next(root.iter("caption")).text == "Sites"
    assert {cell.attrib["data-label"] for cell in root.iter("td")} == {"Site", "Grade"}


@pytest.mark.parametrize(
    ("page", "links"), [(1, ["Next"]), (2, ["Previous", "Next"]), (3, ["Previous"])]
)
def test_pager_says_where_it_is_and_keeps_the_sort(page, links):
    told = render_list(page)
    root = ElementTree.fromstring(f"<div>{told}</div>")
    nav = next(root.iter("nav"))
    assert f"Page {page} of 3" in "".join(nav.itertext())
    assert [link.text for link in nav.iter("a")] == links
    assert all("sort=-name" in link.attrib["href"] for link in nav.iter("a"))


def test_chart_tag_shows_both_drawings_and_the_table_and_nothing_for_none():
    figure = interval_plot([IntervalRow("A", 1, 2, 3)], title="T", desc="D", unit="EUR")
    told = render('{% load charts %}{% chart figure "c" %}', figure=figure)
    assert told.count("<svg") == 2
    assert "<details>" in told
    assert render('{% load charts %}{% chart figure "c" %}', figure=None).strip() == ""


def test_as_of_ribbon_links_back_to_today():
    request = request_of("/sites/?as_of=2031-05-12")
    told = render_to_string("base.html", {}, request)
    assert "Shown as of 12 May 2031" in told
    assert '<a href="/sites/">back to today</a>' in told
    assert "Shown as of" not in render_to_string("base.html", {}, request_of("/sites/"))


@pytest.mark.parametrize("name", ["403.html", "404.html", "500.html"])
def test_error_pages_need_no_context(name):
    told = render_to_string(name)
    assert "<h1>" in told
    assert 'href="/"' in told
