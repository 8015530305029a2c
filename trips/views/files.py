"""Photos and documents of trips and weigh-ins."""

from django.urls import reverse

from claims.access import hand_page
from claims.views.files import files_form
from trips.access import own_trip, own_weigh_in
from trips.services import files


@hand_page
def trip_files_create(request, pk):
    trip = own_trip(request, pk)
    back = reverse("trips:trip_detail", args=[pk])
    return files_form(request, trip, str(trip), back, keep=files.keep)


@hand_page
def weighin_files_create(request, pk):
    weigh_in = own_weigh_in(request, pk)
    back = reverse("trips:weighin_detail", args=[pk])
    return files_form(request, weigh_in, str(weigh_in), back, keep=files.keep)
