"""Five small jobs of the demo that are delivered, with what was noted of them: the studio learns from these."""

import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from costing.models import Quote
from costing.services.quotes import freeze_quote
from jobs.models import Client, Job
from jobs.planning.results import MoldPlan
from jobs.planning.work.work import plain_key
from jobs.readings import GirthTyped, TapeReadings
from jobs.services.clients import add_client
from jobs.services.jobs import add_job
from jobs.services.pieces import change_piece, keep_readings
from jobs.services.plans import mold_plan
from jobs.services.work_done import MinutesNoted, note_castings, note_minutes, note_spend
from materials import ledger
from materials.models import Lot, Material
from materials.science.compatibility import Surface
from materials.services.deliveries import Delivery, receive_delivery
from studio.demo.commissions import decide
from studio.demo.stock import SUPPLIER
from studio.models import Account, Document, Person

SEED = 417
# Invented: how this studio's hands go against the table's rates; what is not named goes as the table says.
HANDS = {"board": 1.3, "keys": 0.8, "finishing": 0.75, "packing": 1.2, "client_talk": 0.7, "mold_clean": 0.8, "cradle": 1.15}
SCATTER = 0.16
RUBBER, RESIN, PLASTER = "platinum-30a", "polyurethane-slow", "molding-plaster"
# What was bought for these jobs and is used up: grams and price of a kilogram; lots have numbers of their own.
BOUGHT = {RUBBER: (20000, "25.40", "HR-3977"), RESIN: (30000, "13.60", "HR-3981"), PLASTER: (42000, "0.80", "HR-3990")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """One finished job: its piece by girths from its foot up, its castings, and how many days ago it was delivered."""

    title: str
    piece: str
    girths: tuple[int, ...]
    castings: int
    spoiled: int
    days_ago: int
    rubber_times: float


JOBS = (
    Finished(title="Newel caps", piece="Newel cap", girths=(520, 640, 560, 280, 0), castings=4, spoiled=0, days_ago=150,
             rubber_times=1.04),
    Finished(title="Pond tortoise", piece="Tortoise", girths=(900, 1020, 760, 0), castings=3, spoiled=1, days_ago=118,
             rubber_times=0.97),
    Finished(title="Window keystone", piece="Keystone", girths=(980, 1040, 1100, 1100), castings=2, spoiled=0, days_ago=84,
             rubber_times=1.12),
    Finished(title="Garden urn, small", piece="Urn", girths=(560, 840, 980, 760, 420, 0), castings=5, spoiled=1, days_ago=52,
             rubber_times=1.02),
    Finished(title="Pilaster brackets", piece="Bracket", girths=(700, 820, 700, 300, 0), castings=6, spoiled=0, days_ago=23,
             rubber_times=1.09),
)  # fmt: skip


def add_finished_jobs(by: Account, today: date) -> list[Job]:
    """Add all five with their accepted quotes, minutes, masses, castings and one bill."""
    draw = random.Random(SEED)  # noqa: S311 - invented numbers, no secrets
    client = add_client(name="Fernleigh Stoneyard", contact="Corin Tallis", email="yard@fernleigh.example")
    people = list(Person.objects.filter(active=True).order_by("pk")[:2])
    lots = {key: _lot(key, by, today) for key in BOUGHT}
    jobs = [_add(one, client, people, lots, draw, by, today) for one in JOBS]
    for key, lot in lots.items():
        ledger.issue(of=lot, mass_g=lot.on_hand_g, key=f"demo-finished-rest-{key}", by=by, why="samples and test pours")
    return jobs


def _lot(key: str, by: Account, today: date) -> Lot:
    """Receive what these jobs used up long ago."""
    mass, price, number = BOUGHT[key]
    delivery = Delivery(
        material=Material.objects.get(starter_key=key), component=Lot.Component.WHOLE, mass_g=Decimal(mass),
        received_on=today - timedelta(days=190), unit_cost_per_kg=Decimal(price), supplier=SUPPLIER, supplier_lot=number,
        place="shelf 2",
    )  # fmt: skip
    receive_delivery(delivery=delivery, key=f"demo-finished-{key}", by=by)
    lot: Lot = Lot.objects.get(supplier_lot=number)
    return lot


def _add(
    one: Finished, client: Client, people: list[Person], lots: dict[str, Lot], draw: random.Random, by: Account, today: date
) -> Job:  # fmt: skip
    job = add_job(title=one.title, client=client, piece_name=one.piece, promised_on=today - timedelta(days=one.days_ago), by=by)
    change_piece(piece=job.piece, values={"surface": Surface.STONE.value, "sealed": True})
    keep_readings(piece=job.piece, readings=TapeReadings(girths=tuple(_girths(one)), flange_width_mm=60))
    decide(
        job, by, rubber=RUBBER, thickener="polyethylene-fibre", tint="tint-silicone", shell_kind="plaster",
        shell_matrix="molding-plaster", shell_reinforcement="hemp-fibre", shell_pieces=2, wall_mm=Decimal(9), positions=1,
        fill_volume_l=Decimal(0), resin="polyurethane-slow", castings=one.castings, casting_wall_mm=Decimal(5), skins=3,
    )  # fmt: skip
    ended = today - timedelta(days=one.days_ago)
    _agreed(freeze_quote(job=job, by=by), ended)
    made = mold_plan(job)
    _note(job, made, one, people, draw, by, ended)
    needs = {need.material_key: 0.0 for need in made.needs}
    for need in made.needs:
        needs[need.material_key] += need.mass.value
    for key, lot in lots.items():
        used = Decimal(str(round(needs[lot.material_id] * (one.rubber_times if key == RUBBER else 1.03), 0)))
        ledger.issue(
            of=lot, mass_g=used, key=f"demo-finished-{job.pk}-{key}", by=by, why="for the whole job", job_number=job.number
        )
    Job.objects.filter(pk=job.pk).update(state=Job.State.DELIVERED)
    job.refresh_from_db()
    return job


def _girths(one: Finished) -> Iterator[GirthTyped]:
    """Go through a piece's girths; the tape runs further where the piece draws in or out."""
    for girth, following in zip(one.girths, (*one.girths[1:], one.girths[-1]), strict=True):
        yield GirthTyped(girth_mm=girth, along_mm=max(90, round(abs(following - girth) / 5)))


def _agreed(quote: Quote, ended: date) -> None:
    """Date a quote back and mark it accepted; prints so old were thrown away."""
    issued = ended - timedelta(days=40)
    moment = timezone.make_aware(datetime.combine(issued, time(10)))
    Quote.objects.filter(pk=quote.pk).update(
        state=Quote.State.ACCEPTED, issued_on=issued, valid_until_on=issued + timedelta(days=30), frozen_at=moment,
        state_changed_at=moment + timedelta(days=6),
    )  # fmt: skip
    Document.objects.filter(kind="quote", subject_id=quote.pk).delete()


def _note(
    job: Job, made: MoldPlan, one: Finished, people: list[Person], draw: random.Random, by: Account, ended: date
) -> None:  # fmt: skip
    """Note minutes of every task as a person would, to five minutes; once a morning went wrong."""
    for number, task in enumerate(made.tasks):
        times = HANDS.get(plain_key(task.key), 1.0) * draw.lognormvariate(0.0, SCATTER)
        if one.title == "Window keystone" and task.key == "board":
            times = 5.0
        minutes = Decimal(max(5 * round(task.minutes.value * times / 5), 5))
        line = MinutesNoted(task_key=task.key, label=task.label, stage=task.stage.value, minutes=minutes)
        note_minutes(
            job=job, lines=[line], done_on=ended - timedelta(days=max(20 - number, 1)), person=people[number % len(people)],
            key=uuid.UUID(int=draw.getrandbits(128), version=4), by=by,
        )  # fmt: skip
    note_castings(
        job=job, good=one.castings, spoiled=one.spoiled, cast_on=ended - timedelta(days=3),
        note="air at the rim" if one.spoiled else "", key=uuid.UUID(int=draw.getrandbits(128), version=4), by=by,
    )  # fmt: skip
    if one.title == "Garden urn, small":
        note_spend(
            job=job, text="Carriage to the site", amount=Decimal("38.00"), spent_on=ended,
            key=uuid.UUID(int=draw.getrandbits(128), version=4), by=by,
        )  # fmt: skip
