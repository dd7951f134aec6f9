"""The room's temperature as it is typed: a day and a night a line, or a logger's lines."""

import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from studio.forms.people import day_field
from studio.local_time import NoSuchTime, moment_of, twice_words
from studio.room_course import DayNight
from studio.web.formats import decimal_marks, locale_code
from studio.web.forms import PaperForm, QuantityField
from studio.web.quantities import own_unit, parse

DAYS_AHEAD = 14
COLDEST_C, WARMEST_C = -30, 60
MOST_LINES, MOST_CHARACTERS = 5_000, 250_000
FARTHEST = timedelta(days=366)
LINE = re.compile(
    r"^(?:\d{1,7}[;,\t]\s*)?(?P<day>\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\.\d{1,2}\.\d{4}|\d{1,2}/\d{1,2}/\d{4})(?:[T;,\t ]\s*)"
    r"(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?:[:.]\d{2}(?:[.,]\d+)?)?\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
    r"(?P<between>\s*[;,\t]\s*|\s+)(?P<temperature>[-+−]?\d+(?:[.,]\d+)?)\s*(?P<unit>°?\s*[CcFf]\b)?(?P<rest>\s*|\s*[;,\t].*)$"
)


class RoomDaysForm(PaperForm):
    """Fourteen lines of a day and the night after it; an empty field is as the line above."""

    first = forms.DateField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, first_on: date, stored: Mapping[date, DayNight], by_hour: set[date], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.days = [first_on + timedelta(days=number) for number in range(DAYS_AHEAD)]
        self.by_hour = by_hour
        self.fields["first"].initial = first_on
        for on in self.days:
            for part, words in (("day", "by day"), ("night", "by night")):
                held = stored.get(on)
                field = QuantityField(
                    unit="degC",
                    places=1,
                    min_value=COLDEST_C,
                    max_value=WARMEST_C,
                    required=False,
                    label=f"{on:%a} {on.day} {words}",
                )
                field.profile = self.profile
                if held:
                    field.initial = plain_number(held.day_c if part == "day" else held.night_c, self.profile)
                self.fields[f"{part}_temp_{on}"] = field

    def clean(self) -> dict[str, Any]:
        """See that something was typed."""
        typed = super().clean() or self.cleaned_data
        if not self.errors and all(typed.get(f"{part}_temp_{on}") is None for on in self.days for part in ("day", "night")):
            raise ValidationError("Type one temperature at least.", code="required")
        return typed

    def kept_days(self) -> list[DayNight]:
        """Return the days with what was typed; an empty field is as the day before, and at first as the room usually is.

        Days before the first typed one stay as they are, and so do those that are known by the hour and were left empty.
        """
        day_c = night_c = self.profile.workshop_temp_c
        found, begun = [], False
        for on in self.days:
            typed_day, typed_night = (self.cleaned_data.get(f"{part}_temp_{on}") for part in ("day", "night"))
            empty = typed_day is None and typed_night is None
            begun = begun or not empty
            if not begun or (empty and on in self.by_hour):
                continue
            day_c = day_c if typed_day is None else typed_day
            night_c = night_c if typed_night is None else typed_night
            found.append(DayNight(on=on, day_c=day_c, night_c=night_c))
        return found

    @property
    def lines(self) -> list[tuple[date, Any, Any, bool]]:
        """Each day with its two fields, and whether it is known by the hour."""
        return [(on, self[f"day_temp_{on}"], self[f"night_temp_{on}"], on in self.by_hour) for on in self.days]


class RoomHoursForm(PaperForm):
    """A logger's lines, or hours typed by hand."""

    AS_WRITTEN, USUAL_DAY = "written", "usual"

    readings = forms.CharField(
        label="Hours and temperatures", max_length=MOST_CHARACTERS,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        error_messages={"required": "Paste one line at least."},
    )  # fmt: skip
    meant = forms.ChoiceField(
        label="These are", widget=forms.RadioSelect, initial=AS_WRITTEN,
        choices=[(AS_WRITTEN, "hours to come, taken as they are written"),
                 (USUAL_DAY, "a record of days gone by: take its mean day for each of the coming 14 days")],
        error_messages={"required": "Choose one of the two.", "invalid_choice": "Choose one of the two."},
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.notes: list[str] = []
        self.fields["readings"].help_text = (
            f"One on each line: 2026-12-01 14:00; 17.5. A logger’s file can be pasted whole; what stands behind the temperature "
            f"is left out. Without a unit it is {own_unit('degC', self.profile)}; several readings in an hour are averaged."
        )

    def clean_readings(self) -> list[tuple[datetime, Decimal]]:
        """Read the lines; name those that cannot be read. A first line without digits at its start is a heading."""
        lines = [line.strip().replace('"', "") for line in self.cleaned_data["readings"].splitlines()]
        lines = [line for line in lines if line]
        unit = ""
        if lines and not lines[0][0].isdigit():
            unit = "°F" if re.search(r"°\s?F|Fahrenheit", lines[0]) else "°C" if re.search(r"°\s?C|Celsius", lines[0]) else ""
            lines = lines[1:]
        if len(lines) > MOST_LINES:
            raise ValidationError(f"These are {len(lines)} lines; send at most {MOST_LINES} at once.")
        if not lines:
            raise ValidationError("There is a heading and no line below it. Paste the hours as well.")
        found, wrong = [], []
        for line in lines:
            try:
                found.append(self._read(line, unit))
            except (ValidationError, NoSuchTime) as fault:
                wrong.append(fault.message if isinstance(fault, ValidationError) else f"{_short(line)}: {fault}")
        if wrong:
            raise ValidationError([*wrong[:5], *([f"And {len(wrong) - 5} more lines like these."] if len(wrong) > 5 else [])])
        self.notes = list(dict.fromkeys(self.notes))[:2]
        return found

    def clean(self) -> dict[str, Any]:
        """Hours to come have to come."""
        typed = super().clean() or self.cleaned_data
        readings = typed.get("readings")
        if readings and typed.get("meant") == self.AS_WRITTEN:
            now = timezone.now()
            if all(moment < now - timedelta(days=1) for moment, _ in readings):
                self.add_error("meant", "All of these hours are past. Choose the record of days gone by, or correct the days.")
            elif any(moment > now + FARTHEST for moment, _ in readings):
                self.add_error("readings", "Some of these hours are more than a year ahead. Check the years.")
        return typed

    def _read(self, line: str, unit: str) -> tuple[datetime, Decimal]:
        match = LINE.match(line)
        if match is None:
            raise ValidationError(f"{_short(line)} cannot be read. Write it as 2026-12-01 14:00; 17.5, for example.")
        on, clock = self._day(match["day"], line), _clock(match, line)
        if "," in match["between"] and "," in match["temperature"]:
            raise ValidationError(f"{_short(line)} can be read in two ways. Set the temperature apart by “;”.")
        text = match["temperature"].replace(",", ".") if "," in match["temperature"] else match["temperature"]
        point, _ = decimal_marks(locale_code(self.profile))
        typed_unit = (match["unit"] or "").replace(" ", "") or unit
        if typed_unit and not typed_unit.startswith("°"):
            typed_unit = f"°{typed_unit}"
        kept = parse(f"{text.replace('.', point)} {typed_unit.upper()}".strip(), unit="degC", profile=self.profile)
        if not COLDEST_C <= kept <= WARMEST_C:
            raise ValidationError(f"{_short(line)}: no workshop is like that. Check the number and its unit.")
        found = moment_of(on, clock, timezone.get_current_timezone())
        if found.twice:
            self.notes.append(twice_words(on, clock.replace(minute=0)))
        return found.at, kept

    def _day(self, text: str, line: str) -> date:
        month_first = locale_code(self.profile).endswith("US")
        pattern = "%Y-%m-%d" if "-" in text else "%d.%m.%Y" if "." in text else "%m/%d/%Y" if month_first else "%d/%m/%Y"
        try:
            return datetime.strptime(text, pattern).date()
        except ValueError:
            raise ValidationError(f"{_short(line)} has no such day. Write days as 2026-12-01.") from None


class ClearRoomForm(PaperForm):
    """A stretch of days to forget."""

    from_day = day_field(label="From")
    until_day = day_field(label="Last day", help_text="Left empty, that one day.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["from_day"].required = True
        self.fields["from_day"].error_messages["required"] = "Give the first day."

    def clean(self) -> dict[str, Any]:
        """See that the stretch does not end before it begins."""
        typed = super().clean() or self.cleaned_data
        first, last = typed.get("from_day"), typed.get("until_day")
        if first and last and last < first:
            self.add_error("until_day", "This is before the first day. Correct one of the two.")
        return typed


def plain_number(temperature_c: Decimal, profile: Any) -> str:
    """Write a kept temperature as somebody would have typed it: tenths, and none where there are none."""
    value = temperature_c if profile.units == "metric" else temperature_c * 9 / 5 + 32
    tenths = round(value, 1)
    # A tenth of a degree Celsius is more than a tenth of a degree Fahrenheit: a whole degree was most likely typed as one.
    if profile.units != "metric" and abs(value - round(value)) < Decimal("0.09"):
        tenths = Decimal(round(value))
    point, _ = decimal_marks(locale_code(profile))
    return f"{tenths:f}".removesuffix(".0").replace(".", point)


def _clock(match: re.Match[str], line: str) -> time:
    hour, minute = int(match["hour"]), int(match["minute"])
    half = (match["half"] or "").lower().replace(".", "")
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif half:
        hour = 99
    try:
        return time(hour, minute)
    except ValueError:
        raise ValidationError(f"{_short(line)} has no such time of day. Write times as 14:00.") from None


def _short(line: str) -> str:
    return f"“{line if len(line) <= 40 else line[:39] + '…'}”"
