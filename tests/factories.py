"""Rows for tests; each app's engineer adds their own."""

from typing import Any

import factory
from factory.django import DjangoModelFactory

from studio.access import Role
from studio.models import Account

PASSPHRASE = "wet plaster on the third shelf"


class AccountFactory(DjangoModelFactory[Account]):
    """An open account; signs in with PASSPHRASE."""

    class Meta:
        model = Account

    email = factory.Sequence(lambda number: f"person{number}@studio.example")
    name = factory.Sequence(lambda number: f"Person {number}")
    role = Role.OWNER

    @classmethod
    def _create(cls, model_class: type[Account], *args: Any, **kwargs: Any) -> Account:
        return model_class.objects.create_account(password=kwargs.pop("password", PASSPHRASE), **kwargs)
