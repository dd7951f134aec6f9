"""How often a client's address may be asked: what guesses tokens is slowed down, what reads in a loop too.

Tries that open nothing are counted by where they come from, readings and answers by the token. Somebody who guesses
behind the same proxy as everybody else therefore locks no client out.
"""

from django.http import HttpRequest

from studio.services.secret_links import hash_of
from studio.web.reading_limit import within

WITHIN_S = 600
MOST_TRIES = 30
MOST_READINGS = 120
MOST_PICTURES = 600
MOST_ANSWERS = 20


def may_read(token: str) -> bool:
    """Count one reading of a page or its print."""
    return within(f"quote-readings-{hash_of(token)}", most=MOST_READINGS, seconds=WITHIN_S)


def may_see_picture(token: str) -> bool:
    """Count one picture of a page."""
    return within(f"quote-pictures-{hash_of(token)}", most=MOST_PICTURES, seconds=WITHIN_S)


def may_answer(token: str) -> bool:
    """Count one answer that was sent, whether it was taken or not."""
    return within(f"quote-answers-{hash_of(token)}", most=MOST_ANSWERS, seconds=WITHIN_S)


def may_try(request: HttpRequest) -> bool:
    """Count one token that opens nothing, by the address that it came from; headers that anybody can write do not count."""
    return within(f"quote-tries-{request.META.get('REMOTE_ADDR', '')}", most=MOST_TRIES, seconds=WITHIN_S)
