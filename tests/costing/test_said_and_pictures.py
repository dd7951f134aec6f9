from dataclasses import replace
from decimal import Decimal
from io import BytesIO

import pytest
from django.test import Client
from PIL import Image
from pypdf import PdfReader

from costing.inputs import planned
from costing.models import PriceTerms, Quote
from costing.printing import render_quote
from costing.services.offer import suggested_offer
from costing.services.pictures import SECTION, image_names, images_of, pictures_there
from costing.services.quotes import freeze_quote
from costing.services.said import cautions_in_hand, suggested_size
from costing.services.workings import read_workings
from costing.wording import DUST, POLYESTER_SHELL, POLYURETHANE_CASTING, TIN_MOLD, ownership_words
from jobs.models import Job, Plan
from jobs.services.photos import add_photo, remove_photo
from materials.properties import Chemistry
from studio.models import Account, Document, StudioProfile
from tests.costing.test_options import option, page_text


@pytest.mark.django_db
class TestSuggestedSize:
    # 400 mm × (1 − 0.004) × (1 − 0.003) = 397.2 mm, worked by hand: 0.7 % smaller.
    def test_says_what_to_expect_and_the_tolerance(self, job: Job) -> None:
        words = suggested_size(planned(job), StudioProfile.objects.current())
        assert "0.7\u00a0% smaller" in words
        assert "Tolerance: that side may measure anything from" in words
        assert "Walls are about" in words

    def test_says_nothing_of_a_mold_alone(self, job: Job) -> None:
        Plan.objects.filter(job=job).update(resin=None)
        assert suggested_size(planned(job), StudioProfile.objects.current()) == ""


@pytest.mark.django_db
class TestCautionsInHand:
    def test_follow_what_is_really_used(self, job: Job) -> None:
        found = cautions_in_hand(planned(job), castings=True)
        assert found[:3] == [DUST, POLYURETHANE_CASTING, TIN_MOLD]
        assert POLYESTER_SHELL not in found
        assert DUST not in cautions_in_hand(planned(job), castings=False)

    def test_name_the_styrene_of_a_polyester_shell(self, job: Job) -> None:
        made = planned(job)
        assert made.plan.shell_matrix is not None
        made.plan.shell_matrix.chemistry = Chemistry.POLYESTER.value
        assert POLYESTER_SHELL in cautions_in_hand(made, castings=True)


class TestOwnershipWords:
    @pytest.mark.parametrize(
        ("months", "fee", "said"),
        [
            (12, "", "free of charge for 12 months after delivery; after that we ask whether to send it, keep it for a fee"),
            (
                1,
                "€9.00",
                "free of charge for 1 month after delivery; after that storage costs €9.00 a month, before VAT, and we ask",
            ),
            (0, "€9.00", "flat, dry and dark, after delivery, at €9.00 a month, before VAT; we ask in good time"),
            (0, "", "after delivery; after that we ask"),
        ],
    )
    def test_say_the_fee_where_one_is_charged(self, months: int, fee: str, said: str) -> None:
        assert said in ownership_words(free_months=months, fee=fee, tax_name="VAT" if fee else "")


@pytest.mark.django_db
class TestPictures:
    def test_are_frozen_as_they_were(self, job: Job, account: Account) -> None:
        assert [key for key, _ in pictures_there(planned(job))] == [SECTION]
        quote = freeze_quote(job=job, by=account)
        ((name, picture),) = image_names(quote.content)
        assert (name, picture["kind"]) == ("picture-1", SECTION)
        assert picture["svg"].startswith("<svg")
        assert len(picture["svg"]) < 400_000
        Plan.objects.filter(job=job).update(wall_mm=Decimal(20))
        assert image_names(Quote.objects.get(pk=quote.pk).content)[0][1] == picture

    def test_a_photograph_is_printed_as_it_was_though_it_is_removed_later(self, job: Job, account: Account) -> None:
        out = BytesIO()
        Image.new("RGB", (60, 40), "peru").save(out, format="JPEG")
        kept = [
            add_photo(piece=job.piece, content=out.getvalue(), name="a", caption=caption, on_quote=shown, by=account)
            for caption, shown in (("The front", True), ("The cellar", False))
        ]
        quote = freeze_quote(job=job, by=account)
        remove_photo(photo=kept[0])
        images = images_of(quote.content)
        assert list(images) == ["picture-2"]
        with Image.open(BytesIO(images["picture-2"])) as picture:
            assert (picture.format, picture.size) == ("JPEG", (60, 40))
        reader = PdfReader(BytesIO(render_quote(Document(kind="quote", subject_id=quote.pk, title=str(quote))).content))
        assert any("The front" in page.extract_text() for page in reader.pages)
        assert not any("The cellar" in page.extract_text() for page in reader.pages)
        assert {picture.image.size for page in reader.pages for picture in page.images} == {(60, 40)}

    def test_a_photograph_whose_file_is_gone_is_left_out_of_the_print(self) -> None:
        assert images_of({"pictures": [{"kind": "photo", "caption": "a", "alt": "a", "file": "photos/gone.jpg"}]}) == {}

    def test_are_left_out_when_not_chosen(self, job: Job, account: Account) -> None:
        offer = replace(suggested_offer(planned(job), StudioProfile.objects.current()), pictures=())
        assert freeze_quote(job=job, offer=offer, by=account).content["pictures"] == []


@pytest.mark.django_db
class TestWorkings:
    def test_every_printed_amount_opens_to_one_that_is_the_same(self, job: Job, account: Account, office: Client) -> None:
        PriceTerms.objects.create(
            job=job,
            extra_label="Crate",
            extra_cost=Decimal(40),
            rush_percent=10,
            discount_percent=5,
            storage_months=3,
            storage_per_month=9,
        )
        option(job, account, "Oak base", "95.50", cost=Decimal(12), hours=Decimal("2.5"))
        option(job, account, "Wax", "8.00")
        quote = freeze_quote(job=job, by=account)
        kept = read_workings(quote.inner)
        for rows, workings in ((quote.lines.all(), kept.lines), (quote.options.all(), kept.options)):
            assert len(rows) == len(workings) > 0
            for row, working in zip(rows, workings, strict=True):
                amounts = [Decimal(repr(figure.value)) for figure in (working.unit, working.net, working.tax)]
                assert amounts == [row.unit_price, row.net, row.tax]
                assert all(figure.given for figure in (working.unit, working.net, working.tax))
        totals = {key: Decimal(repr(figure.value)) for key, figure in kept.totals.items()}
        assert totals == {
            "net": quote.net_total, "tax": quote.tax_total, "gross": quote.gross_total, "deposit": quote.deposit,
            "balance": quote.balance,
        }  # fmt: skip
        assert [str(Decimal(repr(each.value))) for each, _ in kept.breaks] == [
            str(Decimal(item["unit_price"]).normalize()) if "." not in item["unit_price"] else str(float(item["unit_price"]))
            for item in quote.content["breaks"]
        ]
        html = page_text(office.get("/quotes/1001/"))
        for key in ("line-1-unit", "line-1-net", "line-2-tax", "option-1-unit", "option-2-unit", "total-gross", "deposit"):
            assert f'data-figure="{key}"' in html, key
        assert "frozen-" in html

    def test_survive_an_inside_of_another_form(self) -> None:
        odd: tuple[object, ...] = (
            None,
            [],
            {"workings": 7},
            {"workings": {"lines": [1, {"unit": 3}], "totals": [], "breaks": [None, [1]]}},
        )
        for inner in odd:
            kept = read_workings(inner)
            assert (kept.lines, kept.options, dict(kept.totals), kept.breaks) == ((), (), {}, ())
