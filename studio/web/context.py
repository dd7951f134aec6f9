"""The studio's profile for everything that a request renders: fetched once, known to forms and tags alike."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

from django.http import HttpRequest

if TYPE_CHECKING:
    from studio.models import StudioProfile

_profile: ContextVar["StudioProfile | None"] = ContextVar("profile", default=None)


def current_profile() -> "StudioProfile":
    """Return the profile of the request or print at hand; outside of both it is read from the database."""
    from studio.models import StudioProfile

    return _profile.get() or StudioProfile.objects.current()


@contextmanager
def using_profile(profile: "StudioProfile") -> Iterator[None]:
    """Let forms, tags and units use this profile, as a request does; for prints made outside of one."""
    token = _profile.set(profile)
    try:
        yield
    finally:
        _profile.reset(token)


def profile_in(context: Mapping[str, Any]) -> "StudioProfile":
    """Return the profile that a template's context holds, or the one at hand."""
    profile = context.get("profile")
    return profile if profile is not None and hasattr(profile, "units") else current_profile()


def studio(request: HttpRequest) -> dict[str, Any]:
    """Give templates the profile and what the signed-in person may see in the top line."""
    from studio.web.topline import topline

    profile = getattr(request, "profile", None)
    if profile is None:
        return {}
    return {"profile": profile, "topline": lambda: topline(request)}
