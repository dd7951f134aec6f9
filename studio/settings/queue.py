"""The task queue's options: a broker in the data folder by default, Redis when an address is set."""

from pathlib import Path
from typing import Any

from kombu import Exchange, Queue

# Longer than the longest task: Redis hands a task out again when it was not acknowledged by then.
VISIBILITY_TIMEOUT_S = 900
# What pushes lost work again; by a scheduler, or by a worker on a timer.
SWEEPS = ("studio.documents.sweep", "jobs.tasks.sweep_scans", "jobs.tasks.sweep_studies", "jobs.tasks.sweep_days")


def queue_options(*, data_dir: Path, redis_url: str, sweep_every_s: float) -> dict[str, Any]:
    """Return Celery's configuration."""
    options: dict[str, Any] = {
        "accept_content": ["json"],
        "task_serializer": "json",
        "result_serializer": "json",
        "event_serializer": "json",
        "result_backend": None,
        "task_ignore_result": True,
        "timezone": "UTC",
        "enable_utc": True,
        "task_acks_late": True,
        "task_reject_on_worker_lost": True,
        "worker_prefetch_multiplier": 1,
        "task_time_limit": 300,
        "task_soft_time_limit": 270,
        # Named here, so that a worker without -Q serves both; a larger studio can give documents their own workers.
        "task_queues": tuple(Queue(name, Exchange(name), routing_key=name) for name in ("work", "documents")),
        "task_default_queue": "work",
        "task_routes": {"studio.documents.*": {"queue": "documents"}},
        "task_publish_retry": False,
        "worker_hijack_root_logger": False,
        "broker_connection_retry_on_startup": True,
        "beat_schedule": {task: {"task": task, "schedule": sweep_every_s, "options": {"expires": 60}} for task in SWEEPS},
        "beat_schedule_filename": str(data_dir / "beat-schedule"),
    }
    return {**options, **(_redis(redis_url) if redis_url else _folder(data_dir / "broker"))}


def _redis(url: str) -> dict[str, Any]:
    return {
        "broker_url": url,
        # Never limited: a worker must find a Redis that was away for an hour.
        "broker_connection_max_retries": None,
        "broker_transport_options": {
            "visibility_timeout": VISIBILITY_TIMEOUT_S,
            "unacked_restore_interval": 10,
            "unacked_restore_throttle": 1,
            "socket_connect_timeout": 2,
            "socket_keepalive": True,
            "max_retries": 1,
        },
    }


def _folder(broker: Path) -> dict[str, Any]:
    (broker / "queue").mkdir(parents=True, exist_ok=True)
    return {
        "broker_url": "filesystem://",
        "broker_transport_options": {
            "data_folder_in": str(broker / "queue"),
            "data_folder_out": str(broker / "queue"),
            "control_folder": str(broker / "control"),
            "store_processed": False,
            "polling_interval": 0.25,
        },
        # With Redis a worker without remote control never consumes again after Redis restarts; on files it only costs.
        "worker_enable_remote_control": False,
        # A thread pool cannot stop a task; the press has its own bounds and a lost claim its lease.
        "worker_pool": "threads",
        "worker_concurrency": 3,
    }
