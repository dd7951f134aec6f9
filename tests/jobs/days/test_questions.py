"""By when an enquiry could be done, and why a day cannot be kept: asked once, answered by the worker."""

import datetime

import pytest

from jobs.claims import MOST_ATTEMPTS
from jobs.days import questions, working
from jobs.days.questions import ask_promise, ask_why, latest_answer, process_question
from jobs.errors import QuestionRefused
from jobs.models import DaysQuestion, Job
from tests.factories import JobFactory
from tests.jobs.days.rows import entry, in_use
from tests.jobs.days.studio import agreed_drum, looked_for, to_use

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("pushed", "quick")]
State, Kind = DaysQuestion.State, DaysQuestion.Kind


def answered(question: DaysQuestion) -> DaysQuestion:
    assert process_question(question.pk) == "answered"
    question.refresh_from_db()
    return question


class TestPromise:
    def test_gives_both_days_beside_the_present_load(self, drum, monkeypatch) -> None:
        monkeypatch.setattr(questions, "DRAWS", 10)
        used = to_use(looked_for())
        enquiry = agreed_drum(state=Job.State.ENQUIRY)
        question = answered(ask_promise(job=enquiry, by=None))
        answer = question.answer
        even, nine = (datetime.datetime.fromisoformat(answer[key]) for key in ("even_at", "nine_in_ten_at"))
        ends = [datetime.datetime.fromisoformat(end) for end in answer["ends"]]
        # Quantiles of the draws: half and nine tenths of them end by then.
        assert ends == sorted(ends)
        assert (even, nine) == (ends[4], ends[8])
        assert (answer["draws"], answer["missed"], answer["beside"], answer["by_hand"]) == (10, 0, 1, 0)
        assert question.timetable == used
        alone = max(row.ends_at for row in used.entries.all())
        assert even > alone

    def test_is_asked_once_at_a_time(self, drum, account) -> None:
        enquiry = agreed_drum(state=Job.State.QUOTED)
        asked = ask_promise(job=enquiry, by=account)
        assert ask_promise(job=enquiry, by=None) == asked == latest_answer(enquiry, Kind.PROMISE)
        DaysQuestion.objects.update(state=State.REFUSED)
        again = ask_promise(job=enquiry, by=account)
        assert (again.asked_by, DaysQuestion.objects.get()) == (account, again)

    @pytest.mark.parametrize(
        ("state", "words"), [(Job.State.AGREED, "laid out with all others"), (Job.State.DECLINED, "is closed")]
    )
    def test_refuses_other_jobs(self, state, words) -> None:
        with pytest.raises(QuestionRefused, match=words):
            ask_promise(job=JobFactory(state=state), by=None)

    def test_says_what_the_plan_is_missing(self, drum) -> None:
        question = ask_promise(job=JobFactory(state=Job.State.ENQUIRY), by=None)
        assert process_question(question.pk) == "refused"
        question.refresh_from_db()
        assert (question.state, "not measured yet" in question.reason) == (State.REFUSED, True)


class TestWhy:
    def test_names_what_contradicts_and_remedies_with_their_effects(self, drum) -> None:
        Job.objects.filter(pk=drum.pk).update(promised_on=datetime.date(2026, 3, 4))
        drum.refresh_from_db()
        to_use(looked_for())
        answer = answered(ask_why(job=drum, by=None)).answer
        assert answer["can_be_kept"] is False
        assert answer["late_min"] > 0
        assert f"{drum.number} {drum.title}" in answer["sentence"]
        assert {one["rule"] for one in answer["causes"]} >= {"day"}
        assert len(answer["remedies"]) >= 3
        assert all(one["label"] and one["effect"].startswith("Done ") for one in answer["remedies"])
        helped = [one["helps"] for one in answer["remedies"]]
        assert helped == sorted(helped, reverse=True)

    def test_says_that_a_day_can_be_kept(self, drum) -> None:
        to_use(looked_for())
        answer = answered(ask_why(job=drum, by=None)).answer
        assert (answer["can_be_kept"], answer["remedies"]) == (True, [])

    def test_refuses_what_has_no_answer(self, drum) -> None:
        with pytest.raises(QuestionRefused, match="No timetable is in use"):
            ask_why(job=drum, by=None)
        entry(in_use())
        with pytest.raises(QuestionRefused, match="not in the timetable"):
            ask_why(job=drum, by=None)
        with pytest.raises(QuestionRefused, match="promised for no day"):
            ask_why(job=JobFactory(), by=None)


class TestClaims:
    def test_are_given_up_after_three_workers(self, drum, pushed) -> None:
        question = ask_promise(job=agreed_drum(state=Job.State.ENQUIRY), by=None)
        DaysQuestion.objects.update(
            state=State.WORKING, attempts=MOST_ATTEMPTS, lease_until_at=datetime.datetime(2026, 3, 1, tzinfo=datetime.UTC)
        )
        pushed.clear()
        assert (working.sweep(), pushed) == (1, [question.pk])
        assert process_question(question.pk) == "nothing to do"
        question.refresh_from_db()
        assert (question.state, question.reason) == (State.REFUSED, questions.GAVE_UP)
