"""Absences and closed days as they are typed."""

import re
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from studio.forms.people import NO_TIME, TIME_FORMATS, day_field
from studio.local_time import NoSuchTime, moment_of, start_of_day, twice_words
from studio.models import Person
from studio.services.absences import ClosedDays
from studio.web.forms import PaperForm

EVERYBODY = "all"
FARTHEST_YEARS = 10
MOST_LINES = 200
LONGEST_WHY = 120
LINE_DAY = r"(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\.? [A-Za-z]{3,9}\.? \d{4}|[A-Za-z]{3,9}\.? \d{1,2}, ?\d{4}|\d{1,2}\.\d{1,2}\.\d{4})"
LINE = re.compile(
    rf"^(?:[A-Za-z]{{2,9}},? )?{LINE_DAY}(?:\s*(?:to|until|–|—|-)\s*(?:[A-Za-z]{{2,9}},? )?{LINE_DAY})?(?:[\s,;:]+(.*))?$"
)
LINE_FORMATS = ("%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%b %d, %Y", "%B %d, %Y", "%d.%m.%Y")


def _time_field(label: str, help_text: str) -> forms.TimeField:
    return forms.TimeField(
        label=label, required=False, input_formats=TIME_FORMATS, help_text=help_text,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"), error_messages={"invalid": NO_TIME},
    )  # fmt: skip


class AbsenceForm(PaperForm):
    """One stretch away: whole days, or from a time to a time."""

    who = forms.ChoiceField(
        label="Who", error_messages={"required": "Choose who is away.", "invalid_choice": "Choose one from the list."}
    )
    from_day = day_field(label="From")
    from_time = _time_field("Leaves at", "Left empty, from the beginning of that day.")
    until_day = day_field(label="Last day", help_text="Left empty, that one day.")
    until_time = _time_field("Back at", "Left empty, away until the end of the last day.")
    why = forms.CharField(label="Why", max_length=LONGEST_WHY, required=False, help_text="Whoever may see the people sees this.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = [(str(person.pk), person.name) for person in Person.objects.filter(active=True)]
        who: Any = self.fields["who"]
        who.choices = [("", "choose"), *people, (EVERYBODY, "everybody: the studio is closed")]
        self.fields["from_day"].required = True
        self.fields["from_day"].error_messages["required"] = "Give the first day."
        self.notes: list[str] = []

    def clean(self) -> dict[str, Any]:
        """Turn days and times into the two moments, with a sentence where the clocks change."""
        typed = super().clean() or self.cleaned_data
        first, last = typed.get("from_day"), typed.get("until_day")
        if first is None or {"until_day", "from_time", "until_time"} & set(self.errors):
            return typed
        for name, day in (("from_day", first), ("until_day", last)):
            if day is not None and not _believable(day):
                self.add_error(name, f"That is more than {FARTHEST_YEARS} years away. Check the year.")
                return typed
        last = last or first
        if last < first:
            self.add_error("until_day", "This is before the first day. Correct one of the two.")
            return typed
        starts_at = self._moment("from_time", first)
        ends_at = self._moment("until_time", last, following=True)
        if starts_at and ends_at and ends_at <= starts_at:
            self.add_error("until_time", "This is not after the beginning. Correct the times, or give a later last day.")
        typed["starts_at"], typed["ends_at"] = starts_at, ends_at
        return typed

    def person(self) -> Person | None:
        """Return who was chosen, None for everybody."""
        who = self.cleaned_data["who"]
        return None if who == EVERYBODY else Person.objects.get(pk=who)

    def _moment(self, name: str, day: date, *, following: bool = False) -> datetime | None:
        zone = _zone()
        clock: time | None = self.cleaned_data.get(name)
        if clock is None:
            return start_of_day(day + timedelta(days=1) if following else day, zone)
        try:
            found = moment_of(day, clock, zone)
        except NoSuchTime as refused:
            self.add_error(name, str(refused))
            return None
        if found.twice:
            self.notes.append(twice_words(day, clock))
        return found.at


class ClosedDaysForm(PaperForm):
    """Public holidays and other closed days, typed or pasted, one on each line."""

    days = forms.CharField(
        label="Closed days",
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
        help_text="One on each line, with what it is: 2026-12-25 Christmas Day. "
        "Several in a row: 2026-12-24 to 2027-01-02 Winter break.",
        error_messages={"required": "Type or paste one day at least."},
    )

    def clean_days(self) -> list[ClosedDays]:
        """Read the lines; name each that cannot be read."""
        lines = [line.strip() for line in self.cleaned_data["days"].splitlines() if line.strip()]
        if len(lines) > MOST_LINES:
            raise ValidationError(f"These are {len(lines)} lines; send at most {MOST_LINES} at once.")
        found: list[ClosedDays] = []
        wrong: list[str] = []
        for line in lines:
            try:
                found.append(read_closed_line(line))
            except ValidationError as fault:
                wrong.append(str(fault.message))
        if wrong:
            raise ValidationError([*wrong[:5], *([f"And {len(wrong) - 5} more lines like these."] if len(wrong) > 5 else [])])
        return found


def read_closed_line(line: str) -> ClosedDays:
    """Read "2026-12-25 Christmas Day", or a first and a last day and what they are."""
    shown = line if len(line) <= 40 else f"{line[:39]}…"
    match = LINE.match(" ".join(line.split()))
    first = _read_day(match.group(1)) if match else None
    last = (_read_day(match.group(2)) if match.group(2) else first) if match else None
    if match is None or first is None or last is None:
        raise ValidationError(f"“{shown}” does not begin with a day. Write it as 2026-12-25 Christmas Day, for example.")
    if last < first:
        raise ValidationError(f"“{shown}” ends before it begins. Correct one of the two days.")
    if last - first > timedelta(days=366):
        raise ValidationError(f"“{shown}” is longer than a year. Check the years.")
    if not (_believable(first) and _believable(last)):
        raise ValidationError(f"“{shown}” is more than {FARTHEST_YEARS} years away. Check the year.")
    why = (match.group(3) or "").strip()
    if len(why) > LONGEST_WHY:
        raise ValidationError(f"What “{shown}” is must be said in {LONGEST_WHY} signs at most.")
    return ClosedDays(first_on=first, last_on=last, why=why)


def _read_day(text: str) -> date | None:
    plain = re.sub(r"(?<=[A-Za-z])\.|(?<=\d)\.(?= )", "", text)
    for pattern in LINE_FORMATS:
        try:
            return datetime.strptime(plain.replace(",", ", ").replace(",  ", ", "), pattern).date()
        except ValueError:
            continue
    return None


def _believable(day: date) -> bool:
    return abs(day.year - timezone.localdate().year) <= FARTHEST_YEARS


def _zone() -> tzinfo:
    return timezone.get_current_timezone()
