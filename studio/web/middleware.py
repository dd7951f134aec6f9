"""Placeholder module filled by the web part."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class StudioMiddleware:
    """Pass requests through."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        return self.get_response(request)
