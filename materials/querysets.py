"""Questions about materials, lots, movements and scrap that read as sentences."""

import datetime
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import Case, F, Min, OuterRef, Q, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from materials.properties import MaterialKind

_MASS = models.DecimalField(max_digits=14, decimal_places=3)


def _lots_sum(column: str, **only: Any) -> Coalesce:
    """Sum a column over a material's lots in a subquery of its own, so that joins never multiply it."""
    from materials.models.lot import Lot

    of_material = Lot.objects.filter(material=OuterRef("pk"), **only).order_by().values("material")
    return Coalesce(Subquery(of_material.annotate(total=Sum(column)).values("total")), Decimal(0), output_field=_MASS)


class MaterialQuerySet(models.QuerySet[Any]):
    """Questions about materials."""

    def in_use(self) -> "MaterialQuerySet":
        """Return materials that are not retired."""
        return self.filter(active=True)

    def of_kind(self, *kinds: MaterialKind) -> "MaterialQuerySet":
        """Return materials of some kinds."""
        return self.filter(kind__in=[kind.value for kind in kinds])

    def rubbers(self) -> "MaterialQuerySet":
        """Return rubbers in use."""
        return self.in_use().of_kind(MaterialKind.RUBBER)

    def thickeners(self) -> "MaterialQuerySet":
        """Return thickeners in use."""
        return self.in_use().of_kind(MaterialKind.THICKENER)

    def tints(self) -> "MaterialQuerySet":
        """Return tints in use."""
        return self.in_use().of_kind(MaterialKind.TINT)

    def resins(self) -> "MaterialQuerySet":
        """Return casting resins in use."""
        return self.in_use().of_kind(MaterialKind.RESIN)

    def shell_materials(self) -> "MaterialQuerySet":
        """Return resins, plasters and putties for shells in use."""
        return self.in_use().of_kind(MaterialKind.SHELL)

    def reinforcements(self) -> "MaterialQuerySet":
        """Return mats and fibres in use."""
        return self.in_use().of_kind(MaterialKind.REINFORCEMENT)

    def releases(self) -> "MaterialQuerySet":
        """Return releases and sealers in use."""
        return self.in_use().of_kind(MaterialKind.RELEASE)

    def curing(self) -> "MaterialQuerySet":
        """Return materials in use that cure, so that their times can be taken."""
        return self.in_use().of_kind(MaterialKind.RUBBER, MaterialKind.RESIN, MaterialKind.SHELL)

    def consumables(self) -> "MaterialQuerySet":
        """Return things counted by the piece in use."""
        return self.in_use().of_kind(MaterialKind.CONSUMABLE)

    def in_bench_order(self) -> "MaterialQuerySet":
        """Return materials in the order in which a job meets their kinds, by name within a kind."""
        place = Case(*(When(kind=kind.value, then=Value(at)) for at, kind in enumerate(MaterialKind)), default=Value(99))
        return self.order_by(place, "name")

    def weighed(self) -> "MaterialQuerySet":
        """Return materials that are kept by mass."""
        return self.exclude(kind=MaterialKind.CONSUMABLE.value)

    def with_balances(self, today: datetime.date) -> "MaterialQuerySet":
        """Add what is on hand, promised, expired and set aside, what the open containers held, and the next expiry."""
        from materials.models.lot import Lot

        on_shelf = Lot.objects.filter(material=OuterRef("pk"), on_hand_g__gt=0)
        next_expiry = on_shelf.filter(expires_on__gte=today, quarantined=False).order_by().values("material")
        annotated: MaterialQuerySet = self.annotate(
            on_hand_g=_lots_sum("on_hand_g"),
            reserved_g=_lots_sum("reserved_g"),
            delivered_g=_lots_sum("received_g", on_hand_g__gt=0),
            expired_g=_lots_sum("on_hand_g", expires_on__lt=today, quarantined=False),
            set_aside_g=_lots_sum("on_hand_g", quarantined=True),
            next_expiry_on=Subquery(next_expiry.annotate(first=Min("expires_on")).values("first")),
        )
        return annotated


class PackQuerySet(models.QuerySet[Any]):
    """Questions about packs."""

    def usually_bought(self) -> "PackQuerySet":
        """Return the packs that are usually bought, one a material at most."""
        return self.filter(usual=True)


class LotQuerySet(models.QuerySet[Any]):
    """Questions about lots; their own order is first to expire, first to use."""

    def on_shelf(self) -> "LotQuerySet":
        """Return lots with something left."""
        return self.filter(on_hand_g__gt=0)

    def used_up(self) -> "LotQuerySet":
        """Return lots with nothing left."""
        return self.filter(on_hand_g=0)

    def expired(self, today: datetime.date) -> "LotQuerySet":
        """Return lots that have passed their date."""
        return self.filter(expires_on__lt=today)

    def usable(self, today: datetime.date) -> "LotQuerySet":
        """Return lots with something left that are neither expired nor set aside."""
        return self.on_shelf().filter(Q(expires_on__isnull=True) | Q(expires_on__gte=today), quarantined=False)

    def expiring_by(self, day: datetime.date, today: datetime.date) -> "LotQuerySet":
        """Return usable lots that expire up to a day."""
        return self.usable(today).filter(expires_on__lte=day)

    def with_free(self) -> "LotQuerySet":
        """Return lots with something promised to nobody."""
        return self.filter(on_hand_g__gt=F("reserved_g"))


class ScrapBinQuerySet(models.QuerySet[Any]):
    """Questions about scrap bins."""

    def filled(self) -> "ScrapBinQuerySet":
        """Return bins with something in them."""
        return self.filter(on_hand_g__gt=0)


class TrialQuerySet(models.QuerySet[Any]):
    """Questions about what the studio timed and measured itself."""

    def kept(self) -> "TrialQuerySet":
        """Return those that were not removed."""
        return self.filter(removed_at__isnull=True)

    def removed(self) -> "TrialQuerySet":
        """Return those that were removed, the last first."""
        return self.filter(removed_at__isnull=False).order_by("-removed_at", "-pk")

    def for_day_book(self) -> "TrialQuerySet":
        """Return them, the newest first, with all that one line of the day book shows."""
        return self.select_related("lot", "person", "by").order_by("-timed_on", "-pk")


class StockBookQuerySet(models.QuerySet[Any]):
    """Questions about the books of stock."""

    def of_materials(self) -> "StockBookQuerySet":
        """Return the books of materials, scrap left out."""
        return self.filter(material__isnull=False)

    def of_scrap(self) -> "StockBookQuerySet":
        """Return the books of scrap bins."""
        return self.filter(scrap_bin__isnull=False)


class MovementQuerySet(models.QuerySet[Any]):
    """Questions about the ledger."""

    def of_material(self, material_id: int) -> "MovementQuerySet":
        """Return the lines of a material's lots."""
        return self.filter(material_id=material_id)

    def of_job(self, job_number: int) -> "MovementQuerySet":
        """Return the lines of a job."""
        return self.filter(job_number=job_number)

    def promises(self) -> list[tuple[int | None, Decimal]]:
        """Return the jobs that hold something, each with how much."""
        held = self.order_by().values_list("job_number").annotate(held_g=Sum("reserved_g")).order_by("job_number")
        return [(job, grams.quantize(Decimal("0.001"))) for job, grams in held if grams > Decimal("0.0005")]

    def for_day_book(self) -> "MovementQuerySet":
        """Return lines, the newest first, with all that one line of the day book shows."""
        return self.select_related("by", "lot", "scrap_bin", "reverses", "reversed_by").order_by("-pk")
