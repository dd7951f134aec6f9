"""Role by address: every address of the project, generated from the URL tables."""

from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from studio.access import RIGHTS, Right, Role, for_anyone_signed_in, needs, open_to_all, rights_of, rights_table
from studio.models import StudioProfile
from tests.factories import AccountFactory
from tests.studio.addresses import VIEWS, address_of

OPEN_TO_ALL = {
    "studio:home", "studio:sign_in", "studio:sign_out", "studio:invitations_accept", "studio:health", "jobs:feed_read",
    "costing:client_quote", "costing:client_answer", "costing:client_print", "costing:client_logo", "costing:client_picture",
}  # fmt: skip
FOR_ANYONE_SIGNED_IN = {
    "studio:account_show", "studio:password_change", "studio:sessions_end", "studio:logo_show",
    "studio:documents_status", "studio:documents_download", "studio:documents_retry",
}  # fmt: skip


def right_of(name: str) -> Right | None:
    return getattr(VIEWS[name].callback, "right", None)


def guarded() -> list[str]:
    return sorted(name for name in VIEWS if right_of(name))


def answers(client: Client, address: str) -> set[int]:
    client.raise_request_exception = False
    return {client.get(address).status_code, client.post(address).status_code}


class TestEveryView:
    def test_is_named(self) -> None:
        assert [name for name in VIEWS if name.endswith(":") or "None" in name] == []
        assert len(VIEWS) > 35

    @pytest.mark.parametrize("name", sorted(VIEWS))
    def test_carries_a_right_or_is_listed_here(self, name: str) -> None:
        audience = getattr(VIEWS[name].callback, "audience", None)
        if name in OPEN_TO_ALL:
            assert audience == "all"
            assert right_of(name) is None
        elif name in FOR_ANYONE_SIGNED_IN:
            assert audience == "signed in"
            assert right_of(name) is None
        else:
            assert isinstance(right_of(name), Right)


@pytest.mark.django_db
class TestEveryAddress:
    @pytest.mark.parametrize("name", sorted(set(VIEWS) - OPEN_TO_ALL))
    def test_sends_strangers_to_sign_in(self, client: Client, name: str) -> None:
        AccountFactory()
        seen = answers(client, address_of(name))
        assert seen <= {302, 405}
        assert 302 in seen
        allowed = client.get(address_of(name))
        found = allowed if allowed.status_code == 302 else client.post(address_of(name))
        assert found["Location"].startswith("/sign-in/?next=")

    @pytest.mark.parametrize("role", list(Role))
    @pytest.mark.parametrize("name", guarded())
    def test_answers_a_role_by_its_rights(self, client: Client, name: str, role: Role) -> None:
        client.force_login(AccountFactory(role=role))
        seen = answers(client, address_of(name))
        if right_of(name) in RIGHTS[role]:
            assert 403 not in seen
        else:
            assert seen <= {403, 405}
            assert 403 in seen

    @pytest.mark.parametrize("name", [name for name in guarded() if right_of(name) == Right.SEE_MONEY])
    def test_hides_money_from_a_maker_when_the_owner_says_so(self, client: Client, name: str) -> None:
        StudioProfile.objects.update_or_create(pk=1, defaults={"money_hidden_from_makers": True})
        client.force_login(AccountFactory(role=Role.MAKER))
        seen = answers(client, address_of(name))
        assert seen <= {403, 405}
        assert 403 in seen

    @pytest.mark.parametrize("name", sorted(set(VIEWS) - OPEN_TO_ALL))
    def test_wants_the_forgery_token(self, name: str) -> None:
        strict = Client(enforce_csrf_checks=True, raise_request_exception=False)
        strict.force_login(AccountFactory(role=Role.OWNER))
        assert strict.post(address_of(name)).status_code in {403, 405}


class TestRightsTable:
    def test_shows_each_right_by_role(self) -> None:
        table = dict(rights_table(money_hidden_from_makers=False))
        assert set(table) == set(Right)
        assert table[Right.MANAGE_ACCOUNTS] == [True, False, False]
        assert table[Right.SEE_MONEY] == [True, True, True]
        assert dict(rights_table(money_hidden_from_makers=True))[Right.SEE_MONEY] == [True, False, True]

    def test_gives_the_owner_everything_and_nobody_else_the_accounts(self) -> None:
        assert rights_of("owner", money_hidden_from_makers=True) == frozenset(Right)
        for role in (Role.MAKER, Role.OFFICE):
            assert not RIGHTS[role] & {Right.MANAGE_ACCOUNTS, Right.CHANGE_STUDIO}

    def test_refuses_a_role_that_is_none(self) -> None:
        with pytest.raises(ValueError, match="king"):
            rights_of("king", money_hidden_from_makers=False)


class TestMarks:
    def test_stay_on_the_view_under_other_decorators(self) -> None:
        from django.views.decorators.http import require_POST

        def view(request: Any) -> HttpResponse:
            return HttpResponse(b"seen")

        assert require_POST(needs(Right.SEE_JOBS)(view)).right == Right.SEE_JOBS
        assert require_POST(for_anyone_signed_in(view)).audience == "signed in"
        assert open_to_all(view)(RequestFactory().get("/")).content == b"seen"
