"""What the shelf holds for a job."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from jobs.models import Job, Plan
from jobs.services.jobs import move_job
from jobs.services.reserving import Reserved, release, reserve, reserve_anew, reserved_of
from materials import ledger
from materials.models import Lot, Material, Movement
from materials.services.deliveries import Delivery, receive_delivery
from materials.services.mixes import propose_mix
from tests.factories import JobFactory, planned_job

pytestmark = pytest.mark.django_db


def _came(material: Material, mass_g: int, key: str, *, days: int | None = None, whole: bool = False) -> list[Lot]:
    today = timezone.localdate()
    return receive_delivery(
        delivery=Delivery(
            material=material,
            component=Lot.Component.WHOLE if whole else Lot.Component.KIT,
            mass_g=Decimal(mass_g),
            received_on=today,
            expires_on=None if days is None else today + timedelta(days=days),
        ),
        key=key,
        by=None,
    )


def _rubber(job: Job) -> Material:
    found: Material = Plan.objects.get(job=job).rubber  # type: ignore[assignment]
    return found


def _line(found: Reserved, material: Material) -> Any:
    return next(line for line in found.lines if line.material == material)


def _held(job: Job) -> Decimal:
    return sum((lot.reserved_g for lot in Lot.objects.filter(material=_rubber(job))), Decimal(0))


class TestReserving:
    def test_agreed_reserves_in_the_ratio_what_expires_first_and_giving_up_releases(self) -> None:
        job = planned_job()
        rubber = _rubber(job)
        need = _line(reserved_of(job), rubber).need_g
        late = _came(rubber, 5500, "late", days=200)
        soon = _came(rubber, 1100, "soon", days=20)
        _came(rubber, 1100, "gone", days=-1)
        move_job(job=job, to=Job.State.AGREED)
        found = _line(reserved_of(job), rubber)
        assert (found.held_g, found.short_g, found.too_much_g) == (need, 0, 0)
        for lot in (*late, *soon):
            lot.refresh_from_db()
        # What expires in 20 days is all taken, 100 parts of A to 5 of B as the catalogue states, and the rest of the later one.
        assert [lot.free_g for lot in soon] == [0, 0]
        share_b = soon[1].received_g / (soon[0].received_g + soon[1].received_g)
        assert sum(lot.reserved_g for lot in late) == need - 1100
        assert late[1].reserved_g == pytest.approx((need - 1100) * share_b, abs=Decimal("0.002"))
        assert not reserved_of(job).too_much
        move_job(job=job, to=Job.State.WORKING)
        assert _held(job) == need
        move_job(job=job, to=Job.State.DELIVERED)
        assert _held(job) == 0
        assert not ledger.unbalanced()

    def test_as_far_as_there_is_and_nothing_twice(self) -> None:
        job = planned_job()
        rubber = _rubber(job)
        need = _line(reserved_of(job), rubber).need_g
        _came(rubber, 1100, "some")
        first = _line(reserve(job=job, by=None), rubber)
        assert first.held_g == 1100
        assert first.short_g == need - 1100
        lines = Movement.objects.count()
        reserve(job=job, by=None)
        assert Movement.objects.count() == lines
        _came(rubber, 11000, "more")
        assert _line(reserve(job=job, by=None), rubber).held_g == need
        assert release(job=job, by=None) > 0
        assert release(job=job, by=None) == 0
        assert not ledger.unbalanced()

    def test_reserves_the_lots_that_a_mix_of_it_is_taken_from(self) -> None:
        job = planned_job()
        rubber = _rubber(job)
        need = _line(reserved_of(job), rubber).need_g
        _came(rubber, 5500, "soon", days=20)
        a, b = _came(rubber, 1100, "late", days=200)
        # The rest of a kit whose B has gone goes first, late as it expires, and strands no more of it.
        ledger.discard(of=b, mass_g=b.on_hand_g, key="spilt", by=None)
        offered = propose_mix(material=rubber, mass_g=need, today=timezone.localdate())
        assert offered[0].lot == a
        reserve(job=job, by=None)
        held = {lot.pk: lot.reserved_g for lot in Lot.objects.filter(material=rubber, reserved_g__gt=0)}
        assert held == {take.lot.pk: take.mass_g for take in offered}
        # What is held is what the job's own mix then takes.
        mine = propose_mix(material=rubber, mass_g=need, today=timezone.localdate(), job_number=job.number)
        assert {take.lot.pk: take.mass_g for take in mine} == held

    def test_what_was_used_is_not_reserved_again(self) -> None:
        job = planned_job()
        rubber = _rubber(job)
        a, _b = _came(rubber, 11000, "kit")
        reserve(job=job, by=None)
        need = _line(reserved_of(job), rubber).need_g
        ledger.issue(of=a, mass_g=Decimal(500), key="laid", by=None, job_number=job.number)
        line = _line(reserve(job=job, by=None), rubber)
        assert (line.used_g, line.held_g, line.short_g) == (500, need - 500, 0)

    def test_anew_after_the_plan_changed_and_all_or_nothing(self, monkeypatch: pytest.MonkeyPatch) -> None:
        job = planned_job()
        rubber = _rubber(job)
        _came(rubber, 22000, "kit")
        reserve(job=job, by=None)
        before = _held(job)
        Plan.objects.filter(job=job).update(wall_mm=Decimal(5))
        assert reserved_of(job).too_much
        with monkeypatch.context() as patch:
            patch.setattr("jobs.services.reserving.ledger.reserve", lambda **_: 1 / 0)
            with pytest.raises(ZeroDivisionError):
                reserve_anew(job=job, by=None)
        assert _held(job) == before
        found = reserve_anew(job=job, by=None)
        assert not found.too_much
        assert _held(job) == _line(found, rubber).need_g < before

    def test_a_job_without_a_plan_is_agreed_all_the_same(self) -> None:
        job = JobFactory()
        move_job(job=job, to=Job.State.AGREED)
        found = reserved_of(job)
        assert (found.lines, bool(found.problem)) == ((), True)

    def test_two_jobs_never_hold_the_same_rubber(self) -> None:
        jobs = [planned_job(), planned_job()]
        rubber = _rubber(jobs[0])
        need = _line(reserved_of(jobs[0]), rubber).need_g
        lots = _came(rubber, int(need) + 300, "kit")
        first, second = (_line(reserve(job=job, by=None), rubber) for job in jobs)
        assert (first.held_g, first.short_g) == (need, 0)
        assert second.held_g == pytest.approx(int(need) + 300 - need, abs=Decimal("0.1"))
        for lot in lots:
            lot.refresh_from_db()
            assert 0 <= lot.free_g < Decimal("0.1")
        release(job=jobs[0], by=None)
        assert _line(reserve(job=jobs[1], by=None), rubber).short_g == 0
        assert not ledger.unbalanced()
