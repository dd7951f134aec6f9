"""What stands on labels, that all of it stands there whole, and the pages that print them."""

import datetime
import io

import pytest
from django.test import Client
from pypdf import PdfReader

from jobs.models import Mold
from materials.labels.fitting import BOLD, LEADING, Words, broken, fit, width_ems
from materials.labels.sheets import SHEETS
from studio.models import StudioProfile
from tests.factories import JobFactory, LotFactory, MaterialFactory, ScrapBinFactory
from tests.materials.pages import address, text_of

LONG = Words("Thixotropic platinum rubber of the eastern works", bold=True)


class TestFitting:
    @pytest.mark.parametrize(("width", "height"), [(38.0, 24.0), (60.0, 20.0), (25.0, 30.0)])
    def test_sets_every_word_within_the_room(self, width: float, height: float) -> None:
        facts = [LONG, Words("lot HR-4107"), Words("Before use see the safety data sheet.")]
        lines = fit(facts, width_mm=width, height_mm=height)
        assert lines is not None
        assert " ".join(line.text for line in lines).split() == " ".join(words.text for words in facts).split()
        for line in lines:
            assert width_ems(line.text, bold=line.bold) * line.size_mm <= width
        assert lines[-1].baseline_mm + 0.2 * lines[-1].size_mm <= height
        assert lines[1].baseline_mm - lines[0].baseline_mm > 0.9 * LEADING * min(line.size_mm for line in lines)

    def test_breaks_a_word_that_is_too_long_and_loses_no_letter(self) -> None:
        word = "Donaudampfschifffahrtselektrizität" * 3
        lines = broken(word, bold=True, ems=8)
        assert "".join(lines) == word
        assert len(lines) > 3
        assert all(width_ems(line, bold=True) <= 8 for line in lines)
        assert BOLD == 600

    def test_says_when_words_do_not_fit_even_small(self) -> None:
        assert fit([Words("word " * 200)], width_mm=20, height_mm=10) is None


@pytest.mark.django_db
class TestLabelsShow:
    def typed(self, *things: int, **more: str) -> dict[str, object]:
        chosen = {"sheet": "a4-21", "start": "1", "copies": "1", "facts": ["lot", "expiry", "pair", "place", "safety"]}
        return {"things": [str(one) for one in things], **chosen, **more}

    def test_prints_what_is_chosen_at_its_place_on_the_page(self, owner_client: Client) -> None:
        rubber = MaterialFactory(name="Pale rubber")
        lot = LotFactory(
            material=rubber, component="A", supplier_lot="HR-7", kit_code="K5", place="shelf 9", holding=900,
            expires_on=datetime.date(2027, 4, 3),
        )  # fmt: skip
        answer = owner_client.post(address("labels_show"), {**self.typed(lot.pk, start="5", copies="2"), "print": "1"})
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"].startswith("attachment")
        found: list[tuple[str, float, float]] = []
        (sheet,) = PdfReader(io.BytesIO(answer.content)).pages
        assert [round(float(side) / 72 * 25.4) for side in sheet.mediabox[2:]] == [210, 297]

        def seen(text, cm, tm, _font, _size) -> None:
            if text.strip():
                found.append((text.strip(), (tm[4] * cm[0] + cm[4]) / 72 * 25.4, (tm[5] * cm[3] + cm[5]) / 72 * 25.4))

        sheet.extract_text(visitor_text=seen)
        # Drawn letters carry no spaces between words.
        whole = "".join("".join(text.split()) for text, *_place in found)
        for words in ("Pale rubber", "part A, lot HR-7", "Good until 3 Apr 2027", "Pairs with K5", "shelf 9", f"L{lot.pk}"):
            assert whole.count("".join(words.split())) == 2, words
        grid = SHEETS["a4-21"]
        for place in (4, 5):
            left, top = grid.corner_mm(place)
            inside = [
                text for text, x, y in found
                if left < x < left + grid.width_mm and top < 297 - y < top + grid.height_mm
            ]  # fmt: skip
            assert "".join("".join(inside).split()).startswith("Palerubber")
        assert whole.count("seethesafetydatasheet") == 2

    def test_shows_the_sheet_before_it_is_printed_and_leaves_off_what_is_not_chosen(self, owner_client: Client) -> None:
        scrap = ScrapBinFactory(label="P<1>", colour="white", place="rack")
        typed = {**self.typed(scrap.pk), "facts": ["place"], "look": "1"}
        page = text_of(owner_client.post(f"{address('labels_show')}?of=b", typed).content)
        assert "Scrap P&lt;1&gt;</text>" in page
        assert ">rack</text>" in page
        assert "Not washed" not in page

    def test_ticks_the_one_thing_that_a_link_named(self, owner_client: Client) -> None:
        lot, _other = LotFactory(), LotFactory(holding=5)
        assert f"of=l&amp;one={lot.pk}" in text_of(owner_client.get(address("lot_show", lot.pk)).content)
        form = owner_client.get(f"{address('labels_show')}?of=l&one={lot.pk}").context["form"]
        assert [pk for pk, _words in form.fields["things"].choices] == form["things"].value() == [lot.pk]

    @pytest.mark.parametrize(
        ("more", "says"),
        [
            ({"things": []}, "Tick at least one"),
            ({"things": ["99999"]}, ""),
            ({"start": "22"}, "has 21 labels"),
            ({"copies": "0"}, ""),
            ({"sheet": "none"}, ""),
            ({"right_mm": "11"}, ""),
        ],
    )
    def test_refuses_with_a_sentence(self, owner_client: Client, more, says: str) -> None:
        lot = LotFactory(holding=5)
        answer = owner_client.post(address("labels_show"), {**self.typed(lot.pk), **more, "print": "1"})
        assert answer.status_code == 422
        assert says in text_of(answer.content)

    def test_refuses_what_would_have_to_be_cut(self, owner_client: Client) -> None:
        lot = LotFactory(material=MaterialFactory(name="W" * 120), supplier_lot="W" * 80, place="W" * 80, holding=5)
        answer = owner_client.post(address("labels_show"), {**self.typed(lot.pk), "sheet": "letter-30", "print": "1"})
        assert answer.status_code == 422
        assert "does not fit on a label" in text_of(answer.content)

    def test_offers_molds_whose_code_opens_their_passport(self, owner_client: Client) -> None:
        mold = Mold.objects.create(job=JobFactory(title="Urn"), number=2, place="attic")
        page = text_of(owner_client.post(f"{address('labels_show')}?of=m", {**self.typed(mold.pk), "look": "1"}).content)
        assert f"Mold 2 of job {mold.job.number}" in page
        StudioProfile.objects.update(locale="de_DE")
        mold.made_on = datetime.date(2027, 3, 5)
        mold.save()
        look = owner_client.get(f"/jobs/molds/{mold.pk}/")
        assert f"?of=m&amp;one={mold.pk}" in look.content.decode()
        page = text_of(owner_client.get(f"{address('labels_show')}?of=m&one={mold.pk}").content)
        assert f"Mold 2 of job {mold.job.number}, made 5 März 2027" in page
        assert owner_client.get(f"/c/m{mold.pk}")["Location"] == f"/jobs/molds/{mold.pk}/"
        assert owner_client.get("/c/m999").status_code == 404
