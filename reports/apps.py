from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from reports import bell, erasing, hooks  # noqa: F401  connect the bell, the erasing of a case, the web-hooks
