"""The studio's profile as it is typed."""

from typing import Any

from django import forms
from django.core.validators import URLValidator
from django.forms.boundfield import BoundField

from studio.forms.choices import currency_choices, locale_choices, time_zone_choices
from studio.models import StudioProfile
from studio.web.forms import CountField, DurationField, MoneyField, PaperForm, PercentField, QuantityField

GROUPS = (
    ("Name and address", ("name", "address", "email", "phone", "website", "registration")),
    (
        "Money and tax",
        (
            "currency", "tax_name", "tax_percent", "labour_rate_per_h", "own_hour_value", "overhead_per_year",
            "billable_hours_per_year", "margin_percent",
        ),
    ),
    ("What is charged besides", ("minimum_charge", "rush_percent", "storage_free_months", "storage_per_month")),
    ("Units and paper", ("units", "paper", "locale", "time_zone", "workshop_temp_c")),
    ("Quotes", ("quote_valid_days", "deposit_percent", "deposit_covers_special", "payment_due_days", "quote_terms")),
    ("Access", ("money_hidden_from_makers",)),
)  # fmt: skip
FIELDS = tuple(name for _, names in GROUPS for name in names)


class ProfileForm(PaperForm):
    """All fields of the profile but the logo."""

    name = forms.CharField(label="Name of the studio", max_length=120, error_messages={"required": "Type the studio's name."})
    address = forms.CharField(
        label="Address",
        max_length=500,
        required=False,
        help_text="As it stands on a quote.",
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "street-address"}),
    )
    email = forms.EmailField(
        label="E-mail", max_length=254, required=False, error_messages={"invalid": "This is not a whole e-mail address."}
    )
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    website = forms.URLField(
        label="Website",
        max_length=200,
        required=False,
        assume_scheme="https",
        error_messages={"invalid": "Type the whole address, for example https://studio.example."},
    )
    registration = forms.CharField(label="Company or tax number", max_length=80, required=False)

    currency = forms.ChoiceField(
        label="Currency",
        choices=currency_choices,
        help_text="Amounts typed so far keep their digits; nothing is exchanged.",
    )
    tax_name = forms.CharField(label="Name of the tax", max_length=30, help_text="“VAT” or “Sales tax”, as it stands on a quote.")
    tax_percent = PercentField(label="Tax", help_text="On top of the price. 0 if you charge none.")
    labour_rate_per_h = MoneyField(
        label="Labour rate", per="h", max_value=99_999, help_text="Where a task is not given to a person with a rate."
    )
    own_hour_value = MoneyField(
        label="An hour of your own is worth",
        per="h",
        required=False,
        max_value=99_999,
        help_text="For jobs on your own time: it weighs hours against spend, and stands in no price.",
    )
    overhead_per_year = MoneyField(
        label="Overhead in a year", help_text="Rent, heating, insurance, tools: what is paid without any job."
    )
    billable_hours_per_year = DurationField(
        label="Hours in a year that jobs pay for",
        unit="h",
        min_value=1,
        max_value=99_999,
        help_text="Overhead is spread over them.",
        places=1,
    )
    margin_percent = PercentField(
        label="Margin", max_value=95, help_text="Share of the price, before tax, that is left after cost and overhead."
    )

    minimum_charge = MoneyField(
        label="Least charge for a job", help_text="Before tax. A smaller price is lifted to it by a line of its own. 0 for none."
    )
    rush_percent = PercentField(
        label="Usual addition for haste", max_value=300, help_text="Shown beside a job's terms; nothing is added by itself."
    )
    storage_free_months = CountField(
        label="A mold is kept free for", things="months", max_value=600, help_text="After the castings are handed over."
    )
    storage_per_month = MoneyField(
        label="Storage after that, each month", help_text="Charged only for the months that a job's terms count."
    )

    units = forms.ChoiceField(label="Units", choices=StudioProfile.Units.choices)
    paper = forms.ChoiceField(label="Paper", choices=StudioProfile.Paper.choices)
    locale = forms.ChoiceField(label="Numbers and dates as in", choices=locale_choices)
    time_zone = forms.ChoiceField(label="Time zone", choices=time_zone_choices)
    workshop_temp_c = QuantityField(
        label="Usual temperature of the workshop",
        unit="degC",
        min_value=0,
        max_value=45,
        places=1,
        help_text="Pot life and cure are reckoned at it until a day's own temperature is typed.",
    )

    quote_valid_days = CountField(label="A quote holds for", things="days", min_value=1, max_value=365)
    deposit_percent = PercentField(label="Deposit", help_text="Share of the price that is due before work begins.")
    deposit_covers_special = forms.BooleanField(
        label="A deposit pays at least the mold's material and the first week of labour",
        required=False,
        help_text="Where that is more than its share. A deposit of 0 % stays at nothing.",
    )
    payment_due_days = CountField(
        label="Days to pay", things="days", max_value=365, help_text="From the day a payment is asked for."
    )
    quote_terms = forms.CharField(
        label="Terms",
        max_length=8000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="Printed at the end of every quote. Empty lines part the paragraphs.",
    )

    money_hidden_from_makers = forms.BooleanField(
        label="Hide costs, margins, prices and quotes from makers",
        required=False,
        help_text="Hours, weights and days stay visible to them.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        website = self.fields["website"]
        website.validators = [URLValidator(schemes=["http", "https"], message=website.error_messages["invalid"])]
        for name in ("currency", "locale", "time_zone", "units", "paper"):
            self.fields[name].error_messages["invalid_choice"] = "Choose one from the list."

    def groups(self) -> list[tuple[str, list[BoundField]]]:
        """The fields under their headings, in the order of the page."""
        return [(heading, [self[name] for name in names]) for heading, names in GROUPS]


def typed_from(profile: StudioProfile) -> dict[str, Any]:
    """Return what the form shows for a profile."""
    return {name: getattr(profile, name) for name in FIELDS}


class LogoForm(PaperForm):
    """A picture for the studio's logo; what is in it is checked when it is drawn anew."""

    logo = forms.FileField(
        label="Logo", max_length=200, widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
        help_text="PNG, JPEG or WebP, up to 4 MB. It is kept as a PNG of at most 1200 pixels a side.",
        error_messages={"required": "Choose a picture first.", "empty": "This file is empty. Choose another one.",
                        "max_length": "The file's name is too long. Give it a shorter one."},
    )  # fmt: skip
