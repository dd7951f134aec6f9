"""What could not be laid out, or only with a doubt: one sentence each, with the job and the page where it is put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from jobs.models import Job
from studio.web.context import current_profile
from studio.web.formats import day_text, locale_code
from studio.web.quantities import show


def left_out(job: Job, sentence: str, *, page: str) -> dict[str, Any]:
    """Say that a job was not laid out; `page` is where what is missing is entered."""
    return {"kind": "job", **_of(job), "sentence": sentence, "page": page}


def doubt(sentence: str, *, job: Job | None = None, page: str = "") -> dict[str, Any]:
    """Say what was supposed, of one job or of all."""
    return {"kind": "remark", **_of(job), "sentence": sentence, "page": page}


def overdue(name: str, due_on: datetime.date) -> dict[str, Any]:
    """Say that a delivery was to be here by now."""
    return {**doubt("", page="materials:expected_list"), "name": name, "due_on": due_on.isoformat()}


def missing(job: Job, name: str, *, material_id: int, missing_g: float) -> dict[str, Any]:
    """Say that a material is neither here nor ordered; the job is laid out all the same."""
    return {
        "kind": "material", **_of(job), "sentence": "", "page": "materials:expected_list",
        "name": name, "material": material_id, "missing_g": round(missing_g, 1),
    }  # fmt: skip


def worded(one: Mapping[str, Any]) -> str:
    """Return what was said as a sentence, its masses and days as the studio writes them when it is read."""
    if one["sentence"]:
        return str(one["sentence"])
    if "due_on" in one:
        day = day_text(datetime.date.fromisoformat(one["due_on"]), timezone.localdate(), locale_code(current_profile()))
        return f"{one['name']} was to arrive {day} and has not; it is taken to come today. Correct the day of its delivery."
    short = show(one["missing_g"], "g")
    return f"{one['name']} is short by {short}, neither here nor ordered; it is laid out as if it were here."


def _of(job: Job | None) -> dict[str, Any]:
    return {"job": None, "title": ""} if job is None else {"job": job.number, "title": job.title}
