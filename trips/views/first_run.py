"""Second and third step of a new record: the car, then gear. Both can be skipped."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import keeper_page
from claims.web.forms import form_options
from claims.web.pages import FormPage
from trips.forms.first_run import FirstCarForm, FirstGearForm
from trips.models import Vehicle
from trips.presets import CARS, GEAR
from trips.services.first_run import add_gear, save_car

USUAL_CAR = "estate"
USUAL_GEAR = ("pan16", "tools")


@keeper_page
def first_car(request):
    """A car with starting figures; another preset is one link away."""
    key = request.GET.get("preset", USUAL_CAR)
    preset = CARS.get(key, CARS[USUAL_CAR])
    form = FirstCarForm(
        request.POST or None,
        instance=Vehicle(party=request.party),
        initial=dict(preset.values),
        **form_options(request),
    )
    if request.method == "POST" and form.is_valid():
        save_car(party=request.party, car=form.instance, fuel_price=form.cleaned_data["price"])
        messages.success(request, gettext("{instance} is saved.").format(instance=form.instance))
        return redirect("trips:first_gear")
    page = FormPage(
        gettext("Your car"),
        form,
        gettext("Save and go on"),
        intro=gettext(
            "The drive is often the largest cost of a day. Wear and towing can be noted later "
            "under Gear and cars."
        ),
        step=2,
        skip=reverse("trips:first_gear"),
    )
    context = {
        "page": page,
        "presets": [(key, each.words, each is preset) for key, each in CARS.items()],
        "chosen": preset,
    }
    return render(request, "trips/first_car.html", context)


@keeper_page
def first_gear(request):
    """What comes along, ticked from the presets."""
    form = FirstGearForm(
        request.POST or None, initial={"gear": USUAL_GEAR}, **form_options(request)
    )
    if request.method == "POST" and form.is_valid():
        presets = [GEAR[key] for key in form.cleaned_data["gear"]]
        added = add_gear(party=request.party, presets=presets)
        if added:
            names = ", ".join(piece.name for piece in added)
            messages.success(
                request, gettext("Noted: {names}. Every figure can be changed.").format(names=names)
            )
        return redirect("claims:first_site")
    page = FormPage(
        gettext("Your gear"),
        form,
        gettext("Save and go on"),
        intro=gettext(
            "Tick what you have. Sizes, fuel, price and wear can be changed, and anything else "
            "added, under Gear and cars."
        ),
        step=3,
        skip=reverse("claims:first_site"),
    )
    return render(request, "claims/form_page.html", {"page": page})
