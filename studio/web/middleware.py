"""What every request gets: the profile, the studio's clock, and headers that keep pages out of caches."""

from collections.abc import Callable
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from studio.models import StudioProfile
from studio.web.context import using_profile

PERMISSIONS = ", ".join(
    f"{feature}=()"
    for feature in (
        "accelerometer", "browsing-topics", "camera", "display-capture", "geolocation", "gyroscope",
        "hid", "magnetometer", "microphone", "midi", "payment", "serial", "usb",
    )
)  # fmt: skip


def zone_of(name: str) -> ZoneInfo:
    """Return the time zone of that name, or UTC where it is not known."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


class StudioMiddleware:
    """Load the profile once, set the clock to the studio's zone, and mark pages as private."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer in the studio's zone, and see that nothing of a person's pages is kept by a browser or a proxy."""
        profile = StudioProfile.objects.current()
        request.profile = profile  # type: ignore[attr-defined]
        with using_profile(profile), timezone.override(zone_of(profile.time_zone)):
            response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "private, no-store"
        response.setdefault("Permissions-Policy", PERMISSIONS)
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if response.get("Content-Type", "").startswith("text/html"):
            patch_vary_headers(response, ("Cookie", "HX-Request"))
        return response
