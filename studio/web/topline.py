"""The links of the top line, by right, and which of them the page belongs to."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from studio.access import Right, rights_of


@dataclass(frozen=True, slots=True, kw_only=True)
class TopLink:
    """One link of the top line."""

    label: str
    address: str
    current: bool


LINKS = (
    ("Jobs", "jobs:jobs_list", Right.SEE_JOBS),
    ("Days", "jobs:days_show", Right.SEE_JOBS),
    ("Stock", "materials:stock_show", Right.SEE_STOCK),
    ("Quotes", "costing:quotes_list", Right.SEE_MONEY),
    ("Studio", "studio:studio_show", Right.SEE_STUDIO),
)


def address_of(name: str) -> str:
    """Return the address of a page, or nothing where the page is not installed."""
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""


def topline(request: HttpRequest) -> list[TopLink]:
    """List what the signed-in person may go to; nobody signed in sees nothing."""
    account = request.user
    if not account.is_authenticated:
        return []
    hidden = request.profile.money_hidden_from_makers  # type: ignore[attr-defined]
    rights = rights_of(account.role, money_hidden_from_makers=hidden)
    found = [(label, address_of(name)) for label, name, right in LINKS if right in rights]
    here = _longest_match(request.path, [address for _, address in found])
    return [TopLink(label=label, address=address, current=address == here) for label, address in found if address]


def _longest_match(path: str, addresses: list[str]) -> str:
    """Return the address that the path lies under, the deepest one where several do."""
    under = [address for address in addresses if address and path.startswith(address)]
    return max(under, key=len, default="")
