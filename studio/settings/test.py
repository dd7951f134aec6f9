"""Settings for the test run: its own data folder, cheap password hashing, tasks run where they are queued."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("HANDLAID_DATA", tempfile.mkdtemp(prefix="studio-test-"))
os.environ.setdefault("HANDLAID_SECRET_KEY", "only-for-tests-" + "0" * 50)
# Compiled once for this checkout: each test has a data folder of its own.
os.environ.setdefault("HANDLAID_KERNELS", str(Path(__file__).resolve().parents[2] / "var" / "kernels"))
# The addresses of a running studio must never reach a test; the tests' own database comes under its own name.
for name in ("DATABASE_URL", "REDIS_URL", "HANDLAID_URL", "HANDLAID_HOSTS", "HANDLAID_DEBUG"):
    os.environ.pop(name, None)
if os.environ.get("HANDLAID_TEST_ON") == "postgresql":
    os.environ["DATABASE_URL"] = os.environ["HANDLAID_TEST_DATABASE_URL"]

from studio.settings.base import *  # noqa: E402, F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,  # noqa: F405
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
TASK_QUEUE = {
    **TASK_QUEUE,  # noqa: F405
    "broker_url": "memory://",
    "task_always_eager": True,
    "task_eager_propagates": False,
}
WHITENOISE_AUTOREFRESH = True
ALLOWED_HOSTS = ["*"]
