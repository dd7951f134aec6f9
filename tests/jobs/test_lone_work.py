import datetime

import pytest

from jobs.lone_work import company_of, without
from studio.models import Absence, WorkingHours
from tests.factories import JobFactory, PersonFactory
from tests.jobs.feeds.laid import MONDAY, entry, timetable_in_use

HOUR = datetime.timedelta(hours=1)


class TestWithout:
    def test_takes_stretches_out_of_stretches(self) -> None:
        nine, ten, eleven, noon = (MONDAY + n * HOUR for n in range(4))
        assert without([(nine, noon)], [(ten, eleven)]) == [(nine, ten), (eleven, noon)]
        assert without([(nine, noon)], [(nine, eleven), (eleven, noon)]) == []
        assert without([(nine, ten)], [(ten, noon)]) == [(nine, ten)]
        assert without([(nine, eleven)], [(ten, noon)]) == [(nine, ten)]
        assert without([(nine, ten)], []) == [(nine, ten)]


@pytest.mark.django_db
class TestCompany:
    def test_is_who_works_or_has_hours_and_is_not_away(self) -> None:
        ann, bo, table, job = PersonFactory(), PersonFactory(), timetable_in_use(), JobFactory()
        noon = datetime.time(12)
        WorkingHours.objects.create(person=bo, weekday=0, starts_at=datetime.time(9), ends_at=noon)
        WorkingHours.objects.create(person=ann, weekday=0, starts_at=datetime.time(9), ends_at=datetime.time(18))
        rows = [entry(table, job, "coat_1#1", MONDAY + 5 * HOUR, bo), entry(table, job, "coat_2#1", MONDAY + 7 * HOUR, ann)]
        company = company_of(ann, rows, MONDAY, MONDAY + 12 * HOUR)
        assert company.alone_during(MONDAY, MONDAY + 2 * HOUR) == ()
        assert company.alone_during(MONDAY + 2 * HOUR, MONDAY + 6 * HOUR) == (
            (MONDAY + 3 * HOUR, MONDAY + 5 * HOUR), (MONDAY + 5.75 * HOUR, MONDAY + 6 * HOUR),
        )  # fmt: skip
        assert company.alone_during(MONDAY + 7 * HOUR, MONDAY + 8 * HOUR) == ((MONDAY + 7 * HOUR, MONDAY + 8 * HOUR),)
        Absence.objects.create(person=bo, starts_at=MONDAY - HOUR, ends_at=MONDAY + 2 * HOUR)
        assert company_of(ann, rows, MONDAY, MONDAY + 12 * HOUR).alone_during(MONDAY, MONDAY + 3 * HOUR) == (
            (MONDAY, MONDAY + 2 * HOUR),
        )
        Absence.objects.all().delete()
        Absence.objects.create(starts_at=MONDAY - HOUR, ends_at=MONDAY + 9 * HOUR)
        assert company_of(ann, rows, MONDAY, MONDAY + 12 * HOUR).alone_during(MONDAY, MONDAY + HOUR) == ((MONDAY, MONDAY + HOUR),)
