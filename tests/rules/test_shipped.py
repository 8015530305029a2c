"""The shipped packs against the figures of the texts they rest on.

Each figure is written here a second time, from the text named beside it, so that a slip in a pack
shows. The situations beside the packs hold what comes of them for a plan.
"""

from pathlib import Path

import pytest
from django.conf import settings

from claims.management.commands.check_packs import shipped_table, with_demo
from claims.rules import effects as e
from claims.rules import when as c
from claims.rules.crosscheck import walk
from claims.rules.loader import SITUATIONS, load_folders
from claims.rules.quantities import Quantity
from claims.rules.situations import load_situations
from claims.rules.windows import DayWindow

FOLDERS = with_demo([])
PACKS = load_folders(FOLDERS)
HELD = (
    "au-nsw",
    "au-nt",
    "au-tas",
    "au-vic",
    "au-wa",
    "ca-ab",
    "ca-bc",
    "fi",
    "nz",
    "uk-sct",
    "us-ak",
    "us-ca",
    "us-fed",
    "us-ga",
    "us-id",
    "us-nf",
    "us-or",
    "us-ut",
)


def figure(source, rule, name, *values):
    """One figure: source of the text, "pack/rule", the key in the rule, its value or values."""
    mark = pytest.mark.outside(source)
    return pytest.param(rule, name, values, marks=mark, id=f"{rule} {name}")


FIGURES = [
    figure(
        "Prospecting Guide leaflet, Victoria (seen in a copy)",
        "au-vic/right",
        "exempt_under_age",
        18,
    ),
    figure(
        "Prospecting in Victoria, department leaflet: 2 or 10 years (seen in a copy)",
        "au-vic/right-term",
        "years",
        2,
        10,
    ),
    figure(
        "State forest permit conditions, NSW: 1 cubic metre in any 48 hours (seen in a copy)",
        "au-nsw/forest-volume",
        "at_most",
        "1 m3",
    ),
    figure(
        "State forest permit conditions, NSW: in any 48 hours (seen in a copy)",
        "au-nsw/forest-volume",
        "hours",
        48,
    ),
    figure(
        "Forestry Corporation of NSW, Fossicking permits: 12 months (seen)",
        "au-nsw/forest-permit-term",
        "months",
        12,
    ),
    figure(
        "Forestry Corporation of NSW, Fossicking permits: family of 5, 2 adults, 3 children (seen)",
        "au-nsw/forest-permit-cover",
        "over",
        "2 people",
        "3 people",
        "5 people",
    ),
    figure(
        "NSW Crown Lands, Fossicking on Crown land: 2 months before the trip (seen)",
        "au-nsw/crown-application",
        "lead_months",
        2,
    ),
    figure(
        "WA department, Miner's Rights: samples up to 20 kg (seen)",
        "au-wa/samples",
        "at_most",
        "20 kg",
    ),
    figure(
        "WA department, Permit Section 40E: three months (seen)",
        "au-wa/permit-term",
        "months",
        3,
    ),
    # The text closes "the first 21 days after issue"; the pack's number is the day after them.
    figure(
        "WA department, Permit Section 40E: first 21 days after issue (seen)",
        "au-wa/permit-wait",
        "days",
        21 + 1,
    ),
    figure(
        "WA Government, Obligations and penalties: not within 100 m (seen)",
        "au-wa/permit-distance",
        "over",
        "100 m",
    ),
    figure(
        "WA Government, Obligations and penalties: within 14 days (seen)",
        "au-wa/permit-report",
        "days",
        14,
    ),
    figure(
        "Mining Act 1978 (WA), former s 20A(1): up to three persons (seen in a copy)",
        "au-wa/permit-joint",
        "over",
        "3 people",
    ),
    figure(
        "7 golden rules, WA department: 25 dollars (seen in a copy)",
        "au-wa/right-fee",
        "amount_minor",
        2500,
    ),
    figure(
        "Mineral Resources Tasmania, Prospecting and fossicking: 1 to 5 years (seen)",
        "au-tas/licence-term",
        "years",
        1,
        2,
        3,
        4,
        5,
    ),
    figure(
        "Mineral Resources Tasmania, map layer Fossicking areas: 2 m (seen)",
        "au-tas/depth",
        "depth",
        "2 m",
    ),
    figure(
        "Mineral Resources Tasmania, Prospecting and fossicking: under 1 m (seen)",
        "au-tas/sluice-length",
        "under",
        "1 m",
    ),
    figure(
        "ABLIS, Prospecting licence: about 5 business days (seen)",
        "au-tas/apply",
        "lead_days",
        5,
    ),
    figure(
        "Mineral Titles Act 2010 (NT), s 135: 1 m (seen in a copy)",
        "au-nt/depth",
        "depth",
        "1 m",
    ),
    figure(
        "NT Land access bulletin: 2 km of a homestead, 1 km of a stockyard (seen)",
        "au-nt/pastoral",
        "at_most",
        "1 km",
        "2 km",
    ),
    figure(
        "NT Land access bulletin: notice 7 days, consent 14 days (seen)",
        "au-nt/pastoral",
        "lead_days",
        7,
        14,
    ),
    figure(
        "NT Land access bulletin: notice 7 days, consent 14 days (seen)",
        "au-nt/exploration",
        "lead_days",
        7,
        14,
    ),
    *(
        figure("NT Land access bulletin: all 14 days (seen)", f"au-nt/{rule}", "lead_days", 14)
        for rule in ("lease", "private", "reserved", "aboriginal-land")
    ),
    figure(
        "New Zealand Gazette 2000-ln2042: 20 m either side (seen)",
        "nz/corridor",
        "at_most",
        "20 m",
    ),
    figure(
        "New Zealand Gazette 2000-ln2042: about 2,900 m and 2,500 m (seen)",
        "nz/corridor-length",
        "over",
        "2500 m",
        "2900 m",
    ),
    figure(
        "NZP&M, Complying with your mineral permit: 31 March (seen)",
        "nz/permit-report",
        "on",
        "03-31",
    ),
    figure(
        "NZP&M access page: 10 working days (seen in a copy)",
        "nz/permit-entry",
        "lead_days",
        10,
    ),
    figure(
        "Province of BC, Placer mining (waste): intake of at most 38 mm (seen)",
        "ca-bc/discharge-intake",
        "at_most",
        "38 mm",
    ),
    figure(
        "BC natural resource portal: 18 or over (seen)",
        "ca-bc/certificate-holder",
        "of_age",
        18,
    ),
    figure(
        "BC natural resource portal: 25 dollars (seen)",
        "ca-bc/certificate-fee",
        "amount_minor",
        2500,
    ),
    figure(
        "Mineral Tenure Act (BC), s 1: one year (seen)",
        "ca-bc/claim-expiry",
        "years",
        1,
    ),
    figure(
        "Alberta, Minerals placer mining tool kit: 15 May to 15 September (seen)",
        "ca-ab/season",
        "within",
        "05-15..09-15",
    ),
    figure(
        "Alberta, Minerals placer mining tool kit: five years (seen)",
        "ca-ab/licence-term",
        "years",
        5,
    ),
    figure(
        "Alberta, Minerals placer mining tool kit: 30 days (seen)",
        "ca-ab/temporary-term",
        "days",
        30,
    ),
    figure(
        "Alberta, Minerals placer mining tool kit: 50 dollars (seen)",
        "ca-ab/licence-fee",
        "amount_minor",
        5000,
    ),
    figure(
        "Tukes, frequently asked questions: an adult (seen)",
        "fi/holder",
        "of_age",
        18,
    ),
    figure(
        "Tukes, Fees: EUR 50 per hectare a year (seen)",
        "fi/compensation",
        "amount_minor",
        5000,
    ),
    figure(
        "Idaho Department of Water Resources: nozzle 5 inches or less (seen)",
        "us-id/dredge-nozzle",
        "at_most",
        "5 in",
    ),
    figure(
        "Idaho Department of Water Resources: 15 hp or less (seen)",
        "us-id/dredge-power",
        "at_most",
        "15 hp",
    ),
    figure(
        "Idaho Department of Water Resources: no more than 2 cubic yards an hour (seen)",
        "us-id/dredge-throughput",
        "at_most",
        "2 yd3/h",
    ),
    figure("Idaho Code 47-1313(e): above 8 inches (seen)", "us-id/big-intake", "over", "8 in"),
    figure(
        "IDWR permit forms: South Fork Clearwater by 1 June (seen)",
        "us-id/clearwater-deadline",
        "by",
        "06-01",
    ),
    figure(
        "IDWR permit forms: McCoy Creek 1 April to 1 July 2024 (seen)",
        "us-id/mccoy-deadline",
        "window",
        "2024-04-01..2024-07-01",
    ),
    figure(
        "Oregon DSL page: 50 cubic yards or more (seen)", "us-or/volume-permit", "under", "50 yd3"
    ),
    figure(
        "Oregon DSL page: less than 25 cubic yards (seen)", "us-or/habitat-cap", "under", "25 yd3"
    ),
    figure("Oregon DSL page: 28 February (seen)", "us-or/habitat-report", "on", "02-28"),
    figure(
        "OAR 141-100-0035: under 1 cubic yard a site (seen in a copy)",
        "us-or/scenic-site",
        "under",
        "1 yd3",
    ),
    figure(
        "OAR 141-100-0035: at most 5 cubic yards a year (seen in a copy)",
        "us-or/scenic-year",
        "at_most",
        "5 yd3",
    ),
    figure(
        "ORS 468B.116: hose at most 4 inches inside (seen in a copy)",
        "us-or/motor-hose",
        "at_most",
        "4 in",
    ),
    figure(
        "ORS 468B.116: within 1,000 ft (seen in a copy)", "us-or/motor-hours", "at_most", "1000 ft"
    ),
    figure(
        "AB 1032 digest: within 100 yards (seen in a copy)", "us-ca/possession", "at_most", "100 yd"
    ),
    figure(
        "43 CFR 3809.31: 15 calendar days (seen in a copy)", "us-fed/special-areas", "lead_days", 15
    ),
    figure(
        "BLM placer form: no more than 2 cubic yards a day (seen in a copy)",
        "us-fed/form-volume",
        "at_most",
        "2 yd3",
    ),
    figure(
        "BLM placer form: at least 2 ft (seen in a copy)", "us-fed/form-banks", "at_least", "2 ft"
    ),
    figure("BLM placer form: within 14 days (seen in a copy)", "us-fed/form-fill", "days", 14),
    figure(
        "BLM placer form: 14 days in any 30 (seen in a copy)",
        "us-fed/form-camp",
        "at_most",
        "14 days",
    ),
    figure(
        "BLM placer form: 14 days in any 30 (seen in a copy)", "us-fed/form-camp", "hours", 30 * 24
    ),
    figure(
        "BLM announcement of 2024-06-28: 200 dollars (seen)", "us-fed/fee", "amount_minor", 20000
    ),
    figure(
        "BLM announcement of 2024-06-28: 165 before (seen)", "us-fed/fee-old", "amount_minor", 16500
    ),
    figure(
        "BLM announcement of 2024-06-28: each 20 acres or part (seen)",
        "us-fed/fee",
        "unit_size",
        "20 acre",
    ),
    figure("BLM announcement of 2024-06-28: 1 September (seen)", "us-fed/fee-day", "on", "09-01"),
    figure("43 CFR 3835.16: 30 December (seen in a copy)", "us-fed/affidavit", "on", "12-30"),
    figure(
        "43 CFR 3836.11: 100 dollars a claim (seen in a copy)",
        "us-fed/affidavit",
        "work_minor",
        10000,
    ),
    figure(
        "SEPA gold panning position: 1 November to 31 May (seen in a copy)",
        "uk-sct/season",
        "within",
        "11-01..05-31",
    ),
    figure(
        "SEPA gold panning position: not within 50 m (seen in a copy)",
        "uk-sct/mussels",
        "over",
        "50 m",
    ),
    figure(
        "Alaska DNR uses of State land: 6 inches or less (seen in a copy)",
        "us-ak/dredge-intake",
        "at_most",
        "6 in",
    ),
    figure(
        "Alaska DNR uses of State land: 18 hp or less (seen in a copy)",
        "us-ak/dredge-power",
        "at_most",
        "18 hp",
    ),
    figure(
        "Alaska DNR uses of State land: 30,000 gallons a day (seen in a copy)",
        "us-ak/dredge-water",
        "at_most",
        "30000 us_gal/day",
    ),
    figure(
        "ADF&G small scale mining permits: 6 inches or less (seen)",
        "us-ak/habitat-nozzle",
        "at_most",
        "6 in",
    ),
    figure(
        "ADF&G small scale mining permits: 18 hp or less (seen)",
        "us-ak/habitat-power",
        "at_most",
        "18 hp",
    ),
    figure(
        "Alaska DNR fact sheet: 14 days at one site (seen in a copy)",
        "us-ak/camp-days",
        "at_most",
        "14 days",
    ),
    figure(
        "Utah dredging permit conditions: nozzle over 4 inches (seen)",
        "us-ut/nozzle",
        "at_most",
        "4 in",
    ),
    figure("Utah dredging permit conditions: over 12 hp (seen)", "us-ut/power", "at_most", "12 hp"),
    figure(
        "Utah dredging permit conditions: not more than four people (seen)",
        "us-ut/people",
        "at_most",
        "4 people",
    ),
    figure(
        "Medicine Bow leaflet: 1 July to 10 September (seen in a copy)",
        "us-nf/bow-season",
        "within",
        "07-01..09-10",
    ),
    figure(
        "Medicine Bow leaflet: 3 inches or less (seen in a copy)",
        "us-nf/bow-nozzle",
        "at_most",
        "3 in",
    ),
    figure(
        "Medicine Bow leaflet: 10 hp or less (seen in a copy)",
        "us-nf/bow-power",
        "at_most",
        "10 hp",
    ),
    figure(
        "Medicine Bow leaflet: at least 100 ft (seen in a copy)",
        "us-nf/bow-plant",
        "at_least",
        "100 ft",
    ),
    figure(
        "Medicine Bow leaflet: 300 ft apart (seen in a copy)",
        "us-nf/bow-apart",
        "at_least",
        "300 ft",
    ),
]


def rule_of(key):
    pack, _, rule = key.partition("/")
    return next(each for each in PACKS[pack].pack.rule if each.id == rule)


def plain(value):
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, DayWindow):
        return f"{value.first}..{value.last}"
    return value


def values_of(rule, name):
    """All values under a key anywhere in a rule's tests and effect, in order of size."""
    found = set()
    for _, item in walk((*rule.when, *rule.unless, rule.effect)):
        value = getattr(item, name, None)
        several = value if isinstance(value, tuple) else (value,)
        found |= {plain(each) for each in several if each is not None}
    return sorted(found)


@pytest.mark.parametrize(("key", "name", "values"), FIGURES)
def test_a_figure_is_the_text_s(key, name, values):
    assert values_of(rule_of(key), name) == sorted(values)


@pytest.mark.parametrize("pack_id", HELD)
def test_every_rule_speaks_in_a_situation_and_what_is_conditional_is_silent_in_another(pack_id):
    loaded = PACKS[pack_id]
    file = Path(FOLDERS[0], f"{pack_id}{SITUATIONS}")
    expected = [each.expect for each in load_situations(file.read_bytes(), file.name).situation]
    outcomes = {
        outcome: {name for each in expected for name in getattr(each, outcome) or ()}
        for outcome in ("stop", "do", "ask", "know", "silent")
    }
    for rule in loaded.pack.rule:
        met = {outcome for outcome, names in outcomes.items() if rule.id in names}
        assert met - {"silent"}, f"{rule.id} is in no situation"
        if rule.when or rule.unless:
            assert len(met) > 1, f"{rule.id} comes out in one way only"


@pytest.mark.parametrize("pack_id", HELD)
def test_a_situation_of_each_pack_knows_nothing_and_none_of_its_rules_is_passed(pack_id):
    file = Path(FOLDERS[0], f"{pack_id}{SITUATIONS}")
    bare = [
        each
        for each in load_situations(file.read_bytes(), file.name).situation
        if each.gear is None and each.papers is None and each.place.land is None
    ]
    assert bare, "no situation in which nothing is known"
    assert all(each.expect.ask and not each.expect.stop for each in bare)


def test_what_could_not_be_read_is_in_no_pack():
    """Figures that were only known by hearsay stay out, until somebody reads the texts."""

    def effects(pack_id):
        return [item for _, item in walk(PACKS[pack_id].pack.rule)]

    gold = [i for i in effects("au-nsw") if isinstance(i, e.AmountLimit | c.AmountIs)]
    assert {item.amount for item in gold} == {"moved_volume"}
    assert not [i for i in effects("au-wa") if isinstance(i, e.HoleLimit)]
    terms = [i for i in effects("au-wa") if isinstance(i, e.PaperTerm)]
    assert {item.paper for item in terms} == {"s40e_permit"}
    assert not [i for i in effects("au-nt") if isinstance(i, e.AmountLimit | c.AmountIs)]
    alberta = PACKS["ca-ab"].pack.rule
    assert not [rule for rule in alberta if rule.kind == "no_authorisation_needed"]
    assert PACKS["ca-bc"].pack.table[0].rows == ()


def test_the_readmes_list_the_packs_that_come_along():
    packs_readme = Path(FOLDERS[0], "README.md").read_text(encoding="utf-8")
    assert shipped_table() in packs_readme
    readme = " ".join(Path(settings.BASE_DIR, "README.md").read_text(encoding="utf-8").split())
    shipped = [each.pack.pack for each in load_folders([FOLDERS[0]]).values()]
    assert [head.title for head in shipped if head.title not in readme] == []
