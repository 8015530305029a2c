"""System checks: the site doesn't start with a rule pack that can't be read."""

from django.core.checks import Error, register

from claims.packs import installed_packs
from claims.rules.loader import PackError


@register()
def rule_packs_can_be_read(app_configs=None, **kwargs):
    """One error a mistake, each naming file, line and key."""
    try:
        installed_packs()
    except PackError as error:
        return [
            Error(
                str(problem),
                hint="Mend the pack, or take its file away. `manage.py check_packs` checks again.",
                id="claims.E001",
            )
            for problem in error.problems
        ]
    return []
