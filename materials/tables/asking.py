"""What is typed to read a table in, and the fields that read its cells."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from materials.models import ImportRun
from materials.tables.limits import MOST_ROWS
from studio.web.forms import PaperForm


class UploadForm(PaperForm):
    """A file and what is in it."""

    kind = forms.ChoiceField(label="What is in it", choices=ImportRun.Kind.choices, widget=forms.RadioSelect)
    file = forms.FileField(label="File", widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}))


class KeepForm(PaperForm):
    """Which rows are left out before the rest is kept."""

    leave = forms.CharField(
        label="Leave out rows", max_length=4000, required=False, help_text="Their numbers, say 3, 7-9; all others are kept."
    )
    again = forms.BooleanField(label="Keep this file once more, although it was kept before", required=False)

    def __init__(self, *args: Any, kept_before: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not kept_before:
            del self.fields["again"]

    def clean_leave(self) -> set[int]:
        """Read numbers and stretches of numbers."""
        found: set[int] = set()
        for part in str(self.cleaned_data["leave"]).replace(";", ",").replace("–", "-").split(","):
            first, dash, last = (piece.strip() for piece in part.partition("-"))
            if not part.strip():
                continue
            ends = (first, last if dash else first)
            if not all(end.isdecimal() and len(end) < 7 for end in ends) or int(ends[0]) > int(ends[1]):
                raise ValidationError(f"“{part.strip()[:20]}” is no row number; write them like 3, 7-9.")
            if int(ends[1]) - int(ends[0]) > 5 * MOST_ROWS:
                raise ValidationError("That is more rows than the table has.")
            found.update(range(int(ends[0]), int(ends[1]) + 1))
        return found

    def clean(self) -> dict[str, Any]:
        """Ask before a file is kept twice."""
        cleaned = super().clean() or self.cleaned_data
        if "again" in self.fields and not cleaned.get("again"):
            self.add_error("again", ValidationError("This very file was kept before. Tick this if it is to be kept once more."))
        return cleaned
