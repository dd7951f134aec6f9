"""Forms for jobs: the sentence that filters the list, and adding or changing one."""

from typing import Any

from django import forms

from jobs.models import Client, Job
from studio.web.forms import PaperForm

MAX_NOTE = 4000


class DayInput(forms.DateInput):
    """A date as browsers pick it."""

    input_type = "date"

    def __init__(self, **attrs: Any) -> None:
        super().__init__(attrs=attrs, format="%Y-%m-%d")


class JobsFilterForm(PaperForm):
    """Which jobs the list shows: "open jobs, promised before …, with the words …"."""

    WHICH = (("open", "open jobs"), ("closed", "closed jobs"), ("all", "all jobs"))

    which = forms.ChoiceField(choices=WHICH, required=False, label="Show")
    before = forms.DateField(required=False, label="promised before", widget=DayInput())
    words = forms.CharField(required=False, max_length=100, strip=True, label="with the words")


class JobForm(PaperForm):
    """What a job is called, whose it is, what is molded, and when it is promised."""

    title = forms.CharField(
        max_length=120, label="What is to be made", help_text="For example “Garden lion, mold and six castings”."
    )
    client: "forms.ModelChoiceField[Client]" = forms.ModelChoiceField(
        Client.objects.none(), required=False, label="Client", empty_label="a new client, named below"
    )
    new_client = forms.CharField(max_length=120, required=False, label="Name of a new client")
    new_client_email = forms.EmailField(required=False, label="E-mail of the new client")
    new_client_phone = forms.CharField(max_length=40, required=False, label="Telephone of the new client")
    piece_name = forms.CharField(
        max_length=120, required=False, label="The piece",
        help_text="What the client brings; left empty, it is called as the job is.",
    )  # fmt: skip
    promised_on = forms.DateField(required=False, label="Promised for", widget=DayInput())
    note = forms.CharField(required=False, max_length=MAX_NOTE, label="Notes", widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, job: Job | None = None, **kwargs: Any) -> None:
        if job is not None:
            kwargs.setdefault("initial", initial_of(job))
        super().__init__(*args, **kwargs)
        field = self.fields["client"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = Client.objects.order_by("name")
        if job is not None:
            self.fields["piece_name"].required = True

    def clean(self) -> dict[str, Any]:
        """Want either a client from the list or the name of a new one."""
        cleaned: dict[str, Any] = super().clean() or {}
        if "client" in self.errors or "new_client" in self.errors:
            return cleaned
        if cleaned.get("client") is None and not cleaned.get("new_client"):
            self.add_error("client", "Choose the client, or type the name of a new one below.")
        if cleaned.get("client") is not None and cleaned.get("new_client"):
            self.add_error("new_client", "A client is chosen above too; clear this name, or choose “a new client” above.")
        return cleaned


def initial_of(job: Job) -> dict[str, Any]:
    """Return what the form shows of a job."""
    return {
        "title": job.title,
        "client": job.client_id,
        "piece_name": job.piece.name,
        "promised_on": job.promised_on,
        "note": job.note,
    }
