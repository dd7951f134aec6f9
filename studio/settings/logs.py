"""Logging: one line an event on standard error, with nothing in it that could act or open a door."""

import logging
import re
from typing import Any

# Signed and single-use links carry their secret in the path; a log must not.
SECRET_PART = re.compile(r"(?<=/)[A-Za-z0-9_\-:.=]{24,}(?=/|\s|$|\?|\")")
CONTROL = {code: f"\\x{code:02x}" for code in [*range(32), 127, 0x85, 0x2028, 0x2029]}
CONTROL[10] = "\\n"


class OneLineFormatter(logging.Formatter):
    """Format each record as one line: control characters are escaped, long path parts hidden."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line; only a traceback, which is ours, keeps its line breaks."""
        trace = record.exc_info
        record.exc_info = record.exc_text = None
        line = SECRET_PART.sub("…", super().format(record).translate(CONTROL))
        if trace:
            record.exc_info = trace
            line += "".join(f"\n    {part.translate(CONTROL)}" for part in self.formatException(trace).splitlines())
        return line


def logging_options(*, debug: bool) -> dict[str, Any]:
    """Return Django's LOGGING."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "line": {"()": f"{__name__}.OneLineFormatter", "format": "{asctime} {levelname} {name}: {message}", "style": "{"}
        },
        "handlers": {"lines": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"handlers": ["lines"], "level": "INFO"},
        "loggers": {
            "django": {"handlers": ["lines"], "level": "DEBUG" if debug else "INFO", "propagate": False},
            "django.db.backends": {"level": "INFO"},
            "django.template": {"level": "INFO"},
            "django.utils.autoreload": {"level": "INFO"},
            "celery": {"level": "INFO"},
            "fontTools": {"level": "WARNING"},
            # Warns at each start that a queue in a folder has no host name.
            "kombu.connection": {"level": "ERROR"},
            "axes.apps": {"level": "WARNING"},
        },
    }
