"""Pages for what went wrong."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that the form was too old or came from elsewhere, and how to send it again."""
    return render(request, "403_csrf.html", {"reason": reason}, status=403)
