from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.http import Http404, HttpRequest, HttpResponse
from django.test import Client, RequestFactory, override_settings
from django.urls import path

from studio.views import errors

handler400, handler403, handler404, handler500 = errors.bad_request, errors.forbidden, errors.not_found, errors.server_error


def _raise(problem: Exception) -> Any:
    def view(_request: HttpRequest) -> HttpResponse:
        raise problem

    return view


urlpatterns = [
    path("forbidden/", _raise(PermissionDenied("Your role in this studio does not let you see money."))),
    path("gone/", _raise(Http404("Job 12 was removed."))),
    path("unmatched/", _raise(Http404("No Job matches the given query."))),
    path("big/", _raise(RequestDataTooBig("more than 2 MB"))),
    path("odd/", _raise(SuspiciousOperation("odd"))),
    path("broken/", _raise(RuntimeError("a secret of the machine"))),
    path("form/", lambda _request: HttpResponse("sent")),
]
pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]


@pytest.fixture
def anybody() -> Client:
    return Client(raise_request_exception=False, enforce_csrf_checks=True)


class TestErrorPages:
    @pytest.mark.parametrize(
        ("address", "status", "title"),
        [
            ("/forbidden/", 403, "This is not open to you"),
            ("/nowhere/", 404, "There is no such page"),
            ("/big/", 413, "That is too large"),
            ("/odd/", 400, "The request could not be read"),
            ("/broken/", 500, "Something broke on our side"),
        ],
    )
    @pytest.mark.filterwarnings("ignore")
    def test_say_what_is_wrong_and_what_to_do(self, anybody: Client, address: str, status: int, title: str) -> None:
        response = anybody.get(address)
        html = response.content.decode()
        assert response.status_code == status
        assert f"<h1>{title}</h1>" in html
        assert "What to do:" in html
        assert "default-src 'none'" in response["Content-Security-Policy"]

    def test_give_the_reason_of_a_refusal(self, anybody: Client) -> None:
        assert "does not let you see money." in anybody.get("/forbidden/").content.decode()
        assert "Job 12 was removed." in anybody.get("/gone/").content.decode()

    def test_keep_sentences_of_the_machine_to_themselves(self, anybody: Client) -> None:
        assert "matches the given query" not in anybody.get("/unmatched/").content.decode()
        assert "secret" not in anybody.get("/broken/").content.decode()

    def test_answer_a_form_without_its_token(self, anybody: Client) -> None:
        response = anybody.post("/form/", {"name": "x"})
        assert response.status_code == 403
        assert "The form was not accepted" in response.content.decode()

    def test_need_no_database_when_all_is_broken(self) -> None:
        response = errors.server_error(RequestFactory().get("/"))
        assert response.status_code == 500
        assert "studio/css/tokens.css" in response.content.decode()

    def test_do_without_styles_that_were_never_collected(self) -> None:
        storages = {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.ManifestStaticFilesStorage"}}
        with override_settings(STORAGES=storages, DEBUG=False):
            response = errors.server_error(RequestFactory().get("/"))
        assert "stylesheet" not in response.content.decode()
        assert "Something broke" in response.content.decode()

    def test_fall_back_to_a_plain_line(self, settings: Any) -> None:
        settings.TEMPLATES = [{"BACKEND": "django.template.backends.django.DjangoTemplates"}]
        assert errors.server_error(RequestFactory().get("/")).content.decode() == errors.PLAIN


class TestTooLarge:
    def test_names_the_largest_that_is_taken(self, rf: RequestFactory) -> None:
        request = rf.get("/")
        assert "The largest that is taken here is 80 MB." in errors.too_large(request, "80 MB").content.decode()


class TestTooMany:
    def test_says_when_to_try_again(self, rf: RequestFactory) -> None:
        response = errors.too_many(rf.get("/"))
        assert response.status_code == 429
        assert "wait 15 minutes" in response.content.decode()
