"""Rows for tests; each app's engineer adds their own."""

from decimal import Decimal
from typing import Any
from uuid import uuid4

import factory
from factory.django import DjangoModelFactory

from materials import ledger
from materials.models import Lot, Material, MaterialProperty, Pack, ScrapBin
from materials.properties import Chemistry, MaterialKind, MixBasis
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
