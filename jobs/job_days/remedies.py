"""What helps a job whose day or window cannot be kept, and where each remedy is carried out."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.urls import reverse

from jobs.models import DaysQuestion, Job

# By the key of a remedy: the page on which it is carried out, and the words that lead there.
_JOB_PAGES = {
    "earlier": ("jobs:job_days_show", "#start", "Let it begin earlier"),
    "slower": ("jobs:mold_show", "", "Choose another rubber or catalyst"),
}
_STUDIO_PAGES = {
    "evening": ("studio:people_list", "Give somebody hours in the evening"),
    "second_person": ("studio:people_list", "Add somebody, or give them more hours"),
}
# One day more is promised where it stands.
ONE_DAY_MORE = "day_more"


_CAUSES = {
    "day": "It is promised for its day.",
    "wait": "{task} waits until what is before it has set.",
    "window": "{task} begins before the window of what is before it closes.",
    "hours": "{task} is done within somebody’s hours.",
    "others": "{task} is done by somebody who is not at another job then.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RemedySaid:
    """One remedy with its effect; `address` leads to where it is carried out, `here` says that a button does it."""

    label: str
    effect: str
    helps: bool
    address: str
    words: str
    here: bool


def remedies_said(job: Job, question: DaysQuestion) -> list[RemedySaid]:
    """Return the remedies of an answer, those that help first as they came."""
    return [_said(job, one) for one in (question.answer or {}).get("remedies", [])]


def _said(job: Job, one: dict[str, str | bool]) -> RemedySaid:
    key = str(one["key"])
    address = words = ""
    if key in _JOB_PAGES:
        name, place, words = _JOB_PAGES[key]
        address = reverse(name, kwargs={"number": job.number}) + place
    elif key in _STUDIO_PAGES:
        name, words = _STUDIO_PAGES[key]
        address = reverse(name)
    return RemedySaid(
        label=str(one["label"]),
        effect=str(one["effect"]),
        helps=bool(one["helps"]),
        address=address,
        words=words,
        here=key == ONE_DAY_MORE and job.promised_on is not None,
    )


def said_cause(cause: Mapping[str, str]) -> str:
    """Say one of the rules that contradict each other."""
    return _CAUSES.get(cause.get("rule", ""), "{task}").format(task=f"“{cause.get('task', '')}”")
