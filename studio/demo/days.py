"""The demo's days: five jobs laid out together by the real search, and the timetable that people go by."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from jobs.days import working
from jobs.days.facts import say_begun
from jobs.days.using import use
from jobs.models import Job, Timetable
from jobs.services.jobs import move_job
from materials.models import ExpectedDelivery, Material
from studio.demo.stock import SUPPLIER
from studio.errors import StudioError
from studio.models import Account, Person, StudioProfile
from studio.web.middleware import zone_of

# Of the jobs whose plans are whole, those that the client has agreed to.
AGREED = ("Hedgehog", "Bust")
# A good timetable of five jobs; the page lets people look for longer.
SECONDS = 3


class DaysNotFound(StudioError):
    """The demo's jobs could not be laid out."""


def add_days(by: Account, today: date) -> Timetable:
    """Agree to jobs, order resin, say what was done yesterday, and let people go by the days that are found."""
    for title in AGREED:
        move_job(job=Job.objects.get(title__startswith=title), to=Job.State.AGREED)
    ExpectedDelivery.objects.create(
        material=Material.objects.get(starter_key="polyurethane-slow"), mass_g=Decimal(27000), supplier=SUPPLIER,
        due_on=today + timedelta(days=9), note="three kits", noted_by=by,
    )  # fmt: skip
    _found(by, seconds=1)
    _say_begun(by, today)
    timetable = _found(by, seconds=SECONDS)
    use(timetable=timetable, by=by)
    return timetable


def _found(by: Account, *, seconds: int) -> Timetable:
    Timetable.objects.filter(used_at=None).delete()
    made = Timetable.objects.create(seconds=seconds, asked_by=by)
    # Here and not through the queue: the demo is loaded before any worker runs.
    working.process(made.pk)
    found: Timetable = Timetable.objects.get(pk=made.pk)
    if found.state != Timetable.State.READY:
        raise DaysNotFound(found.reason)
    return found


def _say_begun(by: Account, today: date) -> None:
    """Say of the job that is being made what was done the day before."""
    job = Job.objects.get(title__startswith="Gatepost")
    yesterday, ines = today - timedelta(days=1), Person.objects.get(name__startswith="Ines")
    with timezone.override(zone_of(StudioProfile.objects.current().time_zone)):
        for key, opens, closes in (("client_talk", time(9), time(10, 30)), ("photographs", time(10, 30), time(11))):
            began, ended = (timezone.make_aware(datetime.combine(yesterday, at)) for at in (opens, closes))
            say_begun(job=job, task_key=key, began_at=began, ended_at=ended, people=[ines], by=by)
