"""Photographs of a piece: a file to send, and what stands under it."""

from django import forms

from jobs.models import PiecePhoto
from studio.web.forms import PaperForm


def _caption() -> forms.CharField:
    return forms.CharField(required=False, max_length=160, strip=True, label="What it shows")


class PhotoForm(PaperForm):
    """One photograph; what is in the file is checked when it is drawn anew."""

    photo = forms.FileField(
        label="Photograph", max_length=200, widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text="JPEG, PNG or WebP, up to 20 MB. It is kept 2000 pixels wide; place and camera are not kept.",
        error_messages={"required": "Choose a photograph first.", "empty": "This file is empty. Choose another one.",
                        "max_length": "The file's name is too long. Give it a shorter one."},
    )  # fmt: skip
    caption = _caption()
    on_quote = forms.BooleanField(required=False, initial=True, label="Show it in quotes")


class CaptionForm(PaperForm):
    """What stands under a photograph that is there; each form of a page has ids of its own."""

    caption = _caption()
    on_quote = forms.BooleanField(required=False, label="Show it in quotes")


def caption_form(photo: PiecePhoto) -> CaptionForm:
    """Return the form of one photograph."""
    return CaptionForm(initial={"caption": photo.caption, "on_quote": photo.on_quote}, auto_id=f"id_photo_{photo.pk}_%s")
