"""The page after a job: noting, taking back, and the plan against what came out."""

import re
import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from costing.services.after import compare, plan_then
from costing.services.quote_moves import move_quote
from costing.services.quotes import freeze_quote
from jobs.models import CastingsTally, Job, JobSpend, WorkDone
from jobs.services.plans import keep_minutes, plan_of
from materials import ledger
from materials.models import Lot, Movement
from studio.access import Role
from studio.models import Account, Person, StudioProfile
from tests.factories import AccountFactory, LotFactory, PersonFactory

pytestmark = pytest.mark.django_db


def text_of(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode().replace("\xa0", " "))


def post(browser: Client, job: Job, to: str, prefix: str = "", **data: Any) -> Any:
    start = f"{prefix}-" if prefix else ""
    day = {"work": "done_on", "": "done_on", "spend": "spent_on", "castings": "cast_on"}[prefix]
    typed = {"key": str(uuid.uuid4()), day: "2026-11-20", **data}
    return browser.post(f"/jobs/{job.number}/after/{to}/", {f"{start}{name}": value for name, value in typed.items()})


def minutes(browser: Client, job: Job, **data: Any) -> Any:
    return post(browser, job, "minutes", **{name.replace("task_", "task-", 1): value for name, value in data.items()})


@pytest.fixture
def accepted(job: Job) -> Job:
    """Return a job whose quote was accepted."""
    by: Account = AccountFactory()
    move_quote(quote=freeze_quote(job=job, by=by), to="accepted", by=by)
    return job


class TestAfterShow:
    def test_asks_for_minutes_before_anything_is_noted(self, office: Client, job: Job) -> None:
        html = text_of(office.get(f"/jobs/{job.number}/after/"))
        for words in ("Here will stand what was planned against what came out", "Minutes of the planned tasks", "Nothing yet."):
            assert words in html
        assert 'name="task-coat_1"' in html

    def test_holds_what_is_noted_against_the_plan(self, office: Client, job: Job) -> None:
        person: Person = PersonFactory(rate_per_h=Decimal(40))
        assert minutes(office, job, task_board="90", task_coat_1="1 h", person=person.pk).status_code == 302
        post(office, job, "other-work", "work", label="Mended the <b>base</b>", stage="prepare", minutes="30")
        post(office, job, "spend", "spend", text="Carriage", amount="45.50")
        post(office, job, "castings", "castings", good="5", spoiled="1", note="air at the rim")
        html = text_of(office.get(f"/jobs/{job.number}/after/"))
        for words in (
            "Held against the plan in use", "Hours, less and more than planned", "Money, less and more than planned",
            "more than planned", "Mended the &lt;b&gt;base&lt;/b&gt;", "Carriage", "Castings: 5 good, 1 spoiled, air at the rim",
            "Spoiled: 1 casting.", "unfavourable", "No minutes are noted of", "Take back",
        ):  # fmt: skip
            assert words in html, words

    def test_hides_money_where_the_owner_does(self, signed_in: Callable[[Role], Client], job: Job) -> None:
        JobSpend.objects.create(job=job, text="Carriage of the piece", amount=Decimal("45.50"))
        StudioProfile.objects.update(money_hidden_from_makers=True)
        maker = signed_in(Role.MAKER)
        assert minutes(maker, job, task_board="90").status_code == 302
        html = text_of(maker.get(f"/jobs/{job.number}/after/"))
        assert "Carriage" not in html
        assert "€" not in html
        assert "<h2>Money</h2>" not in html
        assert post(maker, job, "spend", "spend", text="x", amount="1").status_code == 403
        line = {"kind": "spend", "line": JobSpend.objects.get().pk}
        assert maker.post(f"/jobs/{job.number}/after/line/", line).status_code == 403


class TestNoting:
    def test_keeps_what_was_typed_when_something_is_wrong(self, office: Client, job: Job) -> None:
        answer = minutes(office, job, task_board="ninety", task_coat_1="55")
        html = text_of(answer)
        assert answer.status_code == 422
        assert 'value="ninety"' in html
        assert 'value="55"' in html
        assert WorkDone.objects.count() == 0
        assert minutes(office, job).status_code == 422
        assert post(office, job, "castings", "castings", good="", spoiled="").status_code == 422
        assert CastingsTally.objects.count() == 0

    def test_takes_a_form_sent_twice_once(self, office: Client, job: Job) -> None:
        key = str(uuid.uuid4())
        for _ in range(2):
            assert minutes(office, job, key=key, task_board="90").status_code == 302
        assert WorkDone.objects.get().minutes == 90
        assert "sent already" in text_of(minutes(office, job, key=key, task_board="91"))

    def test_takes_a_line_back_and_counts_it_again(self, office: Client, job: Job) -> None:
        minutes(office, job, task_board="90")
        line = {"kind": "work", "line": WorkDone.objects.get().pk}
        html = text_of(office.post(f"/jobs/{job.number}/after/line/", line, follow=True))
        assert "; taken back by" in html
        assert "Count it again" in html
        html = text_of(office.post(f"/jobs/{job.number}/after/line/", {**line, "change": "again"}, follow=True))
        assert "Take back" in html
        assert "not on this job" in text_of(
            office.post(f"/jobs/{job.number}/after/line/", {"kind": "x", "line": "9" * 30}, follow=True)
        )


class TestComparison:
    def test_goes_by_the_plan_frozen_in_the_accepted_quote(self, accepted: Job) -> None:
        profile = StudioProfile.objects.current()
        before = plan_then(accepted, profile)
        assert before is not None
        keep_minutes(plan=plan_of(accepted), minutes={"board": Decimal(999)}, by=None)
        then = plan_then(accepted, profile)
        assert then is not None
        assert then.quote is not None
        assert "frozen in Quote" in then.said
        assert then.numbers == before.numbers
        assert next(task.minutes for task in then.numbers.tasks if task.key == "board") == 60

    def test_adds_up_to_the_whole_difference_with_masses_and_prices_of_the_ledger(self, accepted: Job) -> None:
        profile = StudioProfile.objects.current()
        rubber = accepted.plan.rubber
        lot: Lot = LotFactory(material=rubber, unit_cost_per_kg=Decimal(25), holding=20000)
        stem = {"of": lot, "by": None, "job_number": accepted.number}
        ledger.issue(mass_g=Decimal(9000), key="after-use-1", **stem)
        wrong: Movement = ledger.issue(mass_g=Decimal(500), key="after-use-2", **stem)
        ledger.return_(mass_g=Decimal(400), key="after-back-1", **stem)
        ledger.reverse(movement=wrong, key="after-undo-1", by=None, why="wrong lot")
        WorkDone.objects.create(
            job=accepted, task_key="board", label="Board", stage="prepare", minutes=90, person=PersonFactory(rate_per_h=40)
        )  # fmt: skip
        JobSpend.objects.create(job=accepted, text="Carriage", amount=Decimal("45.50"))
        then = plan_then(accepted, profile)
        assert then is not None
        found = compare(accepted, then, profile)
        costs = dict(found.splits)
        planned = next(one for one in then.numbers.materials if one.key == str(rubber.pk))
        used = costs[rubber.name]
        # By hand: 8.6 kg at 25 against the planned mass at 22; 1.5 h at 40 against 1 h at 25; 45.50 against nothing.
        assert used.actual.value == 215.0
        assert used.price.figure.value == pytest.approx((25 - 22) * 8.6, abs=0.011)
        assert used.quantity.figure.value == pytest.approx((8.6 - planned.mass_g / 1000) * 22, abs=0.006)
        assert (costs["Labour"].quantity.figure.value, costs["Labour"].price.figure.value) == (12.5, 22.5)
        assert costs["Other expense"].whole.figure.value == 45.5
        wholes = sum(Decimal(repr(one.whole.figure.value)) for one in costs.values())
        assert Decimal(repr(found.whole.figure.value)) == wholes
        assert Decimal(repr(found.by_quantity.figure.value)) + Decimal(repr(found.by_price.figure.value)) == wholes
