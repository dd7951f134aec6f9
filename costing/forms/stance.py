"""The form that says whose hour it is and what it counts; it is sent by GET, and nothing of it is kept."""

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from typing import Any

from django import forms

from costing.engine.brief import Terms
from costing.engine.frontier.reading import Reading, Stance
from costing.services.stances import standing, tried
from studio.figures import Figure, Given
from studio.models import StudioProfile
from studio.web.forms import CountField, MoneyField, PaperForm
from studio.web.quantities import own_number

MOST_RATE = MOST_PRICE = 10_000
LEAST_REACH_PER_H = 60.0
_CENT = Decimal("0.01")
FIELDS = {reading: f"{reading.value}_hour" for reading in Reading}


class StanceForm(PaperForm):
    """Who pays for hours and material, what an hour counts for each, and the rubber's price; what is empty counts as now."""

    whose = forms.ChoiceField(
        label="Whose hour it is", choices=[(one.value, one.label) for one in Reading], widget=forms.RadioSelect, required=False
    )
    own_hour = MoneyField(per="h", label="An hour of your own is worth", required=False, max_value=MOST_RATE)
    employed_hour = MoneyField(per="h", label="An hour with overhead costs", required=False, max_value=MOST_RATE)
    client_hour = MoneyField(per="h", label="An hour is charged at", required=False, max_value=MOST_RATE)
    rubber_price = MoneyField(per="kg", places=4, label="Rubber costs", required=False, max_value=MOST_PRICE)

    def __init__(self, data: Mapping[str, Any] | None, *, terms: Terms, price: Given | None, profile: StudioProfile) -> None:
        self._standing = {reading: standing(reading, terms, profile, price) for reading in Reading}
        initial: dict[str, Any] = {FIELDS[one]: _cents(stance.hour) for one, stance in self._standing.items()}
        initial |= {"whose": Reading.EMPLOYED.value, "rubber_price": _cents(price)}
        # An address that leaves a number out means what counts now.
        known = {name: "" if value is None else value for name, value in initial.items()}
        super().__init__(None if data is None else {**known, **data}, initial=initial, profile=profile)
        if price is not None:
            self.fields["rubber_price"].label = price.label.replace("Price of ", "", 1) + " costs"

    @property
    def reading(self) -> Reading:
        """The reading that is chosen; what no page offers counts as the first."""
        said = self.data.get("whose", "") if self.is_bound else ""
        return Reading(said) if said in {one.value for one in Reading} else Reading.EMPLOYED

    @property
    def now(self) -> Stance:
        """What counts now, in the reading that is chosen."""
        return self._standing[self.reading]

    @property
    def stance(self) -> Stance:
        """What is tried; a field that stands as it was, or is wrong, counts as now."""
        return self.stance_of(self.reading)

    def stance_of(self, reading: Reading) -> Stance:
        """Return what is tried in a reading."""
        if not self.is_bound:
            return self._standing[reading]
        self.is_valid()
        return tried(self._standing[reading], hour=self._moved(FIELDS[reading]), rubber_price=self._moved("rubber_price"))

    @property
    def moved(self) -> bool:
        """Say whether anything is tried that does not count now."""
        return self.stance != self.now

    @property
    def hour_moved(self) -> bool:
        """Say whether another hour is tried."""
        return self.stance.hour != self.now.hour

    def sliders(self) -> dict[str, dict[str, str]]:
        """Return from where to where each slider runs, in the studio's unit, with a point whatever its locale writes."""
        sign = own_number(0.5, "1", self.profile)[1]
        found = {}
        for reading, stance in self._standing.items():
            most = max(LEAST_REACH_PER_H, 2 * stance.rate)
            found[FIELDS[reading]] = {"least": "0", "most": _up(most, 10), "step": "0.5", "sign": sign}
        price = self._standing[Reading.EMPLOYED].rubber_price
        reach = Decimal(
            own_number(2.5 * (price.value if price and price.value else 20.0), "money/kg", self.profile).replace(",", ".")
        )
        found["rubber_price"] = {"least": "0", "most": _up(float(reach), 5), "step": "0.1", "sign": sign}
        return found

    def _moved(self, name: str) -> Decimal | None:
        value = self.cleaned_data.get(name)
        return None if value is None or value == self.initial[name] else value


class KeepHourForm(PaperForm):
    """An hour to be kept as the job's, in the reading that it was tried in."""

    whose = forms.ChoiceField(choices=[(one.value, one.label) for one in Reading], widget=forms.HiddenInput)
    hour = MoneyField(per="h", label="An hour", max_value=MOST_RATE, widget=forms.HiddenInput)
    revision = CountField(widget=forms.HiddenInput, max_value=2_000_000_000)


def _cents(number: Given | Figure | None) -> Decimal | None:
    return None if number is None else Decimal(str(number.value)).quantize(_CENT)


def _up(value: float, step: int) -> str:
    return str(int((Decimal(str(value)) / step).to_integral_value(ROUND_CEILING)) * step)
