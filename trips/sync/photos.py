"""Photos from phones: taken in once by their own id, tied to a hole, a spot or the trip."""

import base64
import binascii
import datetime as dt
import uuid
from collections.abc import Mapping

from django.core.exceptions import ValidationError

from claims.models import KeptFile, Party, User
from trips.calc.words import marked, say
from trips.services import files
from trips.sync import rows
from trips.sync.apply import own_trip
from trips.sync.bodies import NotSentYet, read_position
from trips.sync.receive import Answer
from trips.sync.wire import instant

LARGEST = 12 * 1024 * 1024  # a phone shrinks its pictures to a twentieth of that
MOST_IN_A_FILE = 200
WAITS = marked("Waits for the {kind} it shows, which hasn't been sent yet.")
GONE = marked("The trip of this photo isn't in the record (any more). Put it on another trip.")


def receive_photo(
    *, party: Party, user: User, about: object, content: bytes, now: dt.datetime
) -> Answer:
    """Keep one photo. Answers as for entries; "waiting" when what it shows isn't here yet.

    Args: about: what the phone says of it: id, trip, of {kind, record}, role, caption, name and,
        where the party keeps them, taken_at, lat and lon.
    """
    if not isinstance(about, Mapping):
        return Answer("", "refused", say("Expected an object that says what the photo shows."))
    shown = about["id"][:40] if isinstance(about.get("id"), str) else ""
    try:
        key = uuid.UUID(shown)
        owner = _owner(party, about)
        kept = files.keep(
            party=party,
            owner=owner,
            content=content,
            name=_text(about, "name", 120) or "photo.jpg",
            user=user,
            now=now,
            uuid=key,
            caption=_text(about, "caption", 200),
            role=_role(about),
            taken_at=instant(about.get("taken_at")),
            position=read_position(_text(about, "lat", 40), _text(about, "lon", 40)),
        )
    except NotSentYet as waits:
        return Answer(shown, "waiting", str(waits))
    except ValidationError as problem:
        return Answer(shown, "refused", " ".join(problem.messages))
    except ValueError:
        return Answer(shown, "refused", say("id: expected an id of 36 characters."))
    return Answer(shown, "stored" if kept.is_new else "already")


def decode(photo: object) -> bytes:
    """The bytes of a photo in a saved file. Raises: ValidationError."""
    text = photo.get("jpeg") if isinstance(photo, Mapping) else None
    try:
        return base64.b64decode(text, validate=True)
    except (TypeError, ValueError, binascii.Error):
        raise ValidationError(say("The photo in the file can't be read.")) from None


def _owner(party: Party, about: Mapping):
    of = about.get("of")
    kind = of.get("kind") if isinstance(of, Mapping) else "trip"
    key = _text(of, "record", 40) if isinstance(of, Mapping) else ""
    if kind == "spot":
        return rows.spot_of(party, key)
    if kind == "hole":
        hole = rows.own_row(party, "hole", uuid.UUID(key))
        if hole is None:
            waits = NotSentYet(key)
            waits.args = (say(WAITS, kind=say("hole")),)
            raise waits
        return hole
    text = _text(about, "trip", 40)
    trip = own_trip(party, uuid.UUID(text)) if text else None
    if trip is None:
        raise ValidationError(say(GONE))
    return trip


def _text(about: Mapping, name: str, longest: int) -> str:
    value = about.get(name)
    return value[:longest] if isinstance(value, str) else ""


def _role(about: Mapping) -> str:
    role = about.get("role")
    return role if role in KeptFile.Role.values else KeptFile.Role.OTHER
