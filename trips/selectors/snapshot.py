"""A checklist as plain data to be kept with a signature, and what differs between two of them."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from claims.lines import CheckLine
from claims.rules.loader import stack
from trips.calc.words import Spoken, marked, say
from trips.models import Trip
from trips.selectors.checklist import Checklist
from trips.selectors.trip_page import TripPage

FORM = 1  # of the snapshot's keys
PLAN_WORDS = Spoken(
    {
        "starts_on": marked("First day"),
        "ends_on": marked("Last day"),
        "sites": marked("Sites"),
        "people": marked("Who goes"),
        "gear": marked("Gear"),
    }
)


@dataclass(frozen=True)
class Difference:
    """One thing that is not as it was signed."""

    what: str
    then: str
    now: str


def snapshot(page: TripPage) -> dict[str, Any]:
    """What is signed: plan, packs with their hashes, facts used, every line with its answers.

    Args: page: read within `kept`, so that it is the same for every reader.
    """
    checklist, trip = page.checklist, page.trip
    assert checklist is not None
    return {
        "form": FORM,
        "trip": str(trip),
        "plan": plan_data(page),
        "packs": _packs(page),
        "facts": _facts(checklist),
        "sites": [
            {
                "title": site.title,
                "trigger": site.trigger,
                "lines": [line_data(line) for line in site.lines],
            }
            for site in checklist.sites
        ],
        "cautions": [line_data(line) for line in checklist.cautions],
    }


def plan_data(page: TripPage) -> dict[str, Any]:
    """Days, sites in order, people and gear of a plan."""
    trip: Trip = page.trip
    rows = [page.first, *page.fallbacks] if page.first else []
    return {
        "starts_on": trip.starts_on.isoformat(),
        "ends_on": trip.ends_on.isoformat(),
        "sites": [row.site.name for row in rows if row],
        "people": [person.name for person in page.people],
        "gear": [piece.name for piece in page.gear],
    }


def _packs(page: TripPage) -> list[dict[str, str]]:
    """Every pack that spoke, with edition and hash of its text."""
    rows = [page.first, *page.fallbacks] if page.first else []
    names = {name for row in rows if row for name in row.site.rule_packs}
    return [
        {
            "id": each.id,
            "title": each.pack.pack.title,
            "version": each.pack.pack.version,
            "review_by": each.pack.pack.review_by.isoformat(),
            "sha256": each.sha256,
        }
        for each in stack(page.packs, sorted(names))
    ]


def _facts(checklist: Checklist) -> dict[str, Any]:
    """Gear, people and answers as the rules saw them."""
    facts = checklist.facts

    def listed(items: Any) -> list[dict[str, Any]] | None:
        return None if items is None else [_plain(asdict(item)) for item in items]

    return {
        "as_of": facts.as_of.isoformat() if facts.as_of else None,
        "gear": listed(facts.gear),
        "people": listed(facts.people),
        "amounts": listed(facts.amounts),
        "answers": [
            {"site_id": site_id, "key": key, **asdict(said)}
            for site_id, by_key in sorted(facts.answers.items())
            for key, said in sorted(by_key.items())
        ],
    }


def _plain(value: Any) -> Any:
    return json.loads(json.dumps(value, default=str, ensure_ascii=False))


def line_data(line: CheckLine) -> dict[str, Any]:
    """A line without what can still be answered."""
    data = asdict(line)
    data["said"] = [each.said for each in line.answers if each.said]
    del data["answers"]
    return dict(_plain(data))


def digest(data: Mapping[str, Any]) -> str:
    """SHA-256 over the data in one fixed spelling."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def differences(signed: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[Difference, ...]:
    """What changed since a sign-off: the plan, the packs, and lines that came, went or turned."""
    found = [
        Difference(words, _words(signed["plan"][key]), _words(now["plan"][key]))
        for key, words in PLAN_WORDS.items()
        if signed["plan"][key] != now["plan"][key]
    ]
    found += _pack_changes(signed, now)
    before, after = _lines(signed), _lines(now)
    for key in sorted(before.keys() | after.keys()):
        old, new = before.get(key), after.get(key)
        if old is None and new is not None:
            found.append(
                Difference(key[0], say("no such line"), f"{new['outcome']}: {new['text']}")
            )
        elif new is None and old is not None:
            found.append(
                Difference(key[0], f"{old['outcome']}: {old['text']}", say("no such line"))
            )
        elif old and new and (old["outcome"], old["text"]) != (new["outcome"], new["text"]):
            found.append(
                Difference(
                    key[0], f"{old['outcome']}: {old['text']}", f"{new['outcome']}: {new['text']}"
                )
            )
    return tuple(found)


def _words(value: Any) -> str:
    return ", ".join(value) or say("none") if isinstance(value, list) else str(value)


def _pack_changes(signed: Mapping[str, Any], now: Mapping[str, Any]) -> list[Difference]:
    old = {each["id"]: each for each in signed["packs"]}
    new = {each["id"]: each for each in now["packs"]}
    found = []
    for name in sorted(old.keys() | new.keys()):
        then, today = old.get(name), new.get(name)
        if (then or {}).get("sha256") != (today or {}).get("sha256"):
            found.append(
                Difference(say("Rule pack {name}", name=name), _edition(then), _edition(today))
            )
    return found


def _edition(pack: Mapping[str, str] | None) -> str:
    return (
        say("not there")
        if pack is None
        else say("edition {pack}, {pack_2}…", pack=pack["version"], pack_2=pack["sha256"][:12])
    )


def _lines(data: Mapping[str, Any]) -> dict[tuple[str, str, int], Mapping[str, Any]]:
    """Lines by site and rule; a line without a rule by its text."""
    made: dict[tuple[str, str, int], Mapping[str, Any]] = {}
    for site in data["sites"]:
        for line in site["lines"]:
            key = (site["title"], line["key"] or line["text"])
            count = sum(1 for name, what, _ in made if (name, what) == key)
            made[(*key, count)] = line
    return made
