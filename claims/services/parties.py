"""Parties, members and invitations: what changes more than one row or needs a rule over rows."""

import datetime as dt
import hashlib

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from claims import hooks
from claims.models import Invitation, Membership, Party, Person, User
from claims.models.fact import ChangedMeanwhile, PastState
from claims.services import files

INVITATION_DAYS = 7
# Names, words for people and switches; everything else enters a sum.
WORDS_ONLY = {
    "id",
    "version",
    "name",
    "home_name",
    "time_zone",
    "coarse_words",
    "medium_words",
    "fine_words",
    "keeps_photo_place",
}


@transaction.atomic
def create_party(*, party: Party, user: User) -> Party:
    """A new record with its founder as keeper and as the first person who comes along."""
    party.full_clean()
    party.save()
    _let_in(party, user, Membership.Role.KEEPER, by=user)
    return party


def _let_in(party: Party, user: User, role: str, *, by: User) -> Membership:
    member = Membership(party=party, user=user, role=role)
    # Whoever follows a link was let in by its maker; at a sign-up nobody is signed in.
    member._history_user = by
    member.save()
    _add_person(party, user)
    return member


@transaction.atomic
def change_party(*, party: Party) -> Party:
    """Save a party's defaults; what rests on them is worked out anew."""
    party.full_clean()
    before = Party.objects.select_for_update().get(pk=party.pk)
    if party.currency != before.currency and has_amounts(before):
        raise ValidationError(
            {
                "currency": gettext(
                    "Amounts are recorded in {currency}; it can't change any more."
                ).format(currency=before.currency)
            }
        )
    party.save()
    if before.keeps_photo_place and not party.keeps_photo_place:
        files.forget_places(party)
    counted = [f.attname for f in Party._meta.concrete_fields if f.name not in WORDS_ONLY]
    if any(getattr(before, name) != getattr(party, name) for name in counted):
        hooks.tell_party_changed(party)
    return party


def has_amounts(party: Party) -> bool:
    """Whether any row of the party holds money, which would change its meaning with the currency.

    Found by the names of the columns, because rows of other apps belong to a party too.
    """
    # Hidden ones too: field records have no name on the party's side.
    related = [
        relation
        for relation in Party._meta.get_fields(include_hidden=True)
        if relation.auto_created
        and not relation.concrete
        and not relation.many_to_many
        and not issubclass(relation.related_model, PastState)
    ]
    for relation in related:
        rows = relation.related_model.objects.filter(**{relation.field.name: party})
        for field in relation.related_model._meta.concrete_fields:
            if field.name.endswith(("_minor", "_micros", "_milli_per_l", "_milli_per_km")) and (
                rows.exclude(**{field.name: None}).exists()
            ):
                return True
    return False


def _add_person(party: Party, user: User) -> None:
    if party.people.filter(user=user).exists():
        return
    name = str(user)[:100]
    if party.people.filter(name=name).exists():
        name = f"{name[:60]} ({user.username[:50]})"
    Person.objects.create(party=party, name=name, user=user)


def hash_of(token: str) -> str:
    """What is stored of the secret of an invitation or a calendar."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def invite(
    *, party: Party, role: str, created_by: User, token: str, now: dt.datetime
) -> Invitation:
    """An invitation for one person; `token` is the secret of its link and isn't kept."""
    invitation = Invitation(
        party=party,
        role=role,
        created_by=created_by,
        token_sha256=hash_of(token),
        created_at=now,
        expires_at=now + dt.timedelta(days=INVITATION_DAYS),
    )
    invitation.full_clean()
    invitation.save()
    return invitation


def open_invitation(token: str, now: dt.datetime) -> Invitation | None:
    """The invitation of a link, if it is there and still lets somebody in."""
    found = Invitation.objects.select_related("party").open(now)
    return found.filter(token_sha256=hash_of(token)).first()


def joined_by(token: str, user: User) -> Membership | None:
    """The place that this person got by a link, if they are still there."""
    used = Invitation.objects.filter(token_sha256=hash_of(token), used_by=user)
    return Membership.objects.filter(user=user, party__in=used.values("party")).first()


@transaction.atomic
def accept_invitation(*, token: str, user: User, now: dt.datetime) -> Membership | None:
    """The place in the party that the link gives; None if the link isn't good.

    Somebody who is a member already keeps their role, and the link stays unused.
    """
    invitation = open_invitation(token, now)
    if invitation is None:
        return None
    member = Membership.objects.filter(party=invitation.party, user=user).first()
    if member is not None:
        return member
    # Two people with the same link: the one update that still finds it unused wins.
    unused = Invitation.objects.filter(pk=invitation.pk, used_at=None)
    if not unused.update(used_at=now, used_by=user):
        return None
    return _let_in(invitation.party, user, invitation.role, by=invitation.created_by)


@transaction.atomic
def change_role(*, membership: Membership, role: str) -> Membership:
    """Another role for a member; the last keeper stays one.

    Raises:
        ChangedMeanwhile: it got another one after it was read, or the member is gone.
    """
    _hold_last_keeper(membership, role)
    stored = Membership.objects.filter(pk=membership.pk).values_list("role", flat=True).first()
    if stored != membership.role:
        raise ChangedMeanwhile(membership)
    membership.role = role
    membership.full_clean()
    membership.save(update_fields=["role"])
    return membership


@transaction.atomic
def remove_member(*, membership: Membership) -> None:
    """Take away somebody's place; what they recorded stays, and so does their person row."""
    _hold_last_keeper(membership, "")
    membership.delete()


def _hold_last_keeper(membership: Membership, role: str) -> None:
    keeper = Membership.Role.KEEPER
    # The party's row is the lock: two keepers can't step down at the same moment.
    Party.objects.select_for_update().get(pk=membership.party_id)
    others = Membership.objects.filter(party_id=membership.party_id, role=keeper)
    if role != keeper and not others.exclude(pk=membership.pk).exists():
        raise ValidationError(
            gettext("A party needs at least one keeper. Make somebody else keeper first."),
            "last_keeper",
        )
