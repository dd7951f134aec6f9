"""Who may do what: one table of rights by role, and the decorators that check it.

Every view carries exactly one of three marks: `needs(Right.X)`, `for_anyone_signed_in` or `open_to_all`; a test walks
every address and fails on a view without one.
"""

from collections.abc import Callable
from enum import StrEnum
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

if TYPE_CHECKING:
    from studio.models.account import Account

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


class Role(StrEnum):
    """What a person is in the studio."""

    OWNER = "owner"
    MAKER = "maker"
    OFFICE = "office"


class Right(StrEnum):
    """One thing that may be seen or done."""

    SEE_JOBS = "see jobs, pieces, plans and days"
    CHANGE_JOBS = "add and change jobs, clients, pieces and plans"
    SEE_STOCK = "see materials, lots and scrap"
    CHANGE_STOCK = "receive, use and correct stock"
    CHANGE_MATERIALS = "add and change materials and their values"
    SEE_MONEY = "see costs, margins, prices and quotes"
    CHANGE_QUOTES = "set rates on a job, freeze, number and withdraw quotes"
    SEE_STUDIO = "see people, hours, stations and rates of work"
    CHANGE_STUDIO = "change the profile, people, hours, stations and rates"
    MANAGE_ACCOUNTS = "invite people, change their role, close accounts"


RIGHTS: dict[Role, frozenset[Right]] = {
    Role.OWNER: frozenset(Right),
    Role.MAKER: frozenset(
        {
            Right.SEE_JOBS,
            Right.CHANGE_JOBS,
            Right.SEE_STOCK,
            Right.CHANGE_STOCK,
            Right.SEE_MONEY,
            Right.SEE_STUDIO,
        }
    ),
    Role.OFFICE: frozenset(
        {
            Right.SEE_JOBS,
            Right.CHANGE_JOBS,
            Right.SEE_STOCK,
            Right.SEE_MONEY,
            Right.CHANGE_QUOTES,
            Right.SEE_STUDIO,
        }
    ),
}


def rights_of(role: str, *, money_hidden_from_makers: bool) -> frozenset[Right]:
    """Return what a role may do; the owner can hide money from makers."""
    rights = RIGHTS[Role(role)]
    if role == Role.MAKER and money_hidden_from_makers:
        return rights - {Right.SEE_MONEY}
    return rights


def rights_table(*, money_hidden_from_makers: bool) -> list[tuple[Right, list[bool]]]:
    """Return the table a person reads: each right, and whether each role (in the order of `Role`) holds it today."""
    held = [rights_of(role, money_hidden_from_makers=money_hidden_from_makers) for role in Role]
    return [(right, [right in rights for rights in held]) for right in Right]


def account_of(request: HttpRequest) -> "Account":
    """Return who is signed in; refuse where nobody is."""
    if not request.user.is_authenticated:
        raise PermissionDenied("Sign in first.")
    return request.user


def needs(right: Right) -> Callable[[View[P]], View[P]]:
    """Let a view run only for a signed-in person whose role holds the right; answer 403 otherwise."""

    def decorate(view: View[P]) -> View[P]:
        @wraps(view)
        def checked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not account_of(request).may(right):
                raise PermissionDenied(f"Your role in this studio does not let you {right.value}.")
            return view(request, *args, **kwargs)

        guarded = login_required(checked)
        guarded.right = right  # type: ignore[attr-defined]
        return guarded

    return decorate


def for_anyone_signed_in(view: View[P]) -> View[P]:
    """Let a view run for whoever is signed in; it concerns their own account or checks a right itself."""

    @wraps(view)
    def marked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        return view(request, *args, **kwargs)

    guarded = login_required(marked)
    guarded.audience = "signed in"  # type: ignore[attr-defined]
    return guarded


def open_to_all(view: View[P]) -> View[P]:
    """Mark a view that answers people who are not signed in."""

    @wraps(view)
    def marked(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        return view(request, *args, **kwargs)

    marked.audience = "all"  # type: ignore[attr-defined]
    return marked
