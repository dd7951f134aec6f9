"""What a timetable does not hold, or only with a doubt, each with the page where it is put right."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import NoReverseMatch, reverse

from jobs.days.said import worded
from jobs.models import Timetable


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """One sentence: of a job that is not laid out ("job"), of a material that is missing, or a remark."""

    kind: str
    number: int | None
    title: str
    sentence: str
    address: str


def left_out(timetable: Timetable) -> tuple[LeftOut, ...]:
    """Return what was said while the days were planned: jobs that are missing first."""
    lines = [_line(one) for one in timetable.left_out]
    return tuple(sorted(lines, key=lambda line: line.kind != "job"))


def _line(one: Mapping[str, Any]) -> LeftOut:
    number = one.get("job")
    return LeftOut(
        kind=one["kind"],
        number=number,
        title=one.get("title", ""),
        sentence=worded(one),
        address=_address(one.get("page", ""), number),
    )


def _address(page: str, number: int | None) -> str:
    """Return where it is put right: the job's page of that name, or the one page there is, or the job itself."""
    ways = [(page, {"number": number}), (page, {}), ("jobs:job_show", {"number": number})]
    for name, kwargs in ways:
        if name and None not in kwargs.values():
            try:
                return reverse(name, kwargs=kwargs)
            except NoReverseMatch:
                continue
    return ""
