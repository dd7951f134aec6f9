"""What the pages that keep terms of a job have in common: typing on after somebody else kept newer ones, and putting back."""

from django.contrib import messages
from django.http import HttpRequest, QueryDict

from costing.errors import NothingToPutBack
from costing.inputs import terms_of
from costing.services.terms import put_back_terms
from jobs.models import Job


def at_newest_revision(typed: QueryDict, job: Job) -> QueryDict:
    """Return what was typed, against the newest terms, so that keeping it again replaces those."""
    data = typed.copy()
    data["revision"] = str(terms_of(job).revision)
    return data


def put_back_and_say(request: HttpRequest, job: Job) -> None:
    """Put the terms before the last change back, and say so or why not."""
    try:
        put_back_terms(job=job, by=request.user)  # type: ignore[arg-type]
    except NothingToPutBack as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "The terms before the last change are back. Put back once more returns to the ones you left.")
