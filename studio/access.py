"""Who may do what: one table of rights by role, and the decorator that checks it."""

from collections.abc import Callable
from enum import StrEnum
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase


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


def needs(right: Right) -> Callable[..., Any]:
    """Let a view run only for a signed-in person whose role holds the right; answer 403 otherwise."""

    def decorate(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
        @login_required
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.may(right):  # type: ignore[union-attr]
                raise PermissionDenied(f"Your role in this studio does not let you {right.value}.")
            return view(request, *args, **kwargs)

        guarded.right = right  # type: ignore[attr-defined]
        return guarded

    return decorate
