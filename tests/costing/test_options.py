import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from costing.engine.errors import EngineError
from costing.errors import OptionRefused, PriceHasMoved
from costing.models import OfferOption, PriceTerms, Quote, QuoteOption
from costing.services.options import (
    add_option,
    change_option,
    fingerprint,
    move_option,
    options_of,
    put_back_options,
    remove_option,
    seen_mark,
    totals_with,
)
from costing.services.quotes import freeze_quote
from jobs.models import Job
from studio.models import Account, StudioProfile
from tests.costing.rows import make_job

HTMX = {"HX-Request": "true"}
PATINA = {"text": "Bronze patina", "quantity": "6", "cost": "", "hours": "", "unit_price": "95.50", "tax_percent": ""}


def option(job: Job, by: Account | None, text: str = "Bronze patina", price: str = "95.50", **more: Any) -> OfferOption:
    add_option(job=job, values={"text": text, "quantity": Decimal(1), "unit_price": Decimal(price), **more}, by=by)
    made: OfferOption = OfferOption.objects.get(job=job, text=text)
    return made


def names(job: Job) -> list[str]:
    return list(OfferOption.objects.filter(job=job).order_by("position").values_list("text", flat=True))


def page_text(response: Any) -> str:
    return re.sub(r"\s+", " ", response.content.decode())


@pytest.mark.django_db
class TestServices:
    def test_add_change_move_remove_each_undone(self, job: Job, account: Account) -> None:
        for text in ("Base", "Crate", "Patina"):
            option(job, account, text)
        row = OfferOption.objects.get(text="Patina")
        steps = [
            lambda: add_option(job=job, values={"text": "Spare", "quantity": Decimal(1), "unit_price": Decimal(9)}, by=account),
            lambda: change_option(job=job, pk=row.pk, values={"text": "Wax"}, seen=seen_mark(row), by=account),
            lambda: move_option(job=job, pk=row.pk, up=True),
            lambda: remove_option(job=job, pk=row.pk),
        ]
        after = (["Base", "Crate", "Patina", "Spare"], ["Base", "Crate", "Wax"], ["Base", "Patina", "Crate"], ["Base", "Crate"])
        for step, expected in zip(steps, after, strict=True):
            told = step()
            assert names(job) == expected
            put_back_options(job=job, told=told)
            assert names(job) == ["Base", "Crate", "Patina"]
            row = OfferOption.objects.get(text="Patina")
            assert (row.unit_price, row.changed_by) == (Decimal("95.50"), account)

    def test_undo_is_refused_after_somebody_elses_change(self, job: Job, account: Account) -> None:
        told = remove_option(job=job, pk=option(job, account).pk)
        option(job, account, "Crate")
        with pytest.raises(OptionRefused, match="changed since"):
            put_back_options(job=job, told=told)
        with pytest.raises(OptionRefused, match="nothing to undo"):
            put_back_options(job=make_job(title="Relief"), told=told)

    def test_a_change_of_what_was_changed_meanwhile_is_refused(self, job: Job, account: Account) -> None:
        row = option(job, account)
        seen = seen_mark(row)
        change_option(job=job, pk=row.pk, values={"unit_price": Decimal(100)}, seen=seen, by=account)
        with pytest.raises(OptionRefused, match="changed this option"):
            change_option(job=job, pk=row.pk, values={"unit_price": Decimal(90)}, seen=seen, by=account)

    def test_a_list_has_an_end(self, job: Job, account: Account) -> None:
        for count in range(20):
            option(job, account, f"Option {count}")
        with pytest.raises(OptionRefused, match="at most 20"):
            option(job, account, "One more")


@pytest.mark.django_db
class TestFreezing:
    def test_copies_options_rounded_and_out_of_every_total(self, job: Job, account: Account) -> None:
        without = freeze_quote(job=job, by=account)
        option(job, account, "Base", "33.33", quantity=Decimal("2.5"), tax_percent=Decimal("5.5"))
        option(job, account, "Crate", "95.50")
        quote = freeze_quote(job=job, by=account)
        assert quote.gross_total == without.gross_total
        base, crate = QuoteOption.objects.filter(quote=quote)
        # 2.5 × 33.33 = 83.325 → 83.33; 5.5 % of it = 4.583 → 4.58; 20 % of 95.50 = 19.10. By hand.
        assert (base.position, base.net, base.tax) == (1, Decimal("83.33"), Decimal("4.58"))
        assert (crate.position, crate.net, crate.tax) == (2, Decimal("95.50"), Decimal("19.10"))
        OfferOption.objects.all().delete()
        assert totals_with(quote, []) == (quote.net_total, quote.tax_total, quote.gross_total)
        assert totals_with(quote, [2, 1])[2] == quote.gross_total + Decimal("202.51")
        assert totals_with(quote, [1])[0] == quote.net_total + Decimal("83.33")
        with pytest.raises(EngineError, match="no option 9"):
            totals_with(quote, [1, 9])

    def test_is_refused_when_options_moved_since_they_were_shown(self, job: Job, account: Account) -> None:
        row = option(job, account)
        seen = fingerprint(options_of(job, StudioProfile.objects.current()))
        change_option(job=job, pk=row.pk, values={"unit_price": Decimal(1)}, seen=seen_mark(row), by=account)
        with pytest.raises(PriceHasMoved, match="options"):
            freeze_quote(job=job, by=account, seen_options=seen)
        assert not Quote.objects.exists()


@pytest.mark.django_db
class TestOptionPages:
    def test_add_change_order_remove_and_undo(self, office: Client, job: Job) -> None:
        start = f"/jobs/{job.number}/options/"
        assert "No options yet" in page_text(office.get(start))
        assert office.post(f"{start}add/", PATINA).status_code == 200
        assert not OfferOption.objects.exists()
        for text in ("Bronze patina", "Oak base"):
            added = page_text(office.post(f"{start}add/", {**PATINA, "text": text, "action": "keep"}, follow=True))
            assert f"“{text}” is added." in added
        base = OfferOption.objects.get(text="Oak base")
        office.post(f"{start}{base.pk}/move/", {"to": "up"})
        assert names(job) == ["Oak base", "Bronze patina"]
        html = office.get(f"{start}{base.pk}/").content.decode()
        seen = re.search(r'name="seen" value="([^"]*)"', html)
        assert seen is not None
        changed = {**PATINA, "text": "Ash base", "seen": seen.group(1), "action": "keep"}
        assert office.post(f"{start}{base.pk}/", changed).status_code == 302
        assert names(job) == ["Ash base", "Bronze patina"]
        again = office.post(f"{start}{base.pk}/", {**changed, "text": "Elm base"})
        assert again.status_code == 422
        assert "after you opened it" in page_text(again)
        assert "Elm base" in page_text(again)
        assert "is removed" in page_text(office.post(f"{start}{base.pk}/remove/", follow=True))
        assert "as they were before" in page_text(office.post(f"{start}back/", follow=True))
        assert names(job) == ["Ash base", "Bronze patina"]
        assert office.get(f"{start}999/").status_code == 404

    def test_suggests_a_price_from_expense_and_work(self, office: Client, job: Job) -> None:
        StudioProfile.objects.current()
        PriceTerms.objects.create(job=job, labour_rate_per_h=24, overhead_per_h=11, margin_percent=30)
        typed = {**PATINA, "cost": "12", "hours": "2 h 30", "unit_price": ""}
        html = page_text(office.post(f"/jobs/{job.number}/options/add/", typed, headers=HTMX))
        assert "<html" not in html
        assert "142.14" in html
        assert "cost ÷ (1 − margin)" in html
        office.post(f"/jobs/{job.number}/options/add/", {**typed, "action": "keep"})
        assert OfferOption.objects.get().unit_price == Decimal("142.14")
        PriceTerms.objects.update(margin_percent=50)
        assert "suggested" in page_text(office.get(f"/jobs/{job.number}/options/"))

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"text": ""}, "Fill this in"),
            ({"unit_price": ""}, "Type a price"),
            ({"quantity": "0"}, "must lie between"),
            ({"unit_price": "1.234"}, "decimals"),
            ({"tax_percent": "101"}, "must lie between"),
            ({"quantity": "100000", "unit_price": "9999999"}, "too large"),
        ],
    )
    def test_says_what_is_wrong_and_keeps_what_was_typed(
        self, office: Client, job: Job, wrong: dict[str, str], said: str
    ) -> None:
        typed = {**PATINA, "cost": "7.77", **wrong, "action": "keep"}
        if wrong.get("unit_price") == "":
            typed["cost"] = ""
        response = office.post(f"/jobs/{job.number}/options/add/", typed)
        assert response.status_code == 422
        assert said in page_text(response)
        assert typed["cost"] in page_text(response)
        assert not OfferOption.objects.exists()

    def test_what_was_typed_for_the_quote_waits_for_the_options(self, office: Client, job: Job) -> None:
        typed = {"scope": "A scope of my own", "castings": "4", "valid_days": "nine", "exclusions": "Carriage."}
        away = office.post(f"/jobs/{job.number}/quote/draft/", typed)
        assert away["Location"] == f"/jobs/{job.number}/options/"
        office.post(f"/jobs/{job.number}/options/add/", {**PATINA, "action": "keep"})
        html = page_text(office.get(f"/jobs/{job.number}/quote/"))
        assert "A scope of my own" in html
        assert 'value="nine"' in html
        assert "Bronze patina" in html
        office.post(f"/jobs/{job.number}/quote/draft/", {"action": "drop"})
        assert "A scope of my own" not in page_text(office.get(f"/jobs/{job.number}/quote/"))

    def test_asks_the_database_as_often_for_many_as_for_one(self, office: Client, job: Job, account: Account) -> None:
        option(job, account, "First")
        counts = []
        office.get(f"/jobs/{job.number}/options/")
        for more in (0, 15):
            for count in range(more):
                option(job, account, f"Option {count}")
            with CaptureQueriesContext(connection) as found:
                office.get(f"/jobs/{job.number}/options/")
            counts.append(len(found))
        assert counts[0] == counts[1]
