"""Entries as a phone makes them, for tests. Ids follow from a word, so that tests can name them."""

import datetime as dt
import uuid

from trips.sync.receive import receive
from trips.sync.wire import read_batch

NOW = dt.datetime(2031, 5, 3, 12, 0, tzinfo=dt.UTC)
SPACE = uuid.UUID("5b0b0c1e-7a57-4c57-9b1e-0c5b7e1d2031")
DAY = "2031-05-03"


def key(word: str) -> str:
    return str(uuid.uuid5(SPACE, word))


def entry(word, kind, body, *, trip=None, of="", replaces=(), removed=False, at="", base=""):
    """One entry named by a word; `of` and `replaces` are words of others."""
    return {
        "id": key(word),
        "record": key(of or word),
        "kind": kind,
        "trip": str(trip.uuid) if trip is not None else None,
        "replaces": [key(each) for each in replaces],
        "base": base,
        "removed": removed,
        "at": at or "2031-05-03T10:00:00+00:00",
        "body": body,
    }


def spot(word, site, name="Inside bend", **more):
    return entry(
        word, "spot", {"site": str(site.pk), "name": name, "feature": "inside_bend"}, **more
    )


def pan(word, trip, spot_key, *, counts=("0", "1", "4"), volume="5.5 L", **more):
    body = {"spot": spot_key, "day": DAY, "layer": "gravel", "volume": volume}
    body |= dict(zip(("coarse", "medium", "fine"), counts, strict=True))
    return entry(word, "pan", body, trip=trip, **more)


def run(word, trip, spot_key, body=(), **more):
    whole = {"spot": spot_key, "day": DAY, "layer": "gravel", **dict(body)}
    return entry(word, "run", whole, trip=trip, **more)


def hours(word, trip, body, **more):
    return entry(word, "hours", {"day": DAY, "activity": "dig", **body}, trip=trip, **more)


def send(party, user, *entries, sent_at=None, device="phone-a"):
    """Through the same door as a phone; gives the answers."""
    raw = {"device": device, "sent_at": sent_at or NOW.isoformat(), "entries": list(entries)}
    return receive(party=party, user=user, batch=read_batch(raw, now=NOW))
