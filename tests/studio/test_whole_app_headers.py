"""Every answer of the app carries the headers that keep a browser from doing what the studio did not ask for."""

import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import Client

from jobs.models import Job
from studio.access import Role
from studio.models import Account
from tests.studio.addresses import VIEWS
from tests.studio.demo_rows import OF_A_SHAPE, demo_addresses, visit

pytestmark = pytest.mark.django_db
SHUT = ("default-src", "object-src", "base-uri", "frame-ancestors")
TEXTS = {"text/html; charset=utf-8", "text/plain; charset=utf-8", "application/json"}
FILES = {
    "application/pdf",
    "image/png",
    "image/jpeg",
    "image/webp",
    "model/stl",
    "text/csv; charset=utf-8",
    "application/octet-stream",
    "application/xml",
}
# What turns a piece is megabytes, asked for at each look at its page: the person's own browser may keep it, no proxy between
# may, and each time the studio is asked first whether this person may still see it and whether it is still the same.
ASKED_EACH_TIME = {"jobs:shape_mesh": "private, no-cache", "jobs:shape_still": "private, no-cache"}


def policy(response: HttpResponse) -> dict[str, list[str]]:
    parts = [part.split() for part in response.get("Content-Security-Policy", "").split(";") if part.strip()]
    return {part[0]: part[1:] for part in parts}


def kept_as_it_should_be(response: Any, name: str) -> bool:
    """Say whether a browser is told to keep nothing, or for what turns a piece, to ask each time."""
    if response.status_code == 200 and name in ASKED_EACH_TIME:
        return response.get("Cache-Control") == ASKED_EACH_TIME[name] and bool(response.get("ETag"))
    return "no-store" in response.get("Cache-Control", "")


def faults(response: Any, name: str = "") -> Iterator[str]:
    """Name what the headers lack of an answer from the address of that name."""
    body = getattr(response, "body", response.content if not response.streaming else b"")
    found = policy(response)
    sandboxed = "sandbox" in found
    for directive in SHUT:
        if not (sandboxed and directive != "default-src") and found.get(directive) != ["'none'"]:
            yield f"{directive} {found.get(directive)}"
    if any("unsafe" in source or source in {"*", "data:", "http:", "https:"} for row in found.values() for source in row):
        yield f"the policy lets too much through: {found}"
    if response.get("X-Content-Type-Options") != "nosniff":
        yield "no nosniff"
    if response.get("Referrer-Policy") not in {"same-origin", "no-referrer"}:
        yield f"Referrer-Policy {response.get('Referrer-Policy')}"
    if response.get("X-Frame-Options") != "DENY":
        yield f"X-Frame-Options {response.get('X-Frame-Options')}"
    if any(name.lower().startswith("access-control-") for name in response.headers):
        yield "it is open to other sites"
    if not kept_as_it_should_be(response, name):
        yield f"Cache-Control {response.get('Cache-Control')}, ETag {response.get('ETag')}"
    if response.status_code in {301, 302}:
        return
    kind = response.get("Content-Type", "")
    if kind not in TEXTS | FILES:
        yield f"Content-Type {kind}"
    if kind.startswith("text/html") and not body.lstrip().lower().startswith(b"<!doctype html>"):
        yield "it is no whole page"


class TestHeaders:
    @pytest.mark.parametrize("signed_in", [True, False], ids=["owner", "stranger"])
    def test_are_whole_on_every_page(self, demo: dict[Role, Client], signed_in: bool) -> None:
        browser = demo[Role.OWNER] if signed_in else Client(raise_request_exception=False)
        found = {}
        statuses: dict[str, set[int]] = {}
        for name, address in demo_addresses():
            response = visit(browser, address)
            statuses.setdefault(name, set()).add(response.status_code)
            if response.status_code == 405 and not response.body:
                # Nothing is shown where a page is only sent to; its headers count all the same.
                response["Content-Type"] = "text/plain; charset=utf-8"
            found[address] = list(faults(response, name))
        assert {address: lacks for address, lacks in found.items() if lacks} == {}
        assert set(statuses) == set(VIEWS)
        assert not signed_in or sum(200 in seen for seen in statuses.values()) > 55
        assert all((200 in statuses[name]) == signed_in for name in OF_A_SHAPE)

    def test_are_whole_on_answers_to_what_cannot_be_done(self, demo: dict[Role, Client], monkeypatch: Any) -> None:
        owner = demo[Role.OWNER]
        strict = Client(enforce_csrf_checks=True, raise_request_exception=False)
        strict.force_login(Account.objects.get(role=Role.OWNER), backend="django.contrib.auth.backends.ModelBackend")
        stranger = Client(raise_request_exception=False)
        answers = {
            404: owner.get("/nowhere/"),
            403: demo[Role.MAKER].get("/studio/accounts/"),
            "a forged form": strict.post("/jobs/add/", {"title": "x"}),
            "422": owner.post("/jobs/add/", {"title": ""}),
            413: owner.post("/jobs/add/", {"title": "x" * (settings.DATA_UPLOAD_MAX_MEMORY_SIZE + 1)}),
            "too many fields": owner.post("/jobs/add/", {f"field{n}": "x" for n in range(2100)}),
            405: owner.put("/jobs/"),
            429: [stranger.post("/sign-in/", {"username": "a@b.example", "password": f"guess no. {n}"}) for n in range(6)][-1],
        }
        monkeypatch.setattr("jobs.views.listing.JobsFilterForm", lambda *args, **kwargs: 1 / 0)
        answers[500] = owner.get("/jobs/")
        expected = {"a forged form": 403, "422": 422, "too many fields": 413}
        assert {key: answer.status_code for key, answer in answers.items()} == {
            key: expected.get(str(key), key) for key in answers
        }
        found = {}
        for key, answer in answers.items():
            if key == 405:
                answer["Content-Type"] = "text/plain; charset=utf-8"
            found[key] = list(faults(answer))
        assert {key: lacks for key, lacks in found.items() if lacks} == {}
        for key in (500, 404, 403):
            assert b"Traceback" not in answers[key].content
            assert b"ZeroDivision" not in answers[key].content
            assert b"/jobs/views" not in answers[key].content

    def test_are_whole_when_an_upload_is_too_large(self, demo: dict[Role, Client]) -> None:
        answer = demo[Role.OWNER].post(
            f"/jobs/{Job.objects.first().number}/piece/scans/add/", {"file": b""}, headers={"Content-Length": str(10**12)}
        )
        assert answer.status_code == 413
        assert list(faults(answer)) == []


HTTPS_PROBE = """
import os, sys
os.environ["HANDLAID_URL"] = "https://studio.example"
os.environ["HANDLAID_DATA"] = sys.argv[1]
os.environ["HANDLAID_SECRET_KEY"] = "k" * 60
os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings.base"
import django; django.setup()
from django.core.management import call_command
from django.test.utils import setup_test_environment
call_command("migrate", verbosity=0)
from django.test import Client
from studio.models import Account
from studio.access import Role
Account.objects.create_account(email="ada@studio.example", name="Ada", role=Role.OWNER, password="wet plaster on the third shelf")
setup_test_environment()
from django.conf import settings
settings.ALLOWED_HOSTS = ["studio.example"]
settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
plain = Client().get("/sign-in/", headers={"host": "studio.example"})
print("PLAIN", plain.status_code, plain["Location"])
browser = Client(headers={"host": "studio.example"})
page = browser.get("/sign-in/", secure=True)
print("HSTS", page["Strict-Transport-Security"])
answer = browser.post("/sign-in/", {"username": "ada@studio.example", "password": "wet plaster on the third shelf"}, secure=True)
print("SIGNED", answer.status_code)
for jar in (page.cookies, answer.cookies):
    for name, morsel in jar.items():
        flags = [bool(morsel["secure"]), bool(morsel["httponly"]), morsel["samesite"], morsel["path"], repr(morsel["domain"])]
        print("COOKIE", name, *flags)
"""


class TestCookies:
    def test_are_bound_to_the_host_and_hidden_from_scripts_over_https(self, tmp_path: Any) -> None:
        done = subprocess.run(
            [sys.executable, "-c", HTTPS_PROBE, str(tmp_path)], capture_output=True, text=True, timeout=120, check=False,
            cwd=settings.BASE_DIR,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        lines = [line.split(" ") for line in done.stdout.splitlines()]
        said = {line[0]: line[1:] for line in lines if line[0] != "COOKIE"}
        assert said["PLAIN"] == ["301", "https://studio.example/sign-in/"]
        assert int(said["HSTS"][0].removeprefix("max-age=").rstrip(";")) >= 31_536_000
        assert "includeSubDomains" in {part.rstrip(";") for part in said["HSTS"]}
        assert said["SIGNED"] == ["302"]
        cookies = {line[1]: line[2:] for line in lines if line[0] == "COOKIE"}
        assert set(cookies) == {"__Host-session", "__Host-csrf"}
        for flags in cookies.values():
            assert flags == ["True", "True", "Lax", "/", "''"]
