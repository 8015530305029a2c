"""Who may see and change what: one function for each kind of object.

Somebody else's object doesn't exist: every function answers 404, with no hint that
the number belongs to another party. A role that may look but not write gets 403.
"""

from functools import wraps

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect

from claims.models import (
    ConditionMark,
    Duty,
    DutyDone,
    Hole,
    Invitation,
    Job,
    KeptFile,
    Membership,
    OwnRule,
    Paper,
    PaperCondition,
    PartyPack,
    Person,
    Site,
    Spot,
)

RANK = {Membership.Role.READER: 0, Membership.Role.HAND: 1, Membership.Role.KEEPER: 2}


def may(request, role: str) -> bool:
    """Whether the signed-in person's role in the current party reaches `role`."""
    return request.membership is not None and RANK[request.membership.role] >= RANK[role]


def _page(role: str):
    """Signed in, in a party, and of at least `role`; writing methods need a hand or keeper."""

    def decorate(view):
        @login_required
        @wraps(view)
        def guarded(request, *args, **kwargs):
            if request.party is None:
                return redirect("claims:party_create")
            if not may(request, role):
                raise PermissionDenied(f"This needs the role of a {role} in {request.party}.")
            return view(request, *args, **kwargs)

        return guarded

    return decorate


reader_page = _page(Membership.Role.READER)
hand_page = _page(Membership.Role.HAND)
keeper_page = _page(Membership.Role.KEEPER)


def own_site(request, pk: int) -> Site:
    return get_object_or_404(Site, party=request.party, pk=pk)


def own_spot(request, pk: int) -> Spot:
    return get_object_or_404(Spot.objects.select_related("site"), site__party=request.party, pk=pk)


def own_hole(request, pk: int) -> Hole:
    return get_object_or_404(
        Hole.objects.select_related("site", "spot"), party=request.party, pk=pk
    )


def own_paper(request, pk: int) -> Paper:
    return get_object_or_404(Paper, party=request.party, pk=pk)


def own_rule(request, pk: int) -> OwnRule:
    return get_object_or_404(OwnRule.objects.select_related("site"), party=request.party, pk=pk)


def own_pack_row(request, pk: int) -> PartyPack:
    return get_object_or_404(PartyPack, party=request.party, pk=pk)


def own_condition(request, pk: int) -> PaperCondition:
    return get_object_or_404(
        PaperCondition.objects.select_related("paper"), paper__party=request.party, pk=pk
    )


def own_mark(request, pk: int) -> ConditionMark:
    marks = ConditionMark.objects.select_related("condition__paper")
    return get_object_or_404(marks, condition__paper__party=request.party, pk=pk)


def own_duty(request, pk: int) -> Duty:
    duties = Duty.objects.select_related("paper", "site", "condition")
    return get_object_or_404(duties, party=request.party, pk=pk)


def own_settled(request, pk: int) -> DutyDone:
    settled = DutyDone.objects.select_related("duty")
    return get_object_or_404(settled, duty__party=request.party, pk=pk)


def own_person(request, pk: int) -> Person:
    return get_object_or_404(Person, party=request.party, pk=pk)


def own_invitation(request, pk: int) -> Invitation:
    return get_object_or_404(Invitation, party=request.party, pk=pk)


def own_file(request, pk: int) -> KeptFile:
    return get_object_or_404(KeptFile, party=request.party, pk=pk)


def own_job(request, pk: int) -> Job:
    """Work asked for in the party's record, or what somebody brings in that is no record yet."""
    mine = Q(party=None, asked_by=request.user)
    if request.party is not None:
        mine |= Q(party=request.party)
    return get_object_or_404(Job.objects.select_related("asked_by"), mine, pk=pk)
