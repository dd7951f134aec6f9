"""The form of a client."""

from typing import Any

from django import forms

from jobs.models import Client
from jobs.services.clients import CLIENT_FIELDS
from studio.web.forms import PaperForm


class ClientForm(PaperForm):
    """Who a client is and how to reach them."""

    name = forms.CharField(max_length=120, label="Name")
    contact = forms.CharField(max_length=120, required=False, label="Whom to speak to")
    email = forms.EmailField(required=False, label="E-mail")
    phone = forms.CharField(max_length=40, required=False, label="Telephone")
    address = forms.CharField(max_length=1000, required=False, label="Address", widget=forms.Textarea(attrs={"rows": 3}))
    note = forms.CharField(max_length=4000, required=False, label="Notes", widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, *args: Any, client: Client | None = None, **kwargs: Any) -> None:
        if client is not None:
            kwargs["initial"] = {field: getattr(client, field) for field in CLIENT_FIELDS}
        super().__init__(*args, **kwargs)


class ClientsFilterForm(PaperForm):
    """Which clients the list shows."""

    words = forms.CharField(required=False, max_length=100, strip=True, label="with the words")
