from datetime import UTC, datetime
from typing import Any

import pytest
from django.http import FileResponse, HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from studio.models import StudioProfile
from studio.web.context import current_profile
from studio.web.middleware import StudioMiddleware, zone_of

pytestmark = pytest.mark.django_db


def answer(view: Any) -> HttpResponse:
    return StudioMiddleware(view)(RequestFactory().get("/"))


class TestStudioMiddleware:
    def test_loads_the_profile_once_for_everybody(self, django_assert_num_queries: Any) -> None:
        StudioProfile.objects.current()
        seen: list[StudioProfile] = []

        def view(request: Any) -> HttpResponse:
            seen.extend([request.profile, current_profile(), current_profile()])
            return HttpResponse()

        with django_assert_num_queries(1):
            answer(view)
        assert seen[0] is seen[1] is seen[2]

    def test_sets_the_clock_to_the_studios_zone_and_back(self) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(time_zone="Asia/Tokyo")
        noon = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
        hours: list[int] = []

        def view(_request: Any) -> HttpResponse:
            hours.append(timezone.localtime(noon).hour)
            return HttpResponse()

        answer(view)
        assert hours == [21]
        assert timezone.localtime(noon).hour == 12

    def test_falls_back_to_utc_for_a_zone_nobody_knows(self) -> None:
        assert str(zone_of("Mars/Olympus")) == "UTC"
        assert str(zone_of("../etc/passwd")) == "UTC"

    def test_keeps_pages_out_of_caches(self) -> None:
        response = answer(lambda _: HttpResponse("page"))
        assert response["Cache-Control"] == "private, no-store"
        assert {"Cookie", "HX-Request"} <= {part.strip() for part in response["Vary"].split(",")}

    def test_leaves_a_views_own_caching_alone(self) -> None:
        assert answer(lambda _: HttpResponse(headers={"Cache-Control": "max-age=60"}))["Cache-Control"] == "max-age=60"

    def test_switches_off_what_no_page_needs(self) -> None:
        response = answer(lambda _: HttpResponse())
        assert "camera=()" in response["Permissions-Policy"]
        assert response["Cross-Origin-Resource-Policy"] == "same-origin"

    def test_passes_files_through(self) -> None:
        response = answer(lambda _: FileResponse(iter([b"x"]), content_type="application/pdf"))
        assert "Vary" not in response
