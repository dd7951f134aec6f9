"""Labels and codes of molds; a code opens the mold's passport."""

from collections.abc import Sequence

from django.urls import reverse

from jobs.models import Mold
from materials.codes import Code
from materials.labels.kinds import MOST_CHOICES, Label, day_words


def mold_page(pk: int) -> str | None:
    """Return the page that a mold's code opens."""
    return reverse("jobs:kept_mold_show", args=[pk]) if Mold.objects.filter(pk=pk).exists() else None


def mold_choices(place: str) -> list[tuple[int, str]]:
    """Return molds that are not ended, the newest first."""
    molds = Mold.objects.filter(ended_on=None).select_related("job")
    if place:
        molds = molds.filter(place=place)
    return [(mold.pk, f"Mold {mold.number} of job {mold.job.number}, {mold.job.title}") for mold in molds[:MOST_CHOICES]]


def mold_labels(pks: Sequence[int]) -> list[Label]:
    """Return the labels of molds."""
    return [
        Label(
            code=Code("m", mold.pk),
            name=mold.job.title,
            lot=f"Mold {mold.number} of job {mold.job.number}, made {day_words(mold.made_on)}",
            pair=mold.rubber.name if mold.rubber else "",
            place=mold.place,
        )
        for mold in Mold.objects.filter(pk__in=pks).select_related("job", "rubber").order_by("job__number", "number")
    ]
