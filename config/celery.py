"""The Celery application: worker and beat start from here."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("piecewall")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
