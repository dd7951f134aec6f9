"""No page asks the database more often as rows grow."""

import uuid
from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.db.models import F
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from costing.models import PriceTerms, Quote
from jobs.documents import HANDOUT_KIND
from jobs.models import Job, OwnMinutes, PieceStudy, Plan, ScanFile, TakeoffRecord
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from jobs.services.pieces import keep_readings
from jobs.services.plans import compute, plan_of
from materials import ledger
from materials.models import Lot, Material, ScrapBin
from studio.access import Role
from studio.models import Account, Document, Person, WorkingHours
from studio.services.invitations import invite
from studio.services.rates import set_rate
from studio.workrates import WORK_RATES
from tests.factories import (
    AccountFactory,
    ClientFactory,
    JobFactory,
    LotFactory,
    PackFactory,
    PersonFactory,
    QuoteFactory,
    ScrapBinFactory,
    StationFactory,
    planned_job,
)
from tests.jobs.shown_drum import studied
from tests.studio.demo_rows import demo_addresses, visit

pytestmark = pytest.mark.django_db
MANY = 9


def grow_jobs() -> None:
    """More of all that hangs on jobs, and on each job of the demo."""
    owner = Account.objects.get(role=Role.OWNER)
    demo_jobs = list(Job.objects.select_related("piece", "client"))
    for number in range(MANY):
        planned_job(client=demo_jobs[0].client, starts_at=timezone.now() + timedelta(days=number))
        JobFactory(title=f"Grown {number}")
        ClientFactory()
    girths = tuple(GirthTyped(girth_mm=500.0 + 7 * n, along_mm=40.0) for n in range(25))
    solids = tuple(SolidTyped(shape="cone", label=f"thorn {n}", length_mm=20.0, height_mm=30.0) for n in range(12))
    for job in demo_jobs:
        for number in range(MANY):
            title = f"Cure schedule no. {number}"
            Document.objects.create(kind=HANDOUT_KIND, subject_id=job.pk, title=title, requested_by=owner)
        if job.piece.measured_by == "tape":
            for _ in range(4):
                keep_readings(piece=job.piece, readings=TapeReadings(girths=girths, solids=solids))
        for scan in ScanFile.objects.filter(piece=job.piece)[:1]:
            for number in range(MANY):
                scan.pk, scan.stored_name = None, f"copy-{number}"
                scan.save()
        if Plan.objects.filter(job=job, rubber__isnull=False).exists():
            plan = plan_of(job)
            for task in compute(plan).tasks:
                OwnMinutes.objects.create(plan=plan, task_key=task.key, minutes=Decimal(17))
            PriceTerms.objects.create(job=job, quantity_breaks=", ".join(str(n) for n in range(1, 9)))
    for quote in Quote.objects.all():
        for version in range(2, 2 + MANY):
            QuoteFactory(job=quote.job, number=quote.number, version=version, lines=20, state="withdrawn")


def grow_studies(of_jobs: Iterable[Job]) -> None:
    """A study that fits each of these jobs as it is now, and older ones of the same shape."""
    for job in of_jobs:
        study = studied(job)
        for number in range(MANY):
            study.pk, study.fingerprint, study.stored_name = None, f"older-{number}", f"older-{number}"
            study.asked_at -= timedelta(days=1)
            study.save()


def add_lots(*, each: int) -> None:
    for material in Material.objects.filter(packs__isnull=False).distinct():
        for _ in range(each):
            PackFactory(material=material, usual=False)
            LotFactory(material=material, component=Lot.Component.A if material.two_part else Lot.Component.WHOLE, holding=900)


def grow_stock() -> None:
    """More of all that lies on the shelf, and of all lines in the day book."""
    owner = Account.objects.get(role=Role.OWNER)
    add_lots(each=3)
    for kept in [*Lot.objects.filter(on_hand_g__gt=F("reserved_g") + 50), *ScrapBin.objects.all()]:
        for _ in range(4):
            ledger.issue(of=kept, mass_g=Decimal(1), key=f"grown-{uuid.uuid4()}", by=owner, why="a cup")
    ScrapBinFactory.create_batch(MANY, holding=500)
    for number in range(MANY):
        person = PersonFactory(account=AccountFactory())
        for weekday in range(5):
            WorkingHours.objects.create(person=person, weekday=weekday, starts_at="09:00", ends_at="17:00")
        StationFactory()
        invite(role=Role.MAKER, by=owner, name=f"Guest {number}")
    for person in Person.objects.all()[:2]:
        WorkingHours.objects.create(person=person, weekday=6, starts_at="05:00", ends_at="05:30")
    for rate in WORK_RATES.values():
        set_rate(key=rate.key, value=Decimal(str(rate.high)), note="", by=owner)


def count(browser: Browser, addresses: Iterable[str]) -> dict[str, int]:
    counts = {}
    for address in addresses:
        with CaptureQueriesContext(connection) as asked:
            if visit(browser, address).status_code == 200:
                counts[address] = len(asked)
    return counts


class TestQueries:
    def test_are_as_many_with_many_rows_as_with_few(self, demo: dict[Role, Browser]) -> None:
        owner = demo[Role.OWNER]
        addresses = [address for _name, address in demo_addresses()]
        owner.get("/jobs/")
        # An empty list is no measure: it asks for less than one with a line.
        add_lots(each=1)
        few = count(owner, addresses)
        takeoffs = TakeoffRecord.objects.count()
        studied_jobs = list(Job.objects.filter(piece__studies__state=PieceStudy.State.READY).distinct())
        grow_jobs()
        grow_studies(studied_jobs)
        grow_stock()
        assert TakeoffRecord.objects.count() > takeoffs
        many = count(owner, few)
        assert {address: (few[address], many.get(address)) for address in few if many.get(address) != few[address]} == {}
        assert len(studied_jobs) > 1
        assert len(few) > 60
        assert max(many.values()) < 45
