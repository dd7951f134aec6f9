"""Rows for tests; each app's engineer adds their own."""

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import factory
from factory.django import DjangoModelFactory

from costing.models import Quote, QuoteLine
from jobs.models import Client, Job, Piece, Plan
from jobs.readings import GirthTyped, TapeReadings
from jobs.services.pieces import keep_readings
from materials import ledger
from materials.catalogue.starter import STARTER
from materials.models import Lot, Material, MaterialProperty, Pack, ScrapBin
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.compatibility import Surface
from studio.access import Role
from studio.figures import SourceKind
from studio.models import Account, Person, Station

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


class MaterialFactory(DjangoModelFactory[Material]):
    """A platinum rubber mixed 1 : 1 by weight; `properties={"density_kg_m3": 1100}` adds values."""

    class Meta:
        model = Material
        skip_postgeneration_save = True

    name = factory.Sequence(lambda number: f"Rubber no. {number}")
    kind = MaterialKind.RUBBER.value
    chemistry = Chemistry.PLATINUM_SILICONE.value
    mix_basis = MixBasis.BY_WEIGHT.value

    @factory.post_generation
    def properties(self, create: bool, extracted: dict[str, float] | None, **kwargs: Any) -> None:
        for key, value in (extracted or {}).items():
            MaterialProperty.objects.create(material=self, key=key, value=value, source_kind=SourceKind.DATA_SHEET.value)


class PackFactory(DjangoModelFactory[Pack]):
    """A 5 kg pack for 110."""

    class Meta:
        model = Pack

    material = factory.SubFactory(MaterialFactory)
    label = "5 kg kit"
    mass_g = Decimal(5000)
    price = Decimal(110)
    usual = True


class LotFactory(DjangoModelFactory[Lot]):
    """A lot; `holding=2500` receives that many grams through the ledger."""

    class Meta:
        model = Lot
        skip_postgeneration_save = True

    material = factory.SubFactory(MaterialFactory)
    supplier_lot = factory.Sequence(lambda number: f"L{number:04d}")
    unit_cost_per_kg = Decimal(22)

    @factory.post_generation
    def holding(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        if extracted:
            ledger.receive(of=self, mass_g=Decimal(str(extracted)), key=f"lot-{uuid4()}", by=None, why="delivered")


class ScrapBinFactory(DjangoModelFactory[ScrapBin]):
    """A bin of platinum scrap in 20 mm chunks; `holding=2500` receives that many grams through the ledger."""

    class Meta:
        model = ScrapBin
        skip_postgeneration_save = True

    label = factory.Sequence(lambda number: f"Bin {number}")
    chemistry = Chemistry.PLATINUM_SILICONE.value
    chunk_edge_mm = Decimal(20)

    @factory.post_generation
    def holding(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        if extracted:
            ledger.receive(of=self, mass_g=Decimal(str(extracted)), key=f"bin-{uuid4()}", by=None, why="cut up")


class PersonFactory(DjangoModelFactory[Person]):
    """Somebody who works here at 30 an hour."""

    class Meta:
        model = Person

    name = factory.Sequence(lambda number: f"Maker {number}")
    rate_per_h = Decimal("30")


class StationFactory(DjangoModelFactory[Station]):
    """A bench place for one piece."""

    class Meta:
        model = Station

    name = factory.Sequence(lambda number: f"Bench {number}")
    kind = Station.Kind.BENCH


class ClientFactory(DjangoModelFactory[Client]):
    """Somebody who commissions work."""

    class Meta:
        model = Client

    name = factory.Sequence(lambda number: f"Client no. {number}")


class JobFactory(DjangoModelFactory[Job]):
    """A job with its piece and plan, not measured, nothing chosen."""

    class Meta:
        model = Job
        skip_postgeneration_save = True

    number = factory.Sequence(lambda number: 5001 + number)
    title = factory.Sequence(lambda number: f"Finial no. {number}")
    client = factory.SubFactory(ClientFactory)
    piece = factory.RelatedFactory("tests.factories.PieceFactory", factory_related_name="job")
    plan = factory.RelatedFactory("tests.factories.PlanFactory", factory_related_name="job")


class PieceFactory(DjangoModelFactory[Piece]):
    """A piece of gypsum; made together with its job."""

    class Meta:
        model = Piece

    job = factory.SubFactory(JobFactory, piece=None)
    name = "Oak finial"
    surface = Surface.GYPSUM.value
    sealed = True


class PlanFactory(DjangoModelFactory[Plan]):
    """A plan at the usual values; made together with its job."""

    class Meta:
        model = Plan

    job = factory.SubFactory(JobFactory, plan=None)


STARTER_OF_PLANNED_JOB = (
    "tin-25a", "thixotropic-liquid", "tint-silicone", "laminating-polyester", "chopped-strand-mat-450", "polyurethane-fast",
)  # fmt: skip


def starter_material(key: str) -> Material:
    """Return one material of the starter catalogue, added when it is not there yet."""
    found = Material.objects.filter(starter_key=key).first()
    if found is not None:
        return found
    entry = next(entry for entry in STARTER if entry.key == key)
    material = Material.objects.create(
        name=entry.name, kind=entry.kind.value, chemistry=entry.chemistry.value, mix_basis=entry.mix_basis.value, starter_key=key
    )
    for stated in entry.properties:
        MaterialProperty.objects.create(
            material=material, key=stated.key, value=stated.value, low=stated.low, high=stated.high,
            source_kind=stated.source.kind.value, source_text=stated.source.text,
        )  # fmt: skip
    return material


def planned_job(*, resin: bool = True, **fields: Any) -> Job:
    """Make a job that can be computed: a drum of 628 × 300 mm measured with a tape, starter materials chosen."""
    chosen = {key: starter_material(key) for key in STARTER_OF_PLANNED_JOB}
    job = JobFactory(**fields)
    keep_readings(
        piece=job.piece,
        readings=TapeReadings(
            girths=(GirthTyped(girth_mm=628.0, along_mm=300.0), GirthTyped(girth_mm=628.0)), flange_width_mm=50.0
        ),
    )
    Plan.objects.filter(job=job).update(
        rubber=chosen["tin-25a"],
        thickener=chosen["thixotropic-liquid"],
        tint=chosen["tint-silicone"],
        shell_matrix=chosen["laminating-polyester"],
        shell_reinforcement=chosen["chopped-strand-mat-450"],
        resin=chosen["polyurethane-fast"] if resin else None,
    )
    return Job.objects.get(pk=job.pk)


class QuoteFactory(DjangoModelFactory[Quote]):
    """A quote of a job (`job=` must be given) with one line of 100 and 20 % tax; `lines=5` adds that many more of 1."""

    class Meta:
        model = Quote
        skip_postgeneration_save = True

    number = factory.Sequence(lambda number: 5001 + number)
    issued_on = date(2026, 3, 2)
    valid_until_on = date(2026, 4, 1)
    currency = "EUR"
    net_total = Decimal("100.00")
    tax_total = Decimal("20.00")
    gross_total = Decimal("120.00")
    deposit = Decimal("60.00")
    scope = "We lay a mold on the piece."
    content = factory.LazyFunction(lambda: {"client": {"name": "Orchard House"}, "job": {"number": 1, "title": "Finial"}})

    @factory.post_generation
    def lines(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        many = int(extracted or 0)
        first = [(QuoteLine.Kind.MOLD, "Mold of the finial", Decimal("100.00"), Decimal("20.00"))]
        one = (Decimal("1.00"), Decimal("0.20"))
        more = [(QuoteLine.Kind.EXTRA, f"Casting no. {n}, patched by hand", *one) for n in range(many)]
        QuoteLine.objects.bulk_create(
            QuoteLine(
                quote=self, position=position, kind=kind, text=text, quantity=1, unit_price=net, net=net, tax_percent=20, tax=tax
            )
            for position, (kind, text, net, tax) in enumerate([*first, *more], start=1)
        )
        Quote.objects.filter(pk=self.pk).update(
            net_total=Decimal(100 + many), tax_total=Decimal("0.2") * (100 + many), gross_total=Decimal("1.2") * (100 + many)
        )
