"""Write down what was timed or measured; a removed line stays, so that it can be brought back."""

import datetime

from django.db import IntegrityError, transaction
from django.utils import timezone

from materials.errors import TrialGone
from materials.models import Lot, Material, MaterialTrial
from studio.models import Account, Person


def add_trial(
    *,
    material: Material,
    kind: str,
    temperature_c: float,
    value: float,
    timed_on: datetime.date,
    key: str,
    by: Account | None,
    slope_deg: float | None = None,
    lot: Lot | None = None,
    person: Person | None = None,
    note: str = "",
) -> MaterialTrial:
    """Write one timing or card down; the same key again returns the line that it wrote."""
    try:
        with transaction.atomic():
            trial: MaterialTrial = MaterialTrial.objects.create(
                material=material,
                kind=kind,
                temperature_c=temperature_c,
                value=value,
                slope_deg=slope_deg,
                timed_on=timed_on,
                lot=lot,
                person=person,
                note=note,
                by=by,
                entry_key=key,
            )
            return trial
    except IntegrityError:
        written: MaterialTrial | None = MaterialTrial.objects.filter(entry_key=key, material=material, kind=kind).first()
        if written is None:
            raise
        return written


@transaction.atomic
def remove_trial(*, trial: MaterialTrial) -> None:
    """Take a line out of the counting; it can be brought back."""
    done = MaterialTrial.objects.kept().filter(pk=trial.pk).update(removed_at=timezone.now())
    if not done:
        raise TrialGone("This line was removed already. Nothing more was changed.")


@transaction.atomic
def bring_trial_back(*, trial: MaterialTrial) -> None:
    """Let a removed line count again."""
    done = MaterialTrial.objects.filter(pk=trial.pk, removed_at__isnull=False).update(removed_at=None)
    if not done:
        raise TrialGone("This line counts already. Nothing was changed.")
