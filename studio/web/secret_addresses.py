"""Answers at addresses that carry a secret."""

from django.http import HttpResponseBase


def unlinked(answer: HttpResponseBase, *, keep: str = "private, no-store", referrer: str = "no-referrer") -> HttpResponseBase:
    """Keep the address out of caches and proxies, of search, and of what other sites learn.

    A page whose form is sent wants "same-origin": "no-referrer" would make browsers send "Origin: null" with it, which the
    forgery check rightly refuses.
    """
    answer["Cache-Control"] = keep
    answer["Referrer-Policy"] = referrer
    answer["X-Robots-Tag"] = "noindex, nofollow"
    return answer
