"""Saved files and plain lines from the desk, through the same door as a phone's sending."""

import datetime as dt
import json
import uuid
from collections import Counter
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError

from claims.models import Party, Site, Spot, User
from trips.calc.words import Spoken, marked, say
from trips.models import Cost, HoursBlock, Trip
from trips.sync import lines as plain
from trips.sync.photos import MOST_IN_A_FILE as MOST_PHOTOS
from trips.sync.photos import decode, receive_photo
from trips.sync.receive import Answer, receive
from trips.sync.wire import MOST_IN_A_BATCH, MOST_IN_A_FILE, WireError, read_batch

NOON = dt.time(12, tzinfo=dt.UTC)
LARGEST_FILE = 40 * 1024 * 1024
# Marks between values: read as JSON, a small list takes thirty times the bytes that it has in a
# file. A full file of photos and entries with long notes has a tenth of these.
MOST_PARTS = 1_000_000
WORDS = Spoken(
    {
        "stored": marked("taken in"),
        "already": marked("there already"),
        "look": marked("taken in, needs a look"),
        "waiting": marked("waits for something that hasn't come yet"),
        "differs": marked("not taken: another entry has this id"),
        "refused": marked("not taken"),
    }
)


@dataclass
class Taken:
    """What became of a file or a text: counts by answer, and what a person should read."""

    counts: Counter[str] = field(default_factory=Counter)
    problems: list[str] = field(default_factory=list)

    @property
    def lines(self) -> list[tuple[str, int]]:
        """(words, how many), in a fixed order."""
        return [(words, self.counts[key]) for key, words in WORDS.items() if self.counts[key]]

    def add(self, what: str, answer: Answer) -> None:
        self.counts[answer.answer] += 1
        if answer.answer not in ("stored", "already"):
            self.problems.append(f"{what}: {answer.reason}")


def take_file(*, party: Party, user: User, content: bytes, now: dt.datetime) -> Taken:
    """Everything in a file that the field page saved. A file taken twice changes nothing.

    Raises: ValidationError when it isn't such a file, or is another party's; nothing is stored.
    """
    if sum(map(content.count, (b"{", b"[", b","))) > MOST_PARTS:
        raise ValidationError(say("It is filled as no field file is; nothing was stored."))
    try:
        raw = json.loads(content)
        batch = read_batch(raw, now=now, most=MOST_IN_A_FILE)
    except WireError as problem:
        raise ValidationError(str(problem)) from problem
    except (ValueError, RecursionError):
        raise ValidationError(
            say("This isn't a file as the field page saves it; nothing was stored.")
        ) from None
    if raw.get("party") not in (None, party.pk):
        raise ValidationError(
            say(
                "This file was saved for another record than {party}. Change to "
                "that record, then import it there. Nothing was stored.",
                party=party,
            )
        )
    photos = raw.get("photos") or []
    if not isinstance(photos, list) or len(photos) > MOST_PHOTOS:
        raise ValidationError(
            say(
                "A file holds at most {most_photos} photos; nothing was stored.",
                most_photos=MOST_PHOTOS,
            )
        )
    taken = Taken()
    for first in range(0, len(batch.items), MOST_IN_A_BATCH):
        part = batch.items[first : first + MOST_IN_A_BATCH]
        # The clock of the moment of saving says nothing about a file that lay about for a week.
        answers = receive(
            party=party, user=user, batch=type(batch)(batch.device, None, part)
        )  # fmt: skip
        for number, answer in enumerate(answers, start=first + 1):
            taken.add(say("Entry {number}", number=number), answer)
    for number, photo in enumerate(photos, start=1):
        try:
            content = decode(photo)
        except ValidationError as problem:
            taken.add(
                say("Photo {number}", number=number),
                Answer("", "refused", " ".join(problem.messages)),
            )
            continue
        answer = receive_photo(party=party, user=user, about=photo, content=content, now=now)
        taken.add(say("Photo {number}", number=number), answer)
    return taken


def take_lines(
    *, trip: Trip, site: Site, user: User, text: str, day: dt.date, pan: str, now: dt.datetime
) -> Taken:
    """Plain lines of one day of a trip. Pasted twice they are taken once.

    A spot that isn't known at the site is made where a line says so. Raises: ValidationError,
    naming each line that can't be read; then nothing is stored.
    """
    try:
        found = plain.read_lines(
            text,
            day=day.isoformat(),
            pan=pan,
            activities=_by_word(HoursBlock.Activity),
            costs=_by_word(Cost.Kind),
        )
    except plain.LineError as problem:
        raise ValidationError(str(problem)) from problem
    if not found:
        raise ValidationError(say("There is nothing in it. Write one fact a line."))
    spots = {spot.name.casefold(): str(spot.uuid) for spot in Spot.objects.filter(site=site)}
    wrong = [line for line in found if line.problem]
    wrong += plain.unknown_spots(found, spots, site.name)
    if wrong:
        raise ValidationError(
            [
                say("Nothing was stored; please mend these lines."),
                *(
                    say(
                        "Line {number}, “{text}”: {problem}",
                        number=line.number,
                        text=line.text[:60],
                        problem=line.problem,
                    )
                    for line in sorted(wrong, key=lambda line: line.number)
                ),
            ]
        )
    entries: list[dict[str, object]] = []
    for line, key in zip(found, plain.keys(found, trip.uuid, day.isoformat()), strict=True):
        body = dict(line.body or {})
        name = str(body["name"]) if line.kind == "spot" else line.spot
        if name and name.casefold() not in spots:
            spot = uuid.uuid5(plain.SPACE, f"{site.pk}|{name.casefold()}")
            spots[name.casefold()] = str(spot)
            made = {"site": str(site.pk), "name": name, "feature": "other"}
            entries.append(_entry(spot, "spot", made, trip, dt.datetime.combine(day, NOON)))
        if line.kind == "spot":
            continue
        if line.spot:
            body["spot"] = spots[line.spot.casefold()]
        # The order of the lines is the order of the day.
        at = dt.datetime.combine(day, NOON) + dt.timedelta(milliseconds=line.number)
        entries.append(_entry(key, line.kind, body, trip, at))
    taken = Taken()
    for first in range(0, len(entries), MOST_IN_A_BATCH):
        raw = {"device": "desk", "entries": entries[first : first + MOST_IN_A_BATCH]}
        answers = receive(party=trip.party, user=user, batch=read_batch(raw, now=now))
        for entry, answer in zip(entries[first:], answers, strict=False):
            taken.add(say("{entry} line", entry=entry["kind"]).capitalize(), _same_line(answer))
    return taken


def _same_line(answer: Answer) -> Answer:
    """A line pasted again differs from the first only in its place among others."""
    return Answer(answer.id, "already") if answer.answer == "differs" else answer


def _by_word(choices) -> dict[str, str]:
    return {label.casefold(): value for value, label in choices.choices} | {
        value: value for value in choices.values
    }


def _entry(key: uuid.UUID, kind: str, body, trip: Trip, at: dt.datetime) -> dict[str, object]:
    return {
        "id": str(key),
        "kind": kind,
        "trip": None if kind == "spot" else str(trip.uuid),
        "at": at.isoformat(),
        "body": body,
    }
