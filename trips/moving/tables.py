"""Which tables one party's record consists of, and their columns, for the way out and back in."""

from django.db import models

from claims.models import Party
from claims.past import fact_models
from trips.models import TripFile

KIND = "gravel ledger record"
FORMAT = 1
LIST = "record.json"
# Of no use elsewhere: they count saves on this installation.
LEFT_OUT = {"version", "revision", "changed_at", "origin_key"}
FILE_COLUMNS = (
    "id",
    "uuid",
    "path",
    "paper_id",
    "hole_id",
    "spot_id",
    "mark_id",
    "done_id",
    "trip_id",
    "weigh_in_id",
    "name_sent",
    "caption",
    "role",
    "taken_at",
    "latitude_udeg",
    "longitude_udeg",
)
TRACK_COLUMNS = ("id", "uuid", "path", "trip_id", "name_sent", "clock_shift_minutes")


def fact_tables() -> list[type[models.Model]]:
    """Every kind of fact, each after what it points to; the party first.

    Photos, papers and tracks go by tables of their own that name their files.
    """
    found = [
        model for model in fact_models().values() if model is not TripFile and not has_file(model)
    ]
    return sorted(found, key=lambda model: model is not Party)


def has_file(model: type[models.Model]) -> bool:
    """Whether rows of a model keep bytes in the storage."""
    return any(isinstance(field, models.FileField) for field in model._meta.concrete_fields)


def columns(model: type[models.Model]) -> list[models.Field]:
    """The columns of a table that go along, the key first."""
    found = [
        field
        for field in model._meta.concrete_fields
        if field.name not in LEFT_OUT
        and not (field.is_relation and field.related_model in (Party, _user()))
    ]
    return sorted(found, key=lambda field: (not field.primary_key, field.attname))


def _user() -> type[models.Model]:
    from claims.models import User

    return User


def links(model: type[models.Model]) -> list[models.ManyToManyField]:
    """Links to many rows; each is one column with the numbers of the rows.

    A link that is a fact of its own (who came along) is a table instead.
    """
    plain = [
        field for field in model._meta.many_to_many if field.remote_field.through._meta.auto_created
    ]
    return sorted(plain, key=lambda field: field.name)


def table_name(model: type[models.Model]) -> str:
    """The file of a table, named as people call its rows."""
    return f"tables/{str(model._meta.verbose_name_plural).replace(' ', '-')}.csv"
