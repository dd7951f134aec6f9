"""Pages for what went wrong: what is wrong, what it means for the work, what to do. They work for anybody."""

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import TemplateDoesNotExist, loader
from django.templatetags.static import static

STYLES = ("tokens", "fonts", "page", "topline", "titleblock", "form")
PLAIN = (
    "<!DOCTYPE html><html lang=en><title>Something broke</title><p>Something broke on our side. What was saved before is kept."
)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say that a request could not be read, or that it was too large."""
    if isinstance(exception, RequestDataTooBig | TooManyFieldsSent | TooManyFilesSent):
        return too_large(request)
    return render(request, "400.html", status=400)


def too_large(request: HttpRequest, limit: str = "") -> HttpResponse:
    """Say that what was sent is too large; `limit` names the largest that is taken, in words."""
    return render(request, "413.html", {"limit": limit}, status=413)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say which right is missing and who can give it."""
    return render(request, "403.html", {"reason": str(exception or "")}, status=403)


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that the form was too old or came from elsewhere, and how to send it again."""
    return render(request, "403_csrf.html", {"reason": reason}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Say that nothing stands at this address; a view's own sentence is shown where it gave one."""
    said = exception.args[0] if isinstance(exception, Http404) and exception.args else ""
    sentence = said if isinstance(said, str) and said.endswith(".") and "matches the given query" not in said else ""
    return render(request, "404.html", {"reason": sentence}, status=404)


def too_many(request: HttpRequest) -> HttpResponse:
    """Say that there were too many tries, and when the next may be made."""
    return render(request, "429.html", status=429)


def server_error(_request: HttpRequest) -> HttpResponse:
    """Say that the fault is ours; needs neither database nor context, and falls back to a plain line."""
    try:
        page = loader.get_template("500.html").render({"styles": _addresses()})
    except (TemplateDoesNotExist, OSError):
        page = PLAIN
    return HttpResponse(page, status=500)


def _addresses() -> list[str]:
    """Return the stylesheets' addresses, or none where the static files were not collected."""
    try:
        return [static(f"studio/css/{name}.css") for name in STYLES]
    except ValueError:
        return []
