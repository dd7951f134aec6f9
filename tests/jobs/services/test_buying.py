"""What open jobs need by when, and the list of what to buy."""

import datetime
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.errors import BuyingRefused
from jobs.models import Job, Plan
from jobs.services.buying import BuyLine, Chosen, buying_list, last_written, take_back, write_down
from jobs.services.jobs import move_job
from jobs.services.needs_ahead import NeedLine, needs_ahead
from jobs.services.plans import mold_plan
from jobs.services.reserving import release, reserve
from materials import ledger
from materials.models import ExpectedDelivery, Lot, Material
from materials.services.deliveries import Delivery, receive_delivery
from materials.services.expected import expect
from studio.access import Role
from studio.models import StudioProfile
from studio.workrates import Stage
from tests.factories import PackFactory, planned_job
from tests.jobs.views.timetable_rows import entry, timetable

pytestmark = pytest.mark.django_db


def _on(days: int) -> datetime.date:
    return timezone.localdate() + datetime.timedelta(days=days)


def _agreed(**fields: Any) -> Job:
    job = planned_job(**fields)
    move_job(job=job, to=Job.State.AGREED)
    return job


def _rubber(job: Job) -> Material:
    return Material.objects.get(pk=Plan.objects.get(job=job).rubber_id)


def _came(material: Material, mass_g: int, key: str) -> None:
    receive_delivery(
        delivery=Delivery(
            material=material, component=Lot.Component.KIT, mass_g=Decimal(mass_g), received_on=timezone.localdate()
        ),
        key=key,
        by=None,
    )


def _need(material: Material) -> NeedLine:
    return next(line for line in needs_ahead().lines if line.material == material)


def _to_buy(material: Material) -> BuyLine:
    return next(line for _, lines in buying_list() for line in lines if line.material == material)


class TestNeedsAhead:
    def test_short_on_the_day_that_the_days_in_use_open_the_rubber(self) -> None:
        job = _agreed(promised_on=_on(30))
        rubber = _rubber(job)
        without = _need(rubber)
        assert (without.short_on, without.demands[0].why_then) == (_on(30), "by the promised day, no days are laid out")
        used = timetable(used_at=timezone.now(), begins_at=timezone.now())
        coats = [task.key for task in mold_plan(job).tasks if task.stage is Stage.COATS]
        for days, key in zip((12, 9), coats[:2], strict=True):
            entry(used, job, at=timezone.now() + datetime.timedelta(days=days), key=f"{key}#1")
        line = _need(rubber)
        assert (line.short_on, line.ahead.short_g) == (_on(9), pytest.approx(float(line.need_g)))
        # A delivery that comes in time makes it good, one that comes too late does not.
        late = expect(material=rubber, mass_g=line.need_g + 1, due_on=_on(11), by=None)
        assert (_need(rubber).short_on, _need(rubber).ahead.short_g) == (_on(9), 0)
        ExpectedDelivery.objects.filter(pk=late.pk).update(due_on=_on(8))
        assert _need(rubber).short_on is None
        # What is on the shelf and reserved counts as the job's own and is not free.
        _came(rubber, int(line.need_g) + 500, "kit")
        reserve(job=job, by=None)
        held = _need(rubber)
        assert held.held_g == held.need_g
        assert float(held.free_g) == pytest.approx(500 - float(held.need_g % 1), abs=0.1)
        used.entries.update(done=True)
        assert not any(one.material == rubber and one.demands for one in needs_ahead().lines)

    def test_as_many_queries_for_many_jobs(self, django_assert_max_num_queries: Any) -> None:
        _agreed()
        with django_assert_max_num_queries(60) as first:
            needs_ahead()
        for _ in range(2):
            _agreed()
        with django_assert_max_num_queries(len(first.captured_queries)):
            needs_ahead()


class TestBuying:
    def test_whole_packs_by_when_and_written_down_once(self) -> None:
        job = _agreed(promised_on=_on(30))
        rubber = _rubber(job)
        Material.objects.filter(pk=rubber.pk).update(lead_days=10)
        small = PackFactory(material=rubber, mass_g=1100, price=Decimal(30), supplier="Quay Supplies")
        PackFactory(material=rubber, mass_g=5500, price=Decimal(200), supplier="Quay Supplies", usual=False)
        line = _to_buy(rubber)
        count = -(-int(line.need.need_g + Decimal("0.999")) // 1100)
        assert [(one.pack, one.count) for one in line.packs] == [(small, count)]
        assert line.left_g == pytest.approx(1100 * count - line.wanted_g)
        assert (line.price, line.order_by, line.due_on, line.suppliers) == (30 * count, _on(20), _on(10), "Quay Supplies")
        chosen = Chosen(material=rubber.pk, seen=line.seen, due_on=_on(4))
        ordered = write_down(chosen=[chosen], by=None)
        assert [(one.mass_g, one.due_on, one.pack) for one in ordered] == [(1100 * count, _on(4), small)]
        assert not any(one.material == rubber for _, lines in buying_list() for one in lines)
        with pytest.raises(BuyingRefused, match="has changed"):
            write_down(chosen=[chosen], by=None)
        with pytest.raises(BuyingRefused, match="Nothing is ticked"):
            write_down(chosen=[], by=None)
        assert take_back(pks=[one.pk for one in last_written()]) == 1
        assert _to_buy(rubber).seen == line.seen
        with pytest.raises(BuyingRefused, match="cancelled"):
            take_back(pks=[ordered[0].pk])

    def test_low_stock_is_bought_up_to_what_was_typed(self) -> None:
        job = planned_job()
        rubber = _rubber(job)
        _came(rubber, 2000, "kit")
        Material.objects.filter(pk=rubber.pk).update(low_below_g=3000)
        line = _to_buy(rubber)
        assert (line.short_g, line.low_g, line.order_by) == (0, pytest.approx(1000, abs=0.01), _on(0))
        assert (line.packs, line.trouble) == ((), "No pack of it is known; it is listed by mass.")
        assert write_down(chosen=[Chosen(material=rubber.pk, seen=line.seen, due_on=_on(4))], by=None)[0].mass_g in {1000, 1001}


def test_pages_say_it_and_keep_what_was_typed(signed_in: Callable[..., Client]) -> None:
    job = _agreed(promised_on=_on(30))
    rubber = _rubber(job)
    PackFactory(material=rubber, mass_g=1100, price=Decimal("31.25"), label="tin <b>", supplier="=Quay")
    _came(rubber, 1100, "kit")
    StudioProfile.objects.current()
    StudioProfile.objects.update(money_hidden_from_makers=True)
    owner, maker = signed_in(Role.OWNER), signed_in(Role.MAKER)
    shown = owner.get(reverse("jobs:needs_show")).content.decode()
    assert "Runs short on" in shown
    assert "<svg" in shown
    line = _to_buy(rubber)
    money = f"{line.price:.2f}"
    page = owner.get(reverse("jobs:buying_show")).content.decode()
    assert "tin &lt;b&gt;" in page
    assert money in page
    assert money not in maker.get(reverse("jobs:buying_show")).content.decode()
    rows = owner.get(reverse("jobs:buying_csv")).content.decode()
    assert "'=Quay" in rows
    assert money in rows
    assert money not in maker.get(reverse("jobs:buying_csv")).content.decode()
    form = {"take": str(rubber.pk), f"seen-{rubber.pk}": line.seen, f"due-{rubber.pk}": "2001-01-01"}
    refused = owner.post(reverse("jobs:buying_ordered"), form)
    assert refused.status_code == 422
    assert 'value="2001-01-01"' in refused.content.decode()
    assert not ExpectedDelivery.objects.exists()
    owner.post(reverse("jobs:buying_ordered"), {**form, f"due-{rubber.pk}": _on(5).isoformat()})
    assert ExpectedDelivery.objects.get().due_on == _on(5)
    owner.post(reverse("jobs:buying_back"), {"delivery": ExpectedDelivery.objects.get().pk})
    assert ExpectedDelivery.objects.get().cancelled_at
    own = owner.get(reverse("jobs:job_show", args=[job.number])).content.decode()
    assert "Reserve what is free" in own
    owner.post(reverse("jobs:reserved_release", args=[job.number]))
    assert sum(lot.reserved_g for lot in Lot.objects.all()) == 0
    owner.post(reverse("jobs:reserved_take", args=[job.number]))
    assert sum(lot.reserved_g for lot in Lot.objects.all()) == 1100
    release(job=job, by=None)
    assert not ledger.unbalanced()
