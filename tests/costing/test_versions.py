from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.utils.html import escape

from costing.inputs import planned
from costing.models import OfferOption, Quote
from costing.printing import print_context, profile_when_frozen
from costing.services.links import make_link
from costing.services.offer import suggested_offer
from costing.services.quotes import freeze_quote
from costing.services.versions import PrintedLine, Readable, differences
from jobs.models import Job, Plan
from studio.models import Account, StudioProfile
from tests.costing.leaks import leaks

PROFILE = StudioProfile(currency="EUR", locale="en_GB")
MOLD = PrintedLine(kind="mold", text="Mold of finial", quantity=Decimal(1), unit_price=Decimal("900.00"), tax_percent=Decimal(20))
CASTING = replace(MOLD, kind="casting", text="Casting", quantity=Decimal("6.00"), unit_price=Decimal("95.00"))
BASE = replace(MOLD, kind="option", text="Oak base", unit_price=Decimal("40.00"))
FIRST = Readable(
    currency="EUR",
    lines=[MOLD, CASTING],
    options=[BASE],
    net=Decimal("1470.00"),
    gross=Decimal("1764.00"),
    deposit=Decimal("882.00"),
    valid_until_on=date(2026, 4, 1),
    scope="We lay a mold on the piece by hand and cast six hollow copies in it.",
    terms="Thirty days.",
    content={"exclusions": ["Carriage.", "Paint."], "ownership": "Yours.", "lead_time": ""},
)


def said(**changes: Any) -> list[str]:
    return differences(FIRST, replace(FIRST, **changes), PROFILE)


class TestDifferences:
    def test_of_the_same_are_none(self) -> None:
        assert said() == []
        assert said(scope=f"  {FIRST.scope}\n") == []

    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({"lines": [MOLD]}, ["taken out: Casting"]),
            ({"lines": [MOLD, CASTING, replace(MOLD, kind="extra", text="Crate")]}, ["added: Crate"]),
            ({"lines": [MOLD, replace(CASTING, quantity=Decimal(4))]}, ["“Casting”: 6 became 4"]),
            ({"lines": [MOLD, replace(CASTING, unit_price=Decimal("99.50"))]}, ["“Casting”: €95.00 each became €99.50"]),
            ({"lines": [MOLD, replace(CASTING, text="Bronze")]}, ["“Bronze” in place of “Casting”"]),
            ({"lines": [CASTING, MOLD]}, []),
            ({"options": []}, ["option taken out: Oak base"]),
            ({"options": [replace(BASE, text="Ash base")]}, ["option added: Ash base", "option taken out: Oak base"]),
            ({"options": [replace(BASE, tax_percent=Decimal(5))]}, ["option “Oak base”: 20 % tax became 5 %"]),
            ({"valid_until_on": date(2026, 5, 1)}, ["valid until 1 May 2026 in place of 1 April 2026"]),
            ({"deposit": Decimal("441.00")}, ["the deposit is €441.00 in place of €882.00"]),
            ({"scope": FIRST.scope.replace("six", "eight")}, ["the scope: some words changed"]),
            ({"scope": "Something else altogether, in other words from first to last."}, ["the scope: rewritten"]),
            ({"terms": ""}, ["the terms: no longer said"]),
            (
                {"content": {**FIRST.content, "exclusions": ["Paint.", "Crates."]}},
                ["what is not in the price, added: “Crates”", "what is not in the price, taken out: “Carriage”"],
            ),
            ({"content": {**FIRST.content, "lead_time": "About 10 days."}}, ["the time it takes: newly said"]),
            ({"content": {**FIRST.content, "pictures": [{}]}}, ["the pictures changed"]),
        ],
    )  # fmt: skip
    def test_name_each_change(self, changes: dict[str, Any], expected: list[str]) -> None:
        assert said(**changes) == expected

    def test_of_another_currency_say_so(self) -> None:
        found = said(currency="USD")
        assert "prices in USD in place of EUR" in found
        assert any("€900.00 each became US$900.00" in one for one in found)


@pytest.mark.django_db
class TestFrozenWithWhatChanged:
    def test_is_said_in_the_print_of_the_later_version_alone(self, job: Job, account: Account) -> None:
        profile = StudioProfile.objects.current()
        with time_machine.travel("2026-03-02 09:00", tick=False):
            first = freeze_quote(job=job, by=account)
        OfferOption.objects.create(job=job, position=1, text="Oak base", quantity=1, unit_price=Decimal(40))
        Plan.objects.filter(job=job).update(castings=4)
        offer = replace(suggested_offer(planned(job), profile), exclusions="Carriage.", castings=4)
        second = Quote.objects.get(pk=freeze_quote(job=job, offer=offer, by=account).pk)
        assert "replaces" not in first.content
        words = print_context(second, profile_when_frozen(second))["replaced"]
        assert words.startswith("In place of version 1 of 2 March 2026; changed: ")
        for part in ("6 became 4", "option added: Oak base", "what is not in the price, taken out: “Carriage, crates"):
            assert part in words
        # The drawing is the same, so it is not said to have changed, whatever its numbers were when it was made.
        assert "pictures" not in words
        assert leaks(words, second) == []
        assert print_context(first, profile_when_frozen(first))["replaced"] == ""
        page = Client().get(f"/q/{make_link(quote=second, by=account)}/").content.decode()
        assert escape(words) in page
