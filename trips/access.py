"""Who may see and change trips, gear and gold: one function for each kind of object.

Somebody else's object doesn't exist: every function answers 404.
"""

from django.shortcuts import get_object_or_404

from trips.models import (
    Cost,
    DistanceRate,
    FieldRecord,
    Flood,
    Gauge,
    Gear,
    GoldLot,
    HoursBlock,
    ImportBatch,
    MergedLot,
    Price,
    Run,
    SignOff,
    TestPan,
    Track,
    Trip,
    Vehicle,
    WeighIn,
)


def own_trip(request, pk: int) -> Trip:
    return get_object_or_404(Trip.objects.select_related("vehicle"), party=request.party, pk=pk)


def own_vehicle(request, pk: int) -> Vehicle:
    return get_object_or_404(Vehicle, party=request.party, pk=pk)


def own_gear(request, pk: int) -> Gear:
    return get_object_or_404(Gear, party=request.party, pk=pk)


def own_weigh_in(request, pk: int) -> WeighIn:
    return get_object_or_404(WeighIn.objects.select_related("trip"), party=request.party, pk=pk)


def own_lot(request, pk: int) -> GoldLot:
    return get_object_or_404(
        GoldLot.objects.select_related("weigh_in", "merged"), party=request.party, pk=pk
    )


def own_merged(request, pk: int) -> MergedLot:
    return get_object_or_404(MergedLot, party=request.party, pk=pk)


def own_rate(request, pk: int) -> DistanceRate:
    return get_object_or_404(DistanceRate, party=request.party, pk=pk)


def own_gauge(request, pk: int) -> Gauge:
    return get_object_or_404(Gauge, party=request.party, pk=pk)


def own_flood(request, pk: int) -> Flood:
    return get_object_or_404(Flood.objects.select_related("gauge"), party=request.party, pk=pk)


def own_price(request, pk: int) -> Price:
    return get_object_or_404(Price, party=request.party, pk=pk)


def own_pan(request, pk: int) -> TestPan:
    return get_object_or_404(
        TestPan.objects.select_related("trip", "spot__site"), party=request.party, pk=pk
    )


def own_run(request, pk: int) -> Run:
    return get_object_or_404(
        Run.objects.select_related("trip", "spot__site"), party=request.party, pk=pk
    )


def own_cost(request, pk: int) -> Cost:
    return get_object_or_404(Cost.objects.select_related("trip"), party=request.party, pk=pk)


def own_signoff(request, pk: int) -> SignOff:
    return get_object_or_404(
        SignOff.objects.select_related("trip"), trip__party=request.party, pk=pk
    )


def own_batch(request, pk: int) -> ImportBatch:
    return get_object_or_404(ImportBatch, party=request.party, pk=pk)


def own_hours(request, pk: int) -> HoursBlock:
    return get_object_or_404(HoursBlock.objects.select_related("trip"), party=request.party, pk=pk)


def own_track(request, pk: int) -> Track:
    return get_object_or_404(
        Track.objects.select_related("trip__party"), party=request.party, pk=pk
    )


def own_field_record(request, pk: int) -> FieldRecord:
    return get_object_or_404(FieldRecord.objects.select_related("trip"), party=request.party, pk=pk)
