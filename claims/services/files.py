"""Photos and documents: taken in once, served to nobody but the party, deleted with their row.

A file's bytes are written before its row, so a row never points at nothing; if the row can't be
written, the bytes are removed again. Bytes of a deleted row stay as long as it can come back.
"""

import datetime as dt
import hashlib
import logging
import unicodedata
import uuid as uuids
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from claims import pictures
from claims.models import ConditionMark, DutyDone, Hole, KeptFile, Paper, Party, Spot, User
from claims.web.asof import zone
from trips.calc.words import marked, say

Owner = Paper | Hole | Spot | ConditionMark | DutyDone | None
NAME_CHARACTERS = 120
RESERVED = {"con", "prn", "aux", "nul", *(f"{p}{n}" for p in ("com", "lpt") for n in range(10))}
log = logging.getLogger(__name__)
REFUSED = marked("“{name}” is not kept. {why}")


@dataclass(frozen=True)
class Kept:
    """The row of a file, and whether it is new; the same file sent again is the one kept."""

    file: KeptFile
    is_new: bool


def clean_name(name: str) -> str:
    """The last part of a file's name as text for people: no path, no control characters."""
    last = name.replace("\\", "/").rpartition("/")[2]
    # Categories C*: line breaks, marks that turn the reading direction, private characters.
    shown = "".join(c for c in last if unicodedata.category(c)[0] != "C").strip(" .")
    stem, dot, ending = shown.rpartition(".")
    if len(shown) > NAME_CHARACTERS:
        keep = NAME_CHARACTERS - len(dot + ending)
        shown = f"{stem[:keep]}{dot}{ending}" if keep > 20 and stem else shown[:NAME_CHARACTERS]
    if shown.partition(".")[0].casefold() in RESERVED:
        shown = f"file-{shown}"
    return shown[:NAME_CHARACTERS] or "unnamed"


def keep_photo(
    *,
    party: Party,
    owner: Owner,
    content: bytes,
    name: str,
    user: User | None,
    now: dt.datetime,
    uuid: uuids.UUID | None = None,
    caption: str = "",
    role: str = KeptFile.Role.OTHER,
    taken_at: dt.datetime | None = None,
    position: tuple[int, int] | None = None,
    link=None,
) -> Kept:
    """Take a photo in: JPEG, PNG or WebP by content, written anew as JPEG without its tags.

    Place and time come from the caller or else from the picture, and are kept only if the party
    keeps them. The same `uuid`, or the same bytes at the same owner, gives the row that is there.

    Args:
        owner: what it belongs to; None for work of other apps, which pass `link`.
        position: latitude and longitude in millionths of a degree.
        link: called with the new row in its transaction; writes what points at it.
    Raises: ValidationError with a sentence that names the file.
    """
    found = _known(party, owner, content, uuid)
    if found is not None:
        return found
    try:
        picture = pictures.read_picture(content)
    except pictures.PictureError as error:
        raise _refused(name, error) from error
    row = _row(party, owner, content, name, user, now, uuid, caption, role)
    row.kind, row.content_type = KeptFile.Kind.PHOTO, "image/jpeg"
    row.width_px, row.height_px = picture.width_px, picture.height_px
    if party.keeps_photo_place:
        row.taken_at = _with_zone(taken_at or picture.taken_at, party, owner)
        row.latitude_udeg, row.longitude_udeg = position or picture.position or (None, None)
    return _store(row, picture.jpeg, "jpg", picture.small_jpeg, link)


def keep_document(
    *,
    party: Party,
    owner: Owner,
    content: bytes,
    name: str,
    user: User | None,
    now: dt.datetime,
    uuid: uuids.UUID | None = None,
    caption: str = "",
    role: str = KeptFile.Role.OTHER,
    link=None,
) -> Kept:
    """Take a PDF in as it is. Arguments and errors as for `keep_photo`."""
    found = _known(party, owner, content, uuid)
    if found is not None:
        return found
    try:
        pictures.check_document(content)
    except pictures.PictureError as error:
        raise _refused(name, error) from error
    row = _row(party, owner, content, name, user, now, uuid, caption, role)
    row.kind, row.content_type = KeptFile.Kind.DOCUMENT, "application/pdf"
    return _store(row, content, "pdf", b"", link)


def keep(*, content: bytes, **known) -> Kept:
    """Take in whichever it is by content: a PDF as a document, anything else as a photo."""
    if pictures.kind_of(content) == "pdf":
        known.pop("taken_at", None)
        known.pop("position", None)
        return keep_document(content=content, **known)
    return keep_photo(content=content, **known)


def read_bytes(file: KeptFile) -> bytes:
    """The kept bytes. Raises: FileNotFoundError if the storage has lost them."""
    with default_storage.open(file.stored.name, "rb") as stored:
        return stored.read()


@transaction.atomic
def change_file(*, file: KeptFile) -> KeptFile:
    """Save a file's caption and role."""
    file.full_clean()
    file.save(update_fields=["caption", "role"])
    return file


@transaction.atomic
def delete_file(*, file: KeptFile) -> None:
    """Delete a file's row; its bytes stay for a month, so that it can be brought back."""
    file.delete()


def forget_places(party: Party) -> int:
    """Erase place and time of every photo of the party; the number of photos that had one."""
    had = KeptFile.objects.filter(party=party).exclude(latitude_udeg=None, taken_at=None)
    return had.update(latitude_udeg=None, longitude_udeg=None, taken_at=None)


def _remove(names: list[str]) -> None:
    for name in names:
        default_storage.delete(name)


def _refused(name: str, error: Exception | str) -> ValidationError:
    return ValidationError(say(REFUSED, name=clean_name(name), why=error), "file")


def _known(party, owner, content, uuid) -> Kept | None:
    """The row that this file has already, if it was sent before."""
    source = hashlib.sha256(content).hexdigest()
    if uuid is not None:
        same = KeptFile.objects.filter(party=party, uuid=uuid).first()
        if same is not None:
            return _same(same, source)
    if owner is not None:
        row = KeptFile.objects.filter(
            party=party, source_sha256=source, **{_target(owner): owner}
        ).first()
        return Kept(row, False) if row else None
    return None


def _same(row: KeptFile, source: str) -> Kept:
    if row.source_sha256 != source:
        raise ValidationError(
            gettext(
                "Another file is kept under the same number already ({row}). Add this one anew."
            ).format(row=row),
            "uuid",
        )
    return Kept(row, False)


def _target(owner: Owner) -> str:
    if owner is None:
        return KeptFile.Target.WORK
    names = {Paper: "paper", Hole: "hole", Spot: "spot", ConditionMark: "mark", DutyDone: "done"}
    return names[type(owner)]


def _holder(owner: Owner) -> int:
    """The party that an owner belongs to."""
    match owner:
        case Spot():
            return owner.site.party_id
        case ConditionMark():
            return owner.condition.paper.party_id
        case DutyDone():
            return owner.duty.party_id
    return owner.party_id


def _row(party, owner, content, name, user, now, uuid, caption, role) -> KeptFile:
    if owner is not None and _holder(owner) != party.pk:
        raise ValidationError(gettext("What the file belongs to isn't in this record."), "owner")
    target = _target(owner)
    row = KeptFile(
        party=party,
        uuid=uuid or uuids.uuid4(),
        target=target,
        name_sent=clean_name(name),
        source_sha256=hashlib.sha256(content).hexdigest(),
        added_by=user,
        added_at=now,
        caption=caption.strip(),
        role=role,
    )
    if owner is not None:
        setattr(row, target, owner)
    return row


def _with_zone(taken_at: dt.datetime | None, party: Party, owner: Owner) -> dt.datetime | None:
    """A clock face without a zone is read as the clock at the place, or else at the party's."""
    if taken_at is None or taken_at.tzinfo is not None:
        return taken_at
    site = getattr(owner, "site", None)
    return taken_at.replace(tzinfo=zone((site.time_zone if site else "") or party.time_zone))


def _store(row: KeptFile, content: bytes, ending: str, small: bytes, link) -> Kept:
    """Bytes first, then the row; whatever fails leaves neither."""
    row.sha256, row.size_bytes = hashlib.sha256(content).hexdigest(), len(content)
    stem = f"files/{row.party_id}/{row.uuid}"
    written: list[str] = []
    try:
        written.append(save_bytes(f"{stem}.{ending}", content))
        if small:
            written.append(save_bytes(f"{stem}-small.{ending}", small))
        row.stored, row.stored_small = written[0], written[1] if small else ""
        with transaction.atomic():
            # The row of a second phone that was quicker decides; see below.
            row.full_clean(validate_unique=False, validate_constraints=False)
            row.save(force_insert=True)
            if link is not None:
                link(row)
    except IntegrityError:
        _remove(written)
        quicker = KeptFile.objects.filter(party=row.party_id, uuid=row.uuid).first()
        if quicker is None:
            raise
        return _same(quicker, row.source_sha256)
    except OSError as error:
        _remove(written)
        raise _refused(row.name_sent, unwritten(error)) from error
    except BaseException:
        _remove(written)
        raise
    return Kept(row, True)


class StorageTrouble(OSError):
    """A shared storage gave an error of its own kind; the message is its."""


@contextmanager
def storage_said() -> Iterator[None]:
    """Within, whatever a storage library raises is an OSError, as a folder would raise it."""
    try:
        yield
    except OSError:
        raise
    except Exception as error:
        log.exception("The storage gave an error")
        raise StorageTrouble(f"{type(error).__name__}: {str(error)[:200]}") from error


def save_bytes(name: str, content: bytes) -> str:
    """Put bytes into the storage; the name they got. Raises: OSError, whatever the storage is."""
    with storage_said():
        return default_storage.save(name, ContentFile(content))


def unwritten(error: OSError) -> str:
    """What to say when the storage takes nothing: full, read-only or gone."""
    return say(
        "The storage can't be written ({strerror}). Nothing was changed: "
        "free some space or ask whoever runs this site, then send it again.",
        strerror=error.strerror or error,
    )
