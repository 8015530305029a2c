"""Files of trips and weigh-ins; one query each."""

from django.urls import reverse

from claims.models import KeptFile
from trips.models import Trip, TripFile, WeighIn


def files_of(owner: Trip | WeighIn) -> tuple[KeptFile, ...]:
    """The photos and documents of a trip or a weigh-in, oldest first."""
    return tuple(tie.file for tie in owner.trip_files.select_related("file"))


def page_of_file(file: KeptFile) -> str:
    """The address of the trip or weigh-in a file belongs to, or ""."""
    tie = TripFile.objects.filter(file=file).first()
    if tie is None:
        return ""
    if tie.trip_id is not None:
        return reverse("trips:trip_detail", args=[tie.trip_id])
    return reverse("trips:weighin_detail", args=[tie.weigh_in_id])
