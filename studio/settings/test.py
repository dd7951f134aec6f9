"""Settings for the test run: its own data folder, cheap password hashing, tasks run where they are queued."""

import os
import tempfile

os.environ.setdefault("HANDLAID_DATA", tempfile.mkdtemp(prefix="studio-test-"))
os.environ.setdefault("HANDLAID_SECRET_KEY", "only-for-tests-" + "0" * 50)

from studio.settings.base import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,  # noqa: F405
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_AUTOREFRESH = True
ALLOWED_HOSTS = ["*"]
