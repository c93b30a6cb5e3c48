from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from reports import bell, erasing  # noqa: F401  connect the worker's bell, and the erasing of a case
