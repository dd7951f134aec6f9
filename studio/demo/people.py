"""The demo's studio, accounts, people and stations."""

from datetime import date, time, timedelta
from decimal import Decimal

from django.utils import timezone

from studio.access import Role
from studio.demo.passphrase import draw_passphrase
from studio.local_time import start_of_day
from studio.models import Account, Person, Station, WorkingHours
from studio.room_course import DayNight, hours_of_days
from studio.services.absences import ClosedDays, add_absence, add_closed_days
from studio.services.people import add_hours, save_person
from studio.services.profile import change_profile
from studio.services.room import set_room
from studio.services.skills import RuleNow, save_skill, set_stage_rules
from studio.services.stations import save_station
from studio.workrates import WORK_RATES, Stage

ACCOUNTS = (
    ("Ines Halloway", "ines@sawpit.example", Role.OWNER),
    ("Tomas Berrow", "tomas@sawpit.example", Role.MAKER),
    ("Oda Lindqvist", "oda@sawpit.example", Role.OFFICE),
)
TERMS = (
    "The price holds until the day named above. We begin when the deposit and the piece are here. Delivery days are working "
    "days after that. The piece stays yours; tell us before work starts what it is worth and whether it is insured. "
    "Castings may differ from the piece within the tolerance stated."
)
WORKDAYS = range(5)
COLD_DAYS = {5, 6}


def add_studio() -> None:
    """Write the studio's profile."""
    change_profile(
        values={
            "name": "Sawpit Lane Casting",
            "address": "4 Sawpit Lane\nNether Quill",
            "email": "hello@sawpit.example",
            "phone": "555 0142",
            "quote_terms": TERMS,
            "labour_rate_per_h": Decimal("26.00"),
        }
    )


def add_accounts() -> list[dict[str, str]]:
    """Open one account for each role and return what to sign in with."""
    signed = []
    for name, email, role in ACCOUNTS:
        passphrase = draw_passphrase()
        Account.objects.create_account(email=email, password=passphrase, name=name, role=role)
        signed.append({"email": email, "passphrase": passphrase, "role": role.value})
    return signed


def add_people(today: date) -> None:
    """Add who works, what an hour of theirs costs, and when they are there."""
    for name, rate, trained in (("Ines Halloway", "28", 400), ("Tomas Berrow", "24", 900)):
        person = save_person(
            person=None,
            name=name,
            rate_per_h=Decimal(rate),
            account=Account.objects.get(name=name),
            isocyanate_trained_on=today - timedelta(days=trained),
            isocyanate_trained_until_on=None,
            note="",
        )
        add_hours(person=person, weekdays=WORKDAYS, starts_at=time(8, 30), ends_at=time(12, 30), where=WorkingHours.Where.BENCH)
        add_hours(person=person, weekdays=WORKDAYS, starts_at=time(13, 15), ends_at=time(17, 30), where=WorkingHours.Where.BENCH)
        if name.startswith("Ines"):
            add_hours(person=person, weekdays=[0, 2], starts_at=time(19), ends_at=time(20, 30), where=WorkingHours.Where.HOME)


def add_absences(owner: Account, today: date) -> None:
    """Send one person away for some days, and close the studio for one."""
    zone = timezone.get_current_timezone()
    monday = today + timedelta(days=21 - today.weekday())
    add_absence(
        person=Person.objects.get(name__startswith="Tomas"),
        starts_at=start_of_day(monday, zone),
        ends_at=start_of_day(monday + timedelta(days=3), zone),
        why="visiting family",
        by=owner,
    )
    add_closed_days(
        days=[ClosedDays(first_on=monday + timedelta(days=11), last_on=monday + timedelta(days=11), why="stocktaking")], by=owner
    )


def add_room(owner: Account, today: date) -> None:
    """Say how warm the room will be: as usual by day, cooler by night, and colder over week-ends."""
    days = [today + timedelta(days=number) for number in range(14)]
    course = [
        DayNight(on=on, day_c=Decimal(17), night_c=Decimal(15))
        if on.weekday() in COLD_DAYS
        else DayNight(on=on, day_c=Decimal(21), night_c=Decimal(18))
        for on in days
    ]
    hours = hours_of_days(course, zone=timezone.get_current_timezone(), warm_h=WORK_RATES["room_warm_h"].default)
    set_room(hours=hours, by=owner)


def add_skills() -> None:
    """Say who lays glass and who works the frame, and that shells ask for it."""
    working = list(Person.objects.order_by("name"))
    glass = save_skill(skill=None, name="Laying glass", note="", people=working)
    save_skill(skill=None, name="Rotating frame", note="shown how by Ines", people=working[:1])
    set_stage_rules(rules={Stage.SHELL: RuleNow(skill=glass, by_day=True)})


def add_stations() -> None:
    """Add the places and machines."""
    for name, kind, places, note in (
        ("Long bench", Station.Kind.BENCH, 2, "under the north window"),
        ("Turntable", Station.Kind.TURNTABLE, 1, "up to 60 kg"),
        ("Vacuum chamber", Station.Kind.VACUUM, 1, "30 cm inside, guard in place"),
        ("Rotating frame", Station.Kind.FRAME, 1, "fenced, with an interlock"),
    ):
        save_station(station=None, name=name, kind=kind, places=places, note=note)
