"""Rows about rules for tests: own rules, an uploaded pack, answers, sign-offs."""

import datetime as dt

from claims.models import OwnRule, PartyPack
from claims.rules.loader import load_text
from trips.models import SignOff, TripAnswer


def make_own_rule(party, **overrides):
    values = {
        "shape": OwnRule.Shape.DUTY,
        "text": "Shut the gate.",
        "agreed_with": "the owner",
        "written_where": "said on the telephone",
        "dated": "2031-04-02",
    }
    return OwnRule.objects.create(party=party, **{**values, **overrides})


PACK_TEXT = """
[pack]
id = "gravel-hills"
title = "Gravel Hills (made up for tests)"
level = "region"
code = "XX-GRA"
version = "1"
checked_on = 2031-01-01
review_by = 2039-12-31
confirm_with = "the hill office"
sourcing = "good"

[[source]]
id = "s"
title = "Hill text"
url = "https://example.org/hills"
date_of_text = "2030-01-01"
how_known = "official"

[[paper]]
code = "pass"
title = "hill pass"
kind = "permit"

[[question]]
id = "ban"
text = "Is a ban announced?"
scope = "trip"

[[area]]
id = "core"
title = "the core of the hills"

[[rule]]
id = "engines"
kind = "equipment_prohibited"
text = "No engines in the hills."
sources = ["s"]
when = [{ fact = "gear", power = ["engine"] }]
effect = { type = "prohibit" }
change = "Leave the engine at home."

[[rule]]
id = "pass"
kind = "authorisation_required"
text = "A hill pass is needed."
sources = ["s"]
effect = { type = "paper", any_of = ["pass"] }

[[rule]]
id = "ban"
kind = "occupancy_limit"
text = "Nobody goes while a ban is announced."
sources = ["s"]
when = [{ fact = "answer", question = "ban", yes = true }]
effect = { type = "prohibit" }

[[rule]]
id = "core"
kind = "area_excluded"
text = "The core is closed."
sources = ["s"]
when = [{ fact = "area", one_of = ["core"] }]
effect = { type = "prohibit" }

[[rule]]
id = "volume"
kind = "quantity_cap"
text = "At most 100 litres a year are moved at one place."
sources = ["s"]
[rule.effect]
type = "amount_limit"
amount = "moved_volume"
per = "site"
period = { kind = "calendar_year" }
at_most = "100 L"

[[rule]]
id = "tell"
kind = "notice_required"
text = "The hill office is told before."
sources = ["s"]
effect = { type = "notice", to = ["the hill office"] }

[[rule]]
id = "fill"
kind = "rehab_duty"
text = "Holes are filled on the same day."
sources = ["s"]
effect = { type = "duty", due = "same_day", holes = true }
"""


def make_party_pack(party, text=PACK_TEXT, **overrides):
    loaded = load_text(text, "gravel-hills.toml")
    values = {
        "pack_id": loaded.id,
        "title": loaded.pack.pack.title,
        "text": text,
        "sha256": loaded.sha256,
        "added_at": dt.datetime(2031, 1, 2, tzinfo=dt.UTC),
    }
    return PartyPack.objects.create(party=party, **{**values, **overrides})


def make_answer(trip, site, **overrides):
    values = {
        "key": "answer:gravel-hills/ban",
        "value": "no",
        "said_by": "Ada",
        "said_at": dt.datetime(2031, 5, 2, 9, tzinfo=dt.UTC),
    }
    return TripAnswer.objects.create(trip=trip, site=site, **{**values, **overrides})


def make_sign_off(trip, **overrides):
    plan = {"starts_on": "2031-05-14", "ends_on": "2031-05-14"}
    values = {
        "signer": "Ada",
        "signed_at": dt.datetime(2031, 5, 2, 9, tzinfo=dt.UTC),
        "snapshot": {
            "form": 1,
            "trip": "a trip",
            "plan": {**plan, "sites": [], "people": [], "gear": []},
            "packs": [],
            "facts": {},
            "sites": [],
            "cautions": [],
        },
        "sha256": "0" * 64,
    }
    return SignOff.objects.create(trip=trip, **{**values, **overrides})
