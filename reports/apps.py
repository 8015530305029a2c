from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The answers over many trips; stores nothing of its own."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "reports"
    verbose_name = "Answers"
