from django.apps import AppConfig


class DeployConfig(AppConfig):
    name = "deploy"

    def ready(self) -> None:
        # Every process rings bells, so every process needs the configured Celery app, not the bare default.
        from deploy import celery, checks  # noqa: F401
