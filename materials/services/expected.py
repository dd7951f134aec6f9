"""Deliveries that are ordered and not here yet."""

import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from materials.errors import BadMass, ExpectedGone, NotWeighed
from materials.models import ExpectedDelivery, Lot, Material, Movement, Pack
from materials.services.deliveries import Delivery, receive_delivery
from studio.models import Account

MOST_G = Decimal(100_000_000)


@transaction.atomic
def expect(
    *,
    material: Material,
    mass_g: Decimal,
    due_on: datetime.date,
    by: Account | None,
    pack: Pack | None = None,
    supplier: str = "",
    note: str = "",
) -> ExpectedDelivery:
    """Write down that something was ordered and when it is to come."""
    if material.counted:
        raise NotWeighed(f"{material.name} is counted by the piece and not kept by mass.")
    _check_mass(mass_g)
    return ExpectedDelivery.objects.create(
        material=material, pack=pack, mass_g=mass_g, supplier=supplier, due_on=due_on, note=note, noted_by=by
    )


@transaction.atomic
def change_due(*, expected_id: int, due_on: datetime.date) -> ExpectedDelivery:
    """Keep another day for a delivery: it is late, or early."""
    expected = _still_expected(expected_id)
    expected.due_on = due_on
    expected.save(update_fields=["due_on"])
    return expected


@transaction.atomic
def change_expected(*, expected_id: int, due_on: datetime.date, mass_g: Decimal, supplier: str, note: str) -> ExpectedDelivery:
    """Correct what was written down of a delivery that is not here yet."""
    _check_mass(mass_g)
    expected = _still_expected(expected_id)
    expected.due_on, expected.mass_g, expected.supplier, expected.note = due_on, mass_g, supplier, note
    expected.save(update_fields=["due_on", "mass_g", "supplier", "note"])
    return expected


@transaction.atomic
def cancel(*, expected_id: int) -> ExpectedDelivery:
    """Expect a delivery no longer; the row stays, so that it can be expected again."""
    expected = _still_expected(expected_id)
    expected.cancelled_at = timezone.now()
    expected.save(update_fields=["cancelled_at"])
    return expected


@transaction.atomic
def expect_again(*, expected_id: int) -> ExpectedDelivery:
    """Take a cancelling back."""
    expected = _locked(expected_id)
    if expected.arrived_at is not None:
        raise ExpectedGone("This delivery came already; what came stands on the shelf.")
    expected.cancelled_at = None
    expected.save(update_fields=["cancelled_at"])
    return expected


@transaction.atomic
def arrived(*, expected_id: int) -> ExpectedDelivery:
    """Close a delivery that came; one that was cancelled and came all the same is closed too, and closing twice is once."""
    expected = _locked(expected_id)
    if expected.arrived_at is None:
        expected.arrived_at, expected.cancelled_at = timezone.now(), None
        expected.save(update_fields=["arrived_at", "cancelled_at"])
    return expected


@transaction.atomic
def receive_expected(*, expected_id: int, delivery: Delivery, key: str, rest_comes: bool, by: Account | None) -> list[Lot]:
    """Put what came of an expected delivery on the shelf and close it; the rest of it can stay expected.

    The same form sent twice puts it on the shelf once and takes it off what is expected once.
    """
    expected = _locked(expected_id)
    if expected.material_id != delivery.material.pk:
        raise ExpectedGone("That delivery was expected of another material. Go back to the list and choose it again.")
    sent_before = Movement.objects.filter(idempotency_key__in=[f"{key}-{part.value}" for part in Lot.Component]).exists()
    lots = receive_delivery(delivery=delivery, key=key, by=by)
    if sent_before:
        return lots
    if rest_comes and expected.arrived_at is None and delivery.mass_g < expected.mass_g:
        expected.mass_g -= delivery.mass_g
        expected.cancelled_at = None
        expected.save(update_fields=["mass_g", "cancelled_at"])
        return lots
    arrived(expected_id=expected_id)
    return lots


def still_expected() -> QuerySet[ExpectedDelivery]:
    """Return what has not come and was not cancelled, the longest overdue first."""
    return ExpectedDelivery.objects.filter(arrived_at=None, cancelled_at=None).select_related("material", "pack")


def no_longer_expected(most: int) -> list[ExpectedDelivery]:
    """Return what came or was cancelled, the last written first."""
    rows = ExpectedDelivery.objects.exclude(arrived_at=None, cancelled_at=None).select_related("material", "pack")
    return list(rows.order_by("-noted_at", "-pk")[:most])


def _check_mass(mass_g: Decimal) -> None:
    if not 0 < mass_g <= MOST_G:
        raise BadMass("What is expected must be more than nought and no more than a lot can hold. Check the mass.")


def _locked(expected_id: int) -> ExpectedDelivery:
    expected = ExpectedDelivery.objects.select_for_update().filter(pk=expected_id).first()
    if expected is None:
        raise ExpectedGone("There is no such delivery. Load the list again.")
    return expected


def _still_expected(expected_id: int) -> ExpectedDelivery:
    expected = _locked(expected_id)
    if expected.arrived_at is not None or expected.cancelled_at is not None:
        raise ExpectedGone(f"This delivery {'came' if expected.arrived_at else 'was cancelled'} already. Load the list again.")
    return expected
