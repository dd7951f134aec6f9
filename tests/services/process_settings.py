"""Settings of the processes that tests start: the real ones, and the slow print beside them."""

from studio.settings.base import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "tests.services.slow_prints"]  # noqa: F405
