"""One step for the past of many kinds: told one by one, each makes Django see half the site anew,
which took as long as all other migrations together."""

from django.db import models
from django.db.migrations.operations.base import Operation

PARTY, DAY = "record_party_id", "history_date"


class PastByDay(Operation):
    """Index past rows by party and day in place of by party alone.

    Args: names: of the index of each model of past rows.
    """

    reversible = True

    def __init__(self, names: dict[str, str]):
        self.names = names

    def state_forwards(self, app_label, state):
        for model, name in self.names.items():
            its = state.models[app_label, model]
            its.fields[PARTY] = models.BigIntegerField(null=True)
            its.options["indexes"] = [*its.options.get("indexes", ()), _index(name)]
        state.reload_models([(app_label, model) for model in self.names], delay=True)

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        for model, name in self.names.items():
            past = to_state.apps.get_model(app_label, model)
            for old in schema_editor._constraint_names(past, [PARTY], index=True):
                schema_editor.execute(schema_editor._delete_index_sql(past, old))
            schema_editor.add_index(past, _index(name))

    def database_backwards(self, app_label, schema_editor, from_state, to_state):
        for model, name in self.names.items():
            past = to_state.apps.get_model(app_label, model)
            schema_editor.remove_index(past, _index(name))
            field = past._meta.get_field(PARTY)
            schema_editor.execute(schema_editor._create_index_sql(past, fields=[field]))

    def describe(self):
        return "Index past rows by party and day"


def _index(name: str) -> models.Index:
    return models.Index(fields=[PARTY, DAY], name=name)
