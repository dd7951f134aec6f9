"""Whole page or a part of it: one decision, in one place."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers


def wants_partial(request: HttpRequest) -> bool:
    """Say whether only a part of the page is asked for; a page restored from history is wanted whole."""
    htmx: Any = getattr(request, "htmx", None)
    return bool(htmx and not htmx.history_restore_request and not htmx.boosted)


def render_page(
    request: HttpRequest,
    template: str,
    context: Mapping[str, Any] | None = None,
    *,
    partial: str = "",
    status: int = 200,
) -> HttpResponse:
    """Render the page, or `template#partial` when that part alone is asked for; caches are told of the difference."""
    name = f"{template}#{partial}" if partial and wants_partial(request) else template
    response = render(request, name, dict(context or {}), status=status)
    patch_vary_headers(response, ("HX-Request",))
    return response
