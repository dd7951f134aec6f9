import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest
from django.test import RequestFactory

from studio.access import Role
from studio.models import Account, StudioProfile
from studio.web import topline as module
from studio.web.topline import topline

ADDRESSES = {
    "jobs:jobs_list": "/jobs/",
    "jobs:days_show": "/days/",
    "materials:stock_show": "/stock/",
    "costing:quotes_list": "/quotes/",
    "studio:studio_show": "/studio/",
}


def request(role: Role, path: str = "/", *, hidden: bool = False) -> HttpRequest:
    made = RequestFactory().get(path)
    made.user = Account(email="a@example.com", name="A", role=role.value)
    made.profile = StudioProfile(money_hidden_from_makers=hidden)  # type: ignore[attr-defined]
    return made


@pytest.fixture(autouse=True)
def _addresses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "address_of", lambda name: ADDRESSES.get(name, ""))


class TestTopline:
    def test_lists_the_five_places_in_order(self) -> None:
        assert [link.label for link in topline(request(Role.OWNER))] == ["Jobs", "Days", "Stock", "Quotes", "Studio"]

    def test_hides_quotes_from_a_maker_when_money_is_hidden(self) -> None:
        assert "Quotes" in [link.label for link in topline(request(Role.MAKER))]
        assert "Quotes" not in [link.label for link in topline(request(Role.MAKER, hidden=True))]

    @pytest.mark.parametrize(
        ("path", "current"), [("/jobs/12/coats/", ["Jobs"]), ("/stock/", ["Stock"]), ("/stockings/", []), ("/", [])]
    )
    def test_marks_where_the_page_belongs(self, path: str, current: list[str]) -> None:
        assert [link.label for link in topline(request(Role.OWNER, path)) if link.current] == current

    def test_leaves_out_a_page_that_is_not_installed(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setitem(ADDRESSES, "jobs:days_show", "")
        assert "Days" not in [link.label for link in topline(request(Role.OWNER))]

    def test_shows_nothing_to_nobody(self) -> None:
        made = request(Role.OWNER)
        made.user = AnonymousUser()
        assert topline(made) == []
