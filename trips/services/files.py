"""Photos and documents of trips and weigh-ins: kept by `claims`, tied to the work here."""

import hashlib

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from claims.models import Hole, KeptFile, Paper, Spot
from claims.services import files
from claims.services.files import Kept
from trips.models import Trip, TripFile, WeighIn

Owner = Trip | WeighIn | Hole | Spot | Paper


def keep(*, party, owner: Owner, content: bytes, **known) -> Kept:
    """Take a file in for anything that can have one. See `claims.services.files.keep_photo`.

    `known` takes name, user, now and, as wanted, uuid, caption, role, taken_at, position.
    Sent again with the same uuid, or the same bytes for the same owner, it gives the row that
    is there. Raises: ValidationError with a sentence that names the file.
    """
    if not isinstance(owner, Trip | WeighIn):
        return files.keep(party=party, owner=owner, content=content, **known)
    if owner.party_id != party.pk:
        raise ValidationError(gettext("What the file belongs to isn't in this record."), "owner")
    place = "trip" if isinstance(owner, Trip) else "weigh_in"
    same = TripFile.objects.filter(
        **{place: owner}, file__source_sha256=hashlib.sha256(content).hexdigest()
    ).select_related("file")
    if (tie := same.first()) is not None:
        return Kept(tie.file, False)

    def link(file: KeptFile) -> None:
        TripFile.objects.create(file=file, **{place: owner})

    return files.keep(party=party, owner=None, content=content, link=link, **known)


def remove_file_of_tie(sender, instance: TripFile, **kwargs) -> None:
    """A trip or weigh-in that is deleted takes its files along, but for those that were moved."""
    KeptFile.objects.filter(pk=instance.file_id, target=KeptFile.Target.WORK).delete()
