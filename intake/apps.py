from django.apps import AppConfig


class IntakeConfig(AppConfig):
    name = "intake"
    default_auto_field = "django.db.models.BigAutoField"
