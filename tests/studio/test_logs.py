"""Log lines: one an event, nothing in them that acts on a terminal, no secret of a link."""

import logging
import sys
from pathlib import Path

import pytest
from gunicorn.config import Config

from studio.settings.logs import OneLineFormatter
from studio.settings.server_log import ServerLog


def line(message: str, *arguments: object) -> str:
    return OneLineFormatter("{levelname} {message}", style="{").format(
        logging.LogRecord("studio", logging.WARNING, __file__, 1, message, arguments, None)
    )


class TestOneLineFormatter:
    @pytest.mark.parametrize("payload", ["a\nINFO forged", "a\r\nb", "\x1b[31mred", "a\x00b", "a\u2028b", "a\x85b", "\x7f"])
    def test_escapes_whatever_could_break_or_colour_a_line(self, payload: str) -> None:
        written = line("sign-in refused for %s", payload)
        assert written.isprintable()
        assert len(written.splitlines()) == 1

    def test_hides_the_secret_of_a_link(self) -> None:
        token = "nlXm22X03sdzJqlNYJPgU2_STQEXIscUWUwn-t2GQGo"
        assert token not in line("Not Found: %s", f"/join/{token}/")
        assert line("Not Found: %s", f"/join/{token}/") == "WARNING Not Found: /join/…/"
        assert token not in line("GET /join/%s?next=x", token)

    def test_leaves_plain_addresses_readable(self) -> None:
        assert line("Forbidden: %s", "/jobs/12/price/") == "WARNING Forbidden: /jobs/12/price/"

    def test_keeps_a_traceback_and_escapes_its_message(self) -> None:
        try:
            raise ValueError("\x1b[31mred")
        except ValueError:
            record = logging.LogRecord("studio", logging.ERROR, __file__, 1, "it broke", (), sys.exc_info())
        written = OneLineFormatter("{message}", style="{").format(record)
        assert "Traceback" in written
        assert "\x1b" not in written


class TestServerLog:
    def test_hides_the_secret_of_a_link_in_errors_and_requests(self, tmp_path: Path) -> None:
        token = "nlXm22X03sdzJqlNYJPgU2_STQEXIscUWUwn-t2GQGo"
        settings = Config()
        for name in ("errorlog", "accesslog"):
            settings.set(name, str(tmp_path / name))
        log = ServerLog(settings)
        try:
            log.error("Error handling request %s %s", "GET", f"/feeds/{token}.ics")
            log.access_log.info('"GET /feeds/%s.ics HTTP/1.1" 200', token)
        finally:
            for handler in (*log.error_log.handlers, *log.access_log.handlers):
                handler.close()
            log.error_log.handlers.clear()
            log.access_log.handlers.clear()
        assert (tmp_path / "errorlog").read_text().rstrip().endswith("Error handling request GET /feeds/…")
        assert (tmp_path / "accesslog").read_text().strip() == '"GET /feeds/… HTTP/1.1" 200'
