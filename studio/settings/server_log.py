"""The web server's own log, by the same rules as all others: one line an event, and no secret of a link in it."""

import logging
from typing import Any

from gunicorn.glogging import Logger

from studio.settings.logs import OneLineFormatter


class ServerLog(Logger):  # type: ignore[misc]
    """Write the server's errors, and requests where somebody has them logged, with long path parts hidden."""

    def setup(self, cfg: Any) -> None:
        """Put the studio's formatter in place of the server's."""
        super().setup(cfg)
        for log, form in ((self.error_log, self.error_fmt), (self.access_log, self.access_fmt)):
            for handler in log.handlers:
                if isinstance(handler, logging.StreamHandler):
                    handler.setFormatter(OneLineFormatter(form, self.datefmt))
