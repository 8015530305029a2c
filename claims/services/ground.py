"""Sites and holes: saved with checks over several rows; sums resting on them follow."""

import datetime as dt
from operator import attrgetter

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims import hooks
from claims.models import Hole, Site, SiteShape, Spot
from claims.web import show

access_leg = attrgetter("sealed_m", "unsealed_m", "track_m", "drive_minutes", "walk_minutes")


@transaction.atomic
def save_site(*, site: Site) -> Site:
    """Save a site; trips are worked out anew if the way there changed."""
    site.full_clean()
    before = Site.objects.filter(pk=site.pk).first()
    site.save()
    if before is not None and access_leg(before) != access_leg(site):
        hooks.tell_party_changed(site.party)
    return site


@transaction.atomic
def save_spot(*, spot: Spot) -> Spot:
    """Save a spot; what was washed there goes along if it proves to be at another site."""
    spot.full_clean()
    before = Spot.objects.filter(pk=spot.pk).values_list("site_id", flat=True).first()
    spot.save()
    if before not in (None, spot.site_id):
        hooks.tell_party_changed(spot.site.party)
    return spot


@transaction.atomic
def save_shape(*, shape: SiteShape) -> SiteShape:
    """Save a site's outline and radius."""
    shape.full_clean()
    shape.save()
    return shape


@transaction.atomic
def save_hole(*, hole: Hole) -> Hole:
    """Save a hole, open or filled."""
    hole.full_clean()
    hole.save()
    return hole


@transaction.atomic
def fill_hole(*, hole: Hole, filled_on: dt.date) -> Hole:
    """Note that a hole was filled on a day; refused before the day it was opened.

    A day that is noted already stays: the page may be read for an earlier day.
    """
    if hole.filled_on is not None:
        raise ValidationError(
            gettext("it is filled already, on {filled_on}; edit the hole to change that.").format(
                filled_on=show.day(hole.filled_on)
            )
        )
    hole.filled_on = filled_on
    hole.full_clean()
    hole.save(update_fields=["filled_on"])
    return hole
