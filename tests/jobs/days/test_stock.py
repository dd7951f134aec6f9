"""What jobs need against what is here and what is ordered."""

import datetime
import math
from decimal import Decimal

import pytest

from jobs.days.inputs import laid_out
from jobs.days.plans import planned_jobs
from jobs.days.said import missing, worded
from jobs.days.stock import supply
from jobs.models import Job
from materials import ledger
from materials.inputs import material_spec
from materials.models import ExpectedDelivery, Lot
from materials.science.mixing import component_shares
from studio.models import StudioProfile
from tests.factories import LotFactory, starter_material
from tests.jobs.days.studio import agreed_drum

pytestmark = pytest.mark.django_db
RUBBER = "tin-25a"


def on(day: int) -> datetime.date:
    return datetime.date(2026, 3, day)


def expected(mass_g: int, due: datetime.date, key: str = RUBBER) -> None:
    ExpectedDelivery.objects.create(material=starter_material(key), mass_g=mass_g, due_on=due)


def needed(job: Job, key: str = RUBBER) -> float:
    (one,) = [planned for planned in planned_jobs()[0] if planned.job == job]
    pk = starter_material(key).pk
    return sum(need.mass.value for need in one.made.needs if need.material_key == pk)


def short_of(key: str = RUBBER) -> list[tuple[int, float]]:
    found = supply(planned_jobs()[0]).said
    return [(one["job"], one["missing_g"]) for one in found if one.get("material") == starter_material(key).pk]


class TestSupply:
    def test_says_what_is_neither_here_nor_ordered(self, drum) -> None:
        LotFactory(material=starter_material(RUBBER), holding=500)
        assert short_of() == [(drum.number, pytest.approx(needed(drum) - 500, abs=0.1))]

    def test_is_worded_in_the_units_of_who_reads_it(self, drum) -> None:
        told = missing(drum, "Silk {rubber}", material_id=1, missing_g=907.18474)
        assert worded(told).startswith("Silk {rubber} is short by 907\u00a0g, neither here nor ordered")
        StudioProfile.objects.update(units="us", locale="en_US")
        # exact: NIST SP 811, 1 lb = 453.59237 g.
        assert worded(told).startswith("Silk {rubber} is short by 2.00\u00a0lb, ")

    def test_serves_first_what_is_promised_first(self, drum) -> None:
        later = agreed_drum(promised_on=on(30))
        mass = needed(drum)
        # Enough for one; the delivery makes up for the other.
        LotFactory(material=starter_material(RUBBER), holding=round(mass) + 10)
        expected(round(mass) + 10, on(9))
        found = supply(planned_jobs()[0])
        pk = starter_material(RUBBER).pk
        assert short_of() == []
        assert {key: day for key, day in found.opens.items() if key[1] == pk} == {(drum.pk, pk): on(9)}
        drum.promised_on = on(20)
        drum.save()
        assert {key[0] for key in supply(planned_jobs()[0]).opens if key[1] == pk} == {later.pk}

    def test_counts_what_is_reserved_or_was_used_for_a_job_as_its_own(self, drum) -> None:
        lot = LotFactory(material=starter_material(RUBBER), holding=900)
        ledger.reserve(of=lot, mass_g=Decimal(300), key="own", by=None, why="for it", job_number=drum.number)
        ledger.reserve(of=lot, mass_g=Decimal(200), key="others", by=None, why="for another", job_number=4)
        ledger.issue(of=lot, mass_g=Decimal(100), key="used", by=None, why="laid", job_number=drum.number)
        lot.refresh_from_db()
        # What is its own, laid already or not, and what is free; the other's 200 are not.
        assert short_of() == [(drum.number, pytest.approx(needed(drum) - 700, abs=0.1))]

    def test_leaves_out_what_is_expired_or_set_aside(self, drum) -> None:
        LotFactory(material=starter_material(RUBBER), holding=5000, expires_on=on(1))
        LotFactory(material=starter_material(RUBBER), holding=5000, quarantined=True)
        assert short_of() == [(drum.number, pytest.approx(needed(drum), abs=0.1))]
        Lot.objects.filter(quarantined=True).update(quarantined=False)
        assert short_of() == []

    def test_counts_a_and_b_as_far_as_they_go_together(self, drum) -> None:
        rubber = starter_material(RUBBER)
        share_b = component_shares(material_spec(rubber))[1].value
        mass = needed(drum)
        LotFactory(material=rubber, component=Lot.Component.A, holding=math.ceil(mass))
        assert short_of() == [(drum.number, pytest.approx(mass, abs=0.1))]
        LotFactory(material=rubber, component=Lot.Component.B, holding=100)
        assert mass * share_b > 100
        assert short_of() == [(drum.number, pytest.approx(mass - 100 / share_b, abs=0.2))]
        LotFactory(material=rubber, component=Lot.Component.B, holding=math.ceil(mass * share_b))
        assert short_of() == []

    def test_takes_an_overdue_delivery_to_come_today_and_says_so(self, drum) -> None:
        expected(50_000, datetime.date(2026, 2, 20))
        found = supply(planned_jobs()[0])
        assert found.opens[drum.pk, starter_material(RUBBER).pk] == on(2)
        assert any("was to arrive Fri 20 Feb and has not" in worded(one) for one in found.said)

    def test_wants_nothing_for_what_has_begun(self, drum) -> None:
        begun = {(drum.pk, task.key) for task in planned_jobs()[0][0].made.tasks}
        assert supply(planned_jobs()[0], begun).said == ()


class TestOpenings:
    def test_keep_tasks_waiting_for_the_morning_of_their_delivery(self, drum) -> None:
        expected(50_000, on(9))
        laid = laid_out()
        rubber = {task.key: task for task in laid.fresh.tasks if laid.said[task.key].stage.value in ("coats", "fill")}
        assert rubber
        assert {laid.grid.at(task.opens) for task in rubber.values()} == {datetime.datetime(2026, 3, 9, tzinfo=datetime.UTC)}
        others = [task for task in laid.fresh.tasks if laid.said[task.key].stage.value in ("client", "open")]
        assert {task.opens for task in others} == {laid.now}
