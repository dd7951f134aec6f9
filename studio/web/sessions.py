"""How long a sign-in lasts: twelve hours without a request, fourteen days in all, and never past the account's floor.

The floor is a moment kept on the account; sessions that signed in before it are over. It moves when the password
changes, when the account is closed and when its person signs out everywhere else.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.contrib.auth import logout
from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from studio.models import Account

IDLE_LIMIT = timedelta(hours=12)
WHOLE_LIMIT = timedelta(days=14)
NOTED_EVERY = timedelta(minutes=5)
SIGNED_IN_AT, SEEN_AT, ENDED = "signed_in_at", "seen_at", "session_ended"


def begin_session(session: SessionBase) -> None:
    """Note when this session signed in."""
    session[SIGNED_IN_AT] = session[SEEN_AT] = timezone.now().isoformat()


def why_over(session: SessionBase, account: Account, now: datetime) -> str:
    """Say why a session is over, or nothing while it may go on."""
    signed_in_at = datetime.fromisoformat(session[SIGNED_IN_AT])
    seen_at = datetime.fromisoformat(session[SEEN_AT])
    if signed_in_at < account.session_key_floor:
        return "You were signed out from another place. Sign in again."
    if now - signed_in_at > WHOLE_LIMIT:
        return "You have been signed in for fourteen days. Sign in again."
    if now - seen_at > IDLE_LIMIT:
        return "Nothing was done here for twelve hours. Sign in again."
    return ""


class SessionLimitsMiddleware:
    """End sessions that are over; stands after the one that finds out who is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through, as nobody if the session is over."""
        if request.user.is_authenticated:
            now = timezone.now()
            if SIGNED_IN_AT not in request.session:
                begin_session(request.session)
            reason = why_over(request.session, request.user, now)
            if reason:
                logout(request)
                request.session[ENDED] = reason
            elif now - datetime.fromisoformat(request.session[SEEN_AT]) > NOTED_EVERY:
                request.session[SEEN_AT] = now.isoformat()
        return self.get_response(request)
