"""Calendars of people: their secret addresses, and what is read there."""

from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_POST, require_safe

from jobs.errors import FeedRefused
from jobs.feeds.reading_limit import WITHIN_S, may_read
from jobs.feeds.serving import CONTENT_TYPE, calendar_text, state_of
from jobs.feeds.tokens import address_of, feed_of, make_feed, note_reading, revoke_feed
from jobs.models import CalendarFeed
from studio.access import Right, account_of, needs, open_to_all
from studio.models import Person
from studio.web.htmx import render_page
from studio.web.secret_addresses import unlinked

NOT_YOURS = "Only the owner of the studio makes and revokes other people's calendars; yours stands on the page Calendars."


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedLine:
    """One person and their open feed, if they have one."""

    person: Person
    feed: CalendarFeed | None
    own: bool


@require_safe
@needs(Right.SEE_JOBS)
def feeds_list(request: HttpRequest) -> HttpResponse:
    """Show the own calendar, and everybody's to the owner."""
    return _page(request)


@require_POST
@needs(Right.SEE_JOBS)
def feed_make(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a new address, which ends the one before, and show it this once."""
    person = _person(request, pk)
    try:
        token = make_feed(person=person, by=account_of(request))
    except FeedRefused as refused:
        return _page(request, problem=str(refused))
    return _page(request, made=person, address=address_of(token))


@require_POST
@needs(Right.SEE_JOBS)
def feed_revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Make an address useless."""
    person = _person(request, pk)
    if revoke_feed(person=person, by=account_of(request)):
        messages.success(request, f"The calendar address of {person.name} opens nothing any more.")
    else:
        messages.info(request, f"{person.name} had no calendar address; nothing was changed.")
    return redirect("jobs:feeds_list")


@require_safe
@open_to_all
def feed_read(request: HttpRequest, token: str) -> HttpResponseBase:
    """Answer a calendar program, which knows nothing but the secret address."""
    feed = feed_of(token)
    if feed is None:
        return _told("There is no calendar at this address.", status=404)
    state = state_of(feed)
    note_reading(feed=feed)
    answer = get_conditional_response(request, etag=state.etag, last_modified=int(state.changed_at.timestamp()))
    if answer is None:
        if not may_read(feed):
            refusal = _told("This calendar was read too often. Ask again in ten minutes.", status=429)
            refusal["Retry-After"] = str(WITHIN_S)
            return refusal
        answer = HttpResponse(calendar_text(feed, state), content_type=CONTENT_TYPE)
        answer["Content-Disposition"] = 'inline; filename="days.ics"'
    answer["ETag"] = state.etag
    answer["Last-Modified"] = http_date(int(state.changed_at.timestamp()))
    return unlinked(answer, keep="private, no-cache")


def _told(words: str, *, status: int) -> HttpResponseBase:
    """Refuse in plain words: a page would repeat the address, and a calendar program shows none."""
    answer = HttpResponse(words, status=status, content_type="text/plain; charset=utf-8")
    return unlinked(answer)


def _person(request: HttpRequest, pk: int) -> Person:
    """Find the person whose feed is meant; only the owner may mean somebody else."""
    person = get_object_or_404(Person, pk=pk)
    account = account_of(request)
    if person.account_id != account.pk and not account.may(Right.CHANGE_STUDIO):
        raise PermissionDenied(NOT_YOURS)
    return person


def _page(request: HttpRequest, *, problem: str = "", made: Person | None = None, address: str = "") -> HttpResponse:
    account = account_of(request)
    still_open = CalendarFeed.objects.filter(revoked_at=None)
    people = Person.objects.filter(active=True).prefetch_related(Prefetch("feeds", queryset=still_open, to_attr="open_feeds"))
    everybody = account.may(Right.CHANGE_STUDIO)
    lines = [
        FeedLine(person=person, feed=next(iter(person.open_feeds), None), own=person.account_id == account.pk)
        for person in people
        if everybody or person.account_id == account.pk
    ]
    context = {
        "lines": sorted(lines, key=lambda line: not line.own),
        "everybody": everybody,
        "problem": problem,
        "made": made,
        "address": address,
    }
    response = render_page(request, "jobs/feeds.html", context, status=409 if problem else 200)
    # "no-referrer" would make browsers send "Origin: null" with the forms, which the forgery check rightly refuses.
    response["Referrer-Policy"] = "same-origin"
    return response
