"""A site's outline: drawn, typed or from a file."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from claims.access import hand_page, own_site
from claims.forms.shapes import ShapeForm
from claims.models import SiteShape
from claims.services import ground
from claims.web.forms import form_options
from claims.web.pages import FormPage


@hand_page
def site_shape(request, pk):
    site = own_site(request, pk)
    shape = SiteShape.objects.filter(site=site).first() or SiteShape(site=site)
    shape.site = site
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = ShapeForm(*sent, instance=shape, **form_options(request))
    back = reverse("reports:site_page", args=[pk])
    if request.method == "POST" and form.is_valid():
        ground.save_shape(shape=form.instance)
        messages.success(request, gettext("The outline of {site} is saved.").format(site=site))
        return redirect(back)
    page = FormPage(
        gettext("Outline of {site}").format(site=site),
        form,
        gettext("Save outline"),
        back,
        crumb=site.name,
    )
    return render(request, "claims/site_shape.html", {"page": page, "site": site})
