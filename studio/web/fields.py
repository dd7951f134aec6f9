"""The fields that read numbers as people write them; forms take them from `studio.web.forms`."""

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from studio.models import StudioProfile
from studio.web.context import current_profile
from studio.web.formats import currency_decimals, currency_sign, locale_code
from studio.web.quantities import own_number, own_unit, parse, show
from studio.web.reading import EXAMPLE, WITH_A_UNIT, read_number
from studio.web.unit_table import unit_of

Number = float | int | Decimal


class TypedField(forms.CharField):
    """A field that reads a number as people write it; the base of all fields below."""

    profile: StudioProfile | None = None
    example = "12"

    def __init__(
        self,
        *,
        min_value: Number | None = None,
        max_value: Number | None = None,
        places: int = 4,
        empty_value: Any = None,
        **kwargs: Any,
    ) -> None:
        self.min_value, self.max_value, self.places = min_value, max_value, places
        super().__init__(empty_value=empty_value, strip=True, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")
        self.widget.attrs.setdefault("class", "typed")
        self.error_messages["required"] = f"Type a number here, for example “{self.example}”."

    @property
    def studio(self) -> StudioProfile:
        """The profile whose units and locale count."""
        if self.profile is None:
            self.profile = current_profile()
        return self.profile

    @property
    def unit_label(self) -> str:
        """What is printed inside the field's end."""
        return ""

    @property
    def measures(self) -> bool:
        """Whether a number here has a unit."""
        return bool(self.unit_label)

    @property
    def sample(self) -> str:
        """What may be typed here, as a sentence that asks for it shows it."""
        return f"{self.example}\u00a0{self.unit_label}".rstrip()

    def read(self, text: str) -> Decimal:
        """Turn the text into the number that is kept."""
        raise NotImplementedError

    def written(self, value: Number) -> str:
        """Write a kept number as somebody would type it."""
        return own_number(value, "1", self.studio)

    def spoken(self, value: Number) -> str:
        """Write a kept number for a sentence."""
        return self.written(value)

    def to_python(self, value: Any) -> Any:
        """Read the text; nothing typed gives None."""
        if isinstance(value, int | float | Decimal):
            return value
        text = super().to_python(value)
        if text is None or text == "":
            return None
        try:
            number = self.read(text)
        except ValidationError as fault:
            raise ValidationError(self._asked_here(str(fault.message)), code=fault.code) from None
        try:
            return number.quantize(Decimal(1).scaleb(-self.places), rounding=ROUND_HALF_UP)
        except InvalidOperation:
            raise ValidationError("That number is far too large; check the digits and the unit.", code="too_large") from None

    def _asked_here(self, said: str) -> str:
        """Ask for what belongs in this field: a count of molds is no length."""
        if not self.measures:
            said = said.replace(WITH_A_UNIT, "a number")
        return said.replace(EXAMPLE, f"“{self.sample}”")

    def validate(self, value: Any) -> None:
        """Refuse what is out of bounds, and say the bounds."""
        super().validate(value)
        if value is None:
            return
        low, high = self.min_value, self.max_value
        if (low is not None and value < Decimal(str(low))) or (high is not None and value > Decimal(str(high))):
            raise ValidationError(self._bounds(low, high), code="bounds")

    def _bounds(self, low: Number | None, high: Number | None) -> str:
        check = "check the number and its unit." if self.measures else "check the number."
        if low is not None and high is not None:
            return f"This must lie between {self.spoken(low)} and {self.spoken(high)}; {check}"
        if low is not None:
            return f"This must be {self.spoken(low)} or more; {check}"
        return f"This must be {self.spoken(high or 0)} or less; {check}"

    def prepare_value(self, value: Any) -> Any:
        """Show a stored number in the studio's unit; text that somebody typed stays as it is."""
        if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
            return value
        return self.written(value)

    def _clean_bound_field(self, bound: BoundField) -> Any:
        # A converted number is written with few digits; sent back as it was, it stands for the stored one.
        initial = bound.initial
        if isinstance(initial, int | float | Decimal) and bound.data == self.prepare_value(initial):
            number = Decimal(str(initial))
            self.validate(number)
            self.run_validators(number)
            return number
        return self.clean(bound.data)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare the kept numbers, not how they are written."""
        if self.disabled or data == self.prepare_value(initial):
            return False
        try:
            return bool(self.to_python(data) != self.to_python(initial))
        except ValidationError:
            return True

    def understood(self, text: Any) -> str:
        """Say how the text was read, when it is more than a bare number in the studio's unit."""
        if not isinstance(text, str) or not text.strip():
            return ""
        try:
            number = self.to_python(text)
            said = self.spoken(number)
        except ValidationError:
            return ""
        plain = {said.replace("\u00a0", " "), f"{self.written(number)} {self.unit_label}".strip(), self.written(number)}
        return "" if " ".join(text.split()) in plain else said


class QuantityField(TypedField):
    """A quantity with a unit; cleans to a Decimal in `unit`. Only temperatures may be below nought, unless told."""

    def __init__(self, *, unit: str, min_value: Number | None = None, **kwargs: Any) -> None:
        self.unit = unit
        if min_value is None and not unit_of(unit).kind.startswith("temperature"):
            min_value = 0
        super().__init__(min_value=min_value, **kwargs)

    @property
    def unit_label(self) -> str:
        """The studio's own unit for this quantity."""
        return self._unit_words(own_unit(self.unit, self.studio))

    @property
    def sample(self) -> str:
        """A length may come in any unit; others are shown in the studio's own."""
        if unit_of(self.unit).kind == "length":
            return EXAMPLE.strip("“”")
        return self.example if "money" in self.unit else super().sample

    def _unit_words(self, symbol: str) -> str:
        if "money" in self.unit:
            return f"{currency_sign(self.studio.currency, locale_code(self.studio))}{symbol}"
        return symbol

    def read(self, text: str) -> Decimal:
        """Read "12,5 cm" as millimetres, say."""
        if "money" in self.unit:
            text = _without_currency(text, self.studio)
        return parse(text, unit=self.unit, profile=self.studio)

    def written(self, value: Number) -> str:
        """Write the number in the studio's own unit."""
        return own_number(value, self.unit, self.studio)

    def spoken(self, value: Number) -> str:
        """Write it with its unit."""
        return str(show(value, self.unit, self.studio, keep=self.unit != "min"))


class PercentField(TypedField):
    """A share of a hundred; cleans to a Decimal between 0 and 100."""

    example = "8"

    def __init__(self, *, min_value: Number | None = 0, max_value: Number | None = 100, **kwargs: Any) -> None:
        kwargs.setdefault("places", 2)
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    @property
    def unit_label(self) -> str:
        """The sign for a share."""
        return "%"

    def read(self, text: str) -> Decimal:
        """Read "8 %" or "8"."""
        return parse(text, unit="%", profile=self.studio)

    def spoken(self, value: Number) -> str:
        """Write it with its sign."""
        return f"{self.written(value)}\u00a0%"


class MoneyField(TypedField):
    """An amount in the studio's currency, or a rate of it (`per="h"`); cleans to a Decimal."""

    example = "120"

    def __init__(
        self, *, per: str = "", min_value: Number | None = 0, max_value: Number | None = 9_999_999, **kwargs: Any
    ) -> None:
        self.per = per
        kwargs.setdefault("places", 2)
        super().__init__(min_value=min_value, max_value=max_value, **kwargs)

    @property
    def unit(self) -> str:
        """The unit as the code writes it."""
        return f"money/{self.per}" if self.per else "money"

    @property
    def unit_label(self) -> str:
        """The currency's sign, and what it is paid for."""
        sign = currency_sign(self.studio.currency, locale_code(self.studio))
        return f"{sign}{own_unit(self.unit, self.studio)}"

    @property
    def sample(self) -> str:
        """An amount without its sign, which stands in the field."""
        return self.example

    def read(self, text: str) -> Decimal:
        """Read "€ 1.250,50" or "1250.50"; more decimals than the currency has are refused for amounts."""
        plain = _without_currency(text, self.studio)
        amount = parse(plain, unit=self.unit, profile=self.studio)
        decimals = min(currency_decimals(self.studio.currency), self.places)
        if not self.per and amount != round(amount, decimals):
            raise ValidationError(f"Money here has {decimals} decimals; write the amount with no more.", code="decimals")
        return amount

    def written(self, value: Number) -> str:
        """Write the amount with the currency's decimals."""
        if "/" in self.unit and self.studio.units != "metric":
            return own_number(value, self.unit, self.studio)
        decimals = currency_decimals(self.studio.currency)
        text = own_number(value, "money", self.studio)
        point = "," if "," in text else "."
        whole, _, part = text.partition(point)
        return f"{whole}{point}{part.ljust(decimals, '0')}" if part else whole

    def spoken(self, value: Number) -> str:
        """Write it with its currency."""
        return str(show(value, self.unit, self.studio))


class DurationField(QuantityField):
    """A length of time: "90", "1 h 20", "1:20", "1.5 h"; cleans to a Decimal in minutes, or in the unit given."""

    example = "1 h 20"

    def __init__(self, *, unit: str = "min", min_value: Number | None = 0, **kwargs: Any) -> None:
        kwargs.setdefault("places", 2)
        super().__init__(unit=unit, min_value=min_value, **kwargs)

    @property
    def sample(self) -> str:
        """Hours and minutes."""
        return self.example

    def read(self, text: str) -> Decimal:
        """Read a clock-like "1:20" as hours and minutes too."""
        hours, colon, minutes = text.partition(":")
        if colon and hours.strip().isdecimal() and minutes.strip().isdecimal() and len(minutes.strip()) == 2:
            text = f"{hours} h {minutes} min"
        return parse(text, unit=self.unit, profile=self.studio)

    def spoken(self, value: Number) -> str:
        """Write it as hours and minutes."""
        return str(show(value, self.unit, self.studio))


class CountField(TypedField):
    """A whole number of things; cleans to an int."""

    def __init__(
        self, *, min_value: Number | None = 0, max_value: Number | None = 1_000_000, things: str = "", **kwargs: Any
    ) -> None:
        self.things = things
        super().__init__(min_value=min_value, max_value=max_value, places=0, **kwargs)
        self.widget.attrs.setdefault("inputmode", "numeric")

    @property
    def unit_label(self) -> str:
        """The word for what is counted."""
        return self.things

    @property
    def measures(self) -> bool:
        """Things are counted without a unit."""
        return False

    def read(self, text: str) -> Decimal:
        """Read a whole number, with or without the word for what is counted."""
        bare = text.removesuffix(self.things).strip() if self.things else text
        number = read_number(bare, profile=self.studio)
        if number != int(number):
            raise ValidationError("This counts whole things; write a number without decimals.", code="whole")
        return number

    def spoken(self, value: Number) -> str:
        """Write it with its thousands set apart."""
        return str(show(value, "1", self.studio))

    def clean(self, value: Any) -> Any:
        """Return an int."""
        number = super().clean(value)
        return None if number is None else int(number)

    def _clean_bound_field(self, bound: BoundField) -> Any:
        return self.clean(bound.data)


def _without_currency(text: str, profile: StudioProfile) -> str:
    """Take the studio's own currency off an amount; the sign of another one is refused."""
    bare = text.strip()
    own = (profile.currency, currency_sign(profile.currency, locale_code(profile)), profile.currency.lower())
    for sign in own:
        bare = bare.removeprefix(sign).removesuffix(sign).strip()
    if any(sign in bare for sign in "€$£¥₹₽₩₺₴₪"):
        raise ValidationError(f"The studio's money is {profile.currency}; write the amount in it.", code="currency")
    return bare
