"""Migrations that stand for many end in the same models as those one after another."""

import pytest
from django.db.migrations.loader import MigrationLoader

SHORT = MigrationLoader(None, ignore_no_migrations=True)
LONG = MigrationLoader(None, ignore_no_migrations=True, replace_migrations=False)
OURS = sorted(key for key in SHORT.replacements if key[0] in ("claims", "reports", "trips"))


def models(loader, steps):
    """What Django knows of each model after some steps, as plain values."""
    return {
        key: (
            {name: field.deconstruct()[1:] for name, field in model.fields.items()},
            {
                name: [each.deconstruct() for each in value]
                if name in ("indexes", "constraints")
                else value
                for name, value in model.options.items()
            },
            model.bases,
            [name for name, _ in model.managers],
        )
        for key, model in loader.project_state(steps).models.items()
    }


@pytest.mark.parametrize("key", OURS, ids=lambda key: ".".join(key))
def test_the_same_models_come_out(key):
    replaced = SHORT.replacements[key].replaces
    long = models(LONG, [replaced[-1]])
    assert models(SHORT, [key]) == long
    assert any(app == key[0] for app, _ in long)


def test_none_is_left_out():
    assert {app for app, _ in OURS} == {"claims", "trips"}
    for key in OURS:
        replaced = SHORT.replacements[key].replaces
        last = int(replaced[-1][1][:4])
        assert [int(name[:4]) for _, name in replaced] == list(range(1, last + 1))
