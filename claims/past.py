"""What facts were before: the states of one row, what was deleted lately, who may open a record."""

import datetime as dt
import functools
import uuid
from dataclasses import dataclass, field

from django.apps import apps
from django.db import connection, models
from django.db.models import Window
from django.db.models.functions import Lag

from claims.models import Membership, Party, User
from claims.models.fact import Versioned
from claims.web import show
from trips.calc.money import from_minor
from trips.calc.words import say

UNDO_DAYS = 30
STATES_SHOWN = 50
SETS_SHOWN = 50
# Kept as the reason of a state that the demo's loader wrote.
FROM_DEMO = "from the demo's files"
DONE = {"+": "written", "~": "changed", "-": "deleted"}
# Of no use to anybody who reads what a row said.
SILENT = {"id", "version", "uuid", "party", "revision", "changed_at", "created_at", "sequence"}
MONEY = "_minor"
MONEY_PER = {"_milli_per_l": "L", "_milli_per_km": "km"}
# Endings of stored columns → how a value is said. Money needs the row's currency.
SAID = {
    "_ug": lambda value: show.quantity("mass", value, "g"),
    "_ml": lambda value: show.quantity("volume", value, "L"),
    "_mm": lambda value: f"{show.grouped(value)}\u202fmm",
    "_m": lambda value: show.quantity("distance", value, "km"),
    "_udeg": lambda value: f"{value / 1_000_000:.6f}°",
    "minutes": show.minutes,
}


@functools.cache
def fact_models() -> dict[str, type[models.Model]]:
    """Every model whose past is kept, by the word for it in addresses; links come last.

    In an order in which a row comes after what it points to.
    """
    waiting = sorted(
        (model for model in apps.get_models() if issubclass(model, Versioned)),
        key=lambda model: model._meta.label,
    )
    placed: list[type[models.Model]] = []
    while waiting:
        ready = [
            model
            for model in waiting
            if not any(
                one.related_model in waiting and one.related_model is not model
                for one in (*model._meta.concrete_fields, *model._meta.many_to_many)
                if one.is_relation
            )
        ]
        placed += ready
        waiting = [model for model in waiting if model not in ready]
    return {model._meta.model_name: model for model in placed}


@dataclass(frozen=True)
class Difference:
    """One column of a row before and after a change, in words."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class State:
    """One save of a row."""

    at: dt.datetime
    who: str
    done: str
    what: str
    differences: tuple[Difference, ...]


def states(model: type[models.Model], pk: int, party: Party) -> tuple[State, ...]:
    """The saves of one row, latest first; empty if no such row was ever this party's."""
    rows = list(
        model.history.filter(id=pk, record_party_id=party.pk)
        .select_related("history_user")
        .order_by("-history_date", "-history_id")[: STATES_SHOWN + 1]
    )
    told = []
    for place, row in enumerate(rows[:STATES_SHOWN]):
        before = rows[place + 1] if place + 1 < len(rows) else None
        told.append(
            State(
                at=row.history_date,
                who=_who(row),
                done=DONE[row.history_type],
                what=_name(row),
                differences=_differences(model, before, row, party),
            )
        )
    return tuple(told)


def _who(state) -> str:
    """Who wrote a kept state; what no person wrote says what did, where that was noted."""
    if state.history_user:
        return str(state.history_user)
    if state.history_change_reason == FROM_DEMO:
        return say("the demo (loaded by a command)")
    return say("somebody not known (a command or an earlier version)")


@dataclass(frozen=True)
class MemberChange:
    """Somebody came into a party, got another role, or can't open it any more."""

    at: dt.datetime
    what: str


def member_changes(party: Party) -> tuple[MemberChange, ...]:
    """What became of the members of a party, the latest first; one query."""
    rows = (
        Membership.history.filter(record_party_id=party.pk)
        .select_related("user", "history_user")
        .annotate(before=Window(Lag("role"), partition_by="id", order_by="history_id"))
        .order_by("-history_date", "-history_id")[:STATES_SHOWN]
    )
    return tuple(MemberChange(row.history_date, _became(row)) for row in rows)


def _became(row) -> str:
    who, member = _who(row), str(row.user) if row.user else _name(row)
    by_themselves = row.user is not None and row.user == row.history_user
    role = row.get_role_display()
    if row.history_type == "+":
        if by_themselves:
            return say("{member} came in as {role}", member=member, role=role)
        return say("{who} let {member} in as {role}", who=who, member=member, role=role)
    if row.history_type == "-":
        if by_themselves:
            return say("{member} left and was {role}", member=member, role=role)
        return say("{who} removed {member}, who was {role}", who=who, member=member, role=role)
    if row.before is None:
        return say("{member} was {role} when changes began to be kept", member=member, role=role)
    return say(
        "{who} changed the role of {member} from {before} to {role}",
        who=who,
        member=member,
        before=Membership.Role(row.before).label,
        role=role,
    )


def _name(row) -> str:
    return row.called or say("number {id}", id=row.id)


def _differences(model, before, after, party: Party) -> tuple[Difference, ...]:
    if before is None or after.history_type == "-":
        return ()
    found = []
    for column in model._meta.concrete_fields:
        if column.name in SILENT or not hasattr(after, column.attname):
            continue
        old, new = getattr(before, column.attname), getattr(after, column.attname)
        if old != new:
            found.append(
                Difference(
                    _label(column),
                    _said(column, old, before, party),
                    _said(column, new, after, party),
                )
            )
    return tuple(found)


def _label(column: models.Field) -> str:
    """The column's words without the unit it is stored in: its value brings its own."""
    label = str(column.verbose_name)
    for ending in (MONEY, *MONEY_PER, *SAID):
        if ending.startswith("_") and column.name.endswith(ending):
            label = label.removesuffix(ending.replace("_", " "))
            break
    return label[:1].upper() + label[1:]


def _said(column: models.Field, value, row, party: Party) -> str:
    if value is None or value == "":
        return "nothing"
    if column.is_relation:
        return _related(column, value)
    if column.choices:
        return str(dict(column.flatchoices).get(value, value))
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if column.name.endswith(MONEY):
        return show.money(value, getattr(row, "currency", "") or party.currency)
    for ending, per in MONEY_PER.items():
        if column.name.endswith(ending):
            amount = f"{from_minor(value, 'JPY') / 1000} {party.currency}"
            return say("{amount} per {unit}", amount=amount, unit=per)
    for ending, shown in SAID.items():
        if column.name.endswith(ending):
            return shown(value)
    if isinstance(value, dt.datetime):
        return say("{date}, {value:%H:%M} UTC", date=show.day(value.date()), value=value)
    if isinstance(value, dt.date):
        return show.day(value)
    return str(value)


def _related(column: models.Field, pk) -> str:
    """The name of the row pointed to; its last name if it is gone by now."""
    model = column.related_model
    row = model._base_manager.filter(pk=pk).first()
    if row is not None:
        return str(row)
    if issubclass(model, Versioned):
        past = model.history.filter(id=pk).first()
        if past is not None:
            return say("{past} (deleted)", past=_name(past))
    return say("number {pk}", pk=pk)


@dataclass
class DeletedSet:
    """What one press of a button deleted."""

    key: uuid.UUID
    at: dt.datetime
    who: str
    by: int | None
    names: list[str] = field(default_factory=list)
    kinds: dict[str, int] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """The names of the first few rows, the one that was deleted last first."""
        if not self.names:
            return self.words
        more = len(self.names) - 3
        return ", ".join(self.names[:3]) + (say(" and {more} more", more=more) if more > 0 else "")

    @property
    def words(self) -> str:
        """How many of each kind went."""
        return ", ".join(
            f"{count} {fact_models()[kind]._meta.verbose_name_plural}"
            if count > 1
            else str(fact_models()[kind]._meta.verbose_name)
            for kind, count in self.kinds.items()
        )


@functools.cache
def past_model(model: type[models.Model]) -> type[models.Model]:
    """The model of the past states of a kind; asking `history` for it makes a manager's class."""
    return model.history.model


def deleted_sets(party: Party, now: dt.datetime) -> tuple[DeletedSet, ...]:
    """What was deleted in the last month and isn't back, latest first; two queries and one a kind.

    Deletions by a command belong to no set and aren't offered.
    """
    rows = _deleted_rows(party, now - dt.timedelta(days=UNDO_DAYS))
    sets: dict[uuid.UUID, DeletedSet] = {}
    by = {row.history_user_id for row in rows}
    people = {user.pk: str(user) for user in User.objects.filter(pk__in=by)}
    back = _kinds_back(rows)
    for row in rows:
        kind, key, user_id = row.which, row.change_set, row.history_user_id
        if (kind, row.id) in back:
            continue
        if key not in sets and len(sets) == SETS_SHOWN:
            continue
        one = sets.setdefault(
            key, DeletedSet(key, row.history_date, people.get(user_id, say("not known")), user_id)
        )
        one.kinds[kind] = one.kinds.get(kind, 0) + 1
        if row.called:
            one.names.append(row.called)
    return tuple(sets.values())


def _deleted_rows(party: Party, since: dt.datetime) -> list:
    """The states in which rows were deleted, latest first, each with `which` kind it is of."""
    kinds = fact_models()
    # They are read as states of one kind; the columns asked for are the same in all.
    reader = past_model(next(iter(kinds.values())))
    return list(reader.objects.raw(_deleted_asked(), [party.pk, since] * len(kinds)))


@functools.cache
def _deleted_asked() -> str:
    """The text of that question, which hangs on names alone: made anew it took most of the page."""
    quoted = connection.ops.quote_name
    return (
        " UNION ALL ".join(
            f"SELECT history_id, id, called, change_set, history_date, history_user_id, "
            f"'{word}' AS which FROM {quoted(past_model(model)._meta.db_table)} "
            "WHERE record_party_id = %s AND history_type = '-' AND history_date >= %s "
            "AND change_set IS NOT NULL"
            for word, model in fact_models().items()
        )
        + " ORDER BY history_date DESC"
    )


def _kinds_back(rows) -> set[tuple[str, int]]:
    """Of the deleted rows, those that exist again."""
    by_kind: dict[str, set[int]] = {}
    for row in rows:
        by_kind.setdefault(row.which, set()).add(row.id)
    return {
        (kind, pk)
        for kind, pks in by_kind.items()
        for pk in fact_models()[kind]._base_manager.filter(pk__in=pks).values_list("pk", flat=True)
    }


def file_columns(model: type[models.Model]) -> list[str]:
    """The columns of a model that name bytes in the storage."""
    return [
        column.attname
        for column in model._meta.concrete_fields
        if isinstance(column, models.FileField)
    ]


def deleted_file_names(now: dt.datetime, *, can_come_back: bool) -> set[str]:
    """Stored names of files of deleted rows: of those that can still come back, or of the rest."""
    since = now - dt.timedelta(days=UNDO_DAYS)
    names: set[str] = set()
    for model in fact_models().values():
        for column in file_columns(model):
            gone = model.history.filter(history_type="-").exclude(**{column: ""})
            when = {"history_date__gte" if can_come_back else "history_date__lt": since}
            told = set(gone.filter(**when).values_list(column, flat=True))
            there = model._base_manager.filter(**{f"{column}__in": told})
            names |= told - set(there.values_list(column, flat=True))
    return names
