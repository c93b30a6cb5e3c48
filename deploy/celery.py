"""The Celery app: how bells are rung.  Its settings stand in ``deploy.settings`` under ``CELERY_``."""
from __future__ import annotations

import os

from celery import Celery
from kombu.transport import redis

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")

app = Celery("farbench")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()

# Redelivery of what a dead worker held looks every few minutes by default; it has to look every second.
redis.Channel.unacked_restore_interval = 1
redis.Channel.unacked_restore_throttle = 1
