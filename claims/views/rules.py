"""Which rules hold: packs, a party's own ones, and what they ask about a site."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from claims.access import (
    hand_page,
    keeper_page,
    own_condition,
    own_pack_row,
    own_rule,
    own_site,
    reader_page,
)
from claims.forms.rules import OwnRuleForm, PackUploadForm, SiteFactsForm, SitePacksForm
from claims.models import OwnRule, PartyPack
from claims.packs import packs_of, unread
from claims.paper_pages import rule_start
from claims.rules.findings import LEVELS
from claims.rules.loader import LoadedPack, stack
from claims.rules.schema import Pack, Rule, Source
from claims.rules.words import HOW_KNOWN_WORDS, STANDING_WORDS
from claims.services import rules
from claims.views.party import form_page
from claims.web.asof import as_of
from claims.web.forms import form_options, whole_number
from claims.web.pages import DeletePage, FormPage
from claims.web.undoing import tell_deleted


@dataclass(frozen=True)
class PackRow:
    """A pack in the list."""

    loaded: LoadedPack
    own: PartyPack | None
    is_old: bool


@dataclass(frozen=True)
class RuleRow:
    """A rule with its texts, as the page of its pack shows it."""

    rule: Rule
    sources: tuple[tuple[Source, str], ...]
    standing: str
    confirm_with: str


@reader_page
def rule_list(request):
    uploaded = {row.pack_id: row for row in request.party.packs.all()}
    packs, day = packs_of(uploaded.values()), as_of(request)
    rows = [
        PackRow(each, uploaded.get(each.id), each.pack.is_past_review(day))
        for each in packs.values()
    ]
    rows.sort(key=lambda row: (LEVELS.index(row.loaded.pack.pack.level), row.loaded.id))
    context = {"packs": rows, "own": _own_rules(request), "unread": unread(uploaded.values())}
    return render(request, "claims/rule_list.html", context)


def _own_rules(request):
    return request.party.own_rules.select_related("site").prefetch_related("conditions__paper")


@reader_page
def pack_detail(request, pack_id):
    packs = packs_of(request.party.packs.all())
    if pack_id not in packs:
        raise Http404("no such pack")
    loaded = packs[pack_id]
    context = {
        "loaded": loaded,
        "head": loaded.pack.pack,
        "rows": tuple(_rule_row(loaded.pack, rule) for rule in loaded.pack.rule),
        "wider": stack(packs, loaded.pack.pack.within),
        "is_old": loaded.pack.is_past_review(as_of(request)),
        "own": request.party.packs.filter(pack_id=pack_id).first(),
    }
    return render(request, "claims/pack_detail.html", context)


def _rule_row(pack: Pack, rule: Rule) -> RuleRow:
    return RuleRow(
        rule,
        tuple((source, HOW_KNOWN_WORDS[source.how_known]) for source in pack.sources_of(rule)),
        STANDING_WORDS[rule.standing],
        pack.confirm_with(rule),
    )


@hand_page
def site_rules_edit(request, pk):
    site = own_site(request, pk)
    site.party = request.party
    packs = packs_of(request.party.packs.all())
    data = request.POST or None
    form = SitePacksForm(data, instance=site, packs=packs, **form_options(request))
    here = tuple(each.pack for each in stack(packs, site.rule_packs))
    facts = SiteFactsForm(data, packs=here, facts=site.rule_facts)
    if request.method == "POST" and all([form.is_valid(), facts.is_valid()]):
        rules.save_site_facts(
            site=form.instance, values=facts.cleaned_data, by=request.user, at=timezone.now()
        )
        chosen = set(form.cleaned_data["rule_packs"])
        messages.success(request, gettext("The rules of {site} are saved.").format(site=site))
        if chosen - {pack.id for pack in here}:
            # New packs bring new questions about the site.
            return redirect("claims:site_rules_edit", site.pk)
        return redirect("reports:site_page", site.pk)
    context = {"site": site, "form": form, "facts": facts, "here": here}
    return render(request, "claims/site_rules.html", context)


@keeper_page
def rule_create(request):
    rule = OwnRule(party=request.party)
    rule.site = request.party.sites.filter(pk=whole_number(request.GET.get("site", ""))).first()
    line = _from_condition(request, rule)
    return _rule_form(request, rule, gettext("Add an own rule"), line)


def _from_condition(request, rule):
    """Start from a condition of a paper of this party, if one is asked for, and give it back.

    The rule holds at the paper's only site, if it covers one.
    """
    if not (pk := request.GET.get("condition", "")):
        return None
    line = own_condition(request, whole_number(pk))
    for name, value in rule_start(line, line.paper).items():
        setattr(rule, name, value)
    sites = list(line.paper.sites.all()[:2])
    rule.site = sites[0] if len(sites) == 1 else None
    rule.valid_from, rule.valid_to = line.paper.issued_on, line.paper.last_day
    return line


@keeper_page
def rule_edit(request, pk):
    return _rule_form(request, own_rule(request, pk), gettext("Change an own rule"))


def _rule_form(request, rule, title, condition=None):
    rule.party = request.party
    form = OwnRuleForm(request.POST or None, instance=rule, **form_options(request))
    if request.method == "POST" and form.is_valid():
        rules.save_own_rule(rule=form.instance, condition=condition)
        messages.success(
            request, gettext("The rule is saved; every checklist takes it in from now on.")
        )
        return redirect("claims:rule_list")
    cancel = reverse("claims:rule_list")
    return form_page(
        request, FormPage(title, form, gettext("Save rule"), cancel, crumb=gettext("Rules"))
    )


@keeper_page
def rule_delete(request, pk):
    rule = own_rule(request, pk)
    if request.method == "POST":
        rule.delete()
        tell_deleted(request, gettext("The rule is deleted."))
        return redirect("claims:rule_list")
    page = DeletePage(
        gettext("Delete an own rule"),
        str(rule),
        cancel=reverse("claims:rule_list"),
        crumb=gettext("Rules"),
    )
    return render(request, "claims/delete_page.html", {"page": page})


@keeper_page
def pack_create(request):
    packs = packs_of(request.party.packs.all())
    form = PackUploadForm(request.POST or None, request.FILES or None, packs=packs)
    if request.method == "POST" and form.is_valid():
        row = rules.keep_pack(
            party=request.party,
            loaded=form.loaded,
            text=form.text,
            by=request.user,
            at=timezone.now(),
        )
        messages.success(
            request,
            gettext("{row} is kept. It takes the place of any pack of its id.").format(row=row),
        )
        return redirect("claims:pack_detail", row.pack_id)
    return render(request, "claims/pack_upload.html", {"form": form})


@reader_page
def pack_file(request, pk):
    row = own_pack_row(request, pk)
    response = HttpResponse(row.text, content_type="application/toml; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{row.pack_id}.toml"'
    return response


@keeper_page
@require_POST
def pack_remove(request, pk):
    row = own_pack_row(request, pk)
    row.delete()
    messages.success(request, gettext("{row} is taken away.").format(row=row))
    return redirect("claims:rule_list")
