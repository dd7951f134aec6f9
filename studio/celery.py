"""The Celery app."""

import os
from typing import Any

from celery import Celery
from celery.signals import worker_ready

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings.base")
app = Celery("studio")


def _options() -> dict[str, Any]:
    from django.conf import settings

    options: dict[str, Any] = settings.TASK_QUEUE
    return options


app.add_defaults(_options)
app.autodiscover_tasks()
app.autodiscover_tasks(["studio.documents"])


@worker_ready.connect
def _begin_sweeping(**_: Any) -> None:
    from studio.documents.sweeping import begin

    begin()
