"""Scrap bins through their pages."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from materials.models import Movement, ScrapBin
from studio.access import Role
from tests.factories import MaterialFactory, ScrapBinFactory
from tests.materials.pages import address, key_in, questions, text_of

pytestmark = pytest.mark.django_db


def typed_bin(client: Client, **typed: Any) -> dict[str, Any]:
    return {
        "key": key_in(client, address("scrap_add")),
        "label": "Grey, 20 mm",
        "chemistry": "platinum_silicone",
        "chunk_edge_mm": "2 cm",
        "density_kg_m3": "1100",
        "kept_since_on": "2026-01-31",
        "mass_g": "2.376 kg",
        "origin": "mold of the fox",
        **typed,
    }


class TestScrapAdd:
    def test_weighs_the_bin_through_the_ledger(self, owner_client: Client) -> None:
        owner_client.post(address("scrap_add"), typed_bin(owner_client))
        bin_ = ScrapBin.objects.get()
        assert (bin_.on_hand_g, bin_.chunk_edge_mm) == (2376, 20)
        line = Movement.objects.get(scrap_bin=bin_)
        assert (line.kind, line.mass_g, line.why) == ("receive", 2376, "mold of the fox")

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"label": ""}, "unlabelled scrap is waste"),
            ({"label": "??"}, "at least one letter or digit"),
            ({"chemistry": ""}, "or that it is not known"),
            ({"chunk_edge_mm": "0"}, ""),
            ({"density_kg_m3": "5"}, "must lie between"),
            ({"mass_g": "lots"}, ""),
            ({"kept_since_on": "2999-12-31"}, "has not come yet"),
            ({"key": "short"}, "too old to be sent"),
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(self, owner_client: Client, typed: dict[str, str], says: str) -> None:
        answer = owner_client.post(address("scrap_add"), typed_bin(owner_client, **typed))
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert "mold of the fox" in answer.content.decode()
        assert not ScrapBin.objects.exists()

    def test_refuses_a_label_that_another_bin_bears(self, owner_client: Client) -> None:
        ScrapBinFactory(label="GREY, 20 mm")
        answer = owner_client.post(address("scrap_add"), typed_bin(owner_client))
        assert answer.status_code == 422
        assert "exists already" in answer.content.decode()
        assert not Movement.objects.exists()

    def test_is_for_those_who_may_change_stock(self, signed_in: Callable[[Role], Client]) -> None:
        assert signed_in(Role.OFFICE).get(address("scrap_add")).status_code == 403
        assert signed_in(Role.MAKER).get(address("scrap_add")).status_code == 200


class TestScrapShow:
    def test_judges_it_against_each_rubber(self, owner_client: Client) -> None:
        MaterialFactory(name="Own line", family="Slate")
        MaterialFactory(name="Other line", family="Chalk")
        MaterialFactory(name="Tin one", chemistry="tin_silicone")
        bin_ = ScrapBinFactory(family="Slate", holding=500)
        page = text_of(owner_client.get(address("scrap_show", bin_.pk)).content)
        verdicts = [page.index(word) for word in ("bonds when clean", "test first", "never")]
        assert len(verdicts) == 3
        assert "not to cure against platinum silicone" in page

    def test_calls_the_unknown_waste(self, owner_client: Client) -> None:
        MaterialFactory()
        page = text_of(owner_client.get(address("scrap_show", ScrapBinFactory(chemistry="other").pk)).content)
        assert "not known: waste" in page
        assert "bonds when clean" not in page

    def test_use_fill_count_and_throw_away(self, owner_client: Client) -> None:
        bin_ = ScrapBinFactory(holding=1000)
        for name, action, typed in (
            ("use", "scrap_use", {"mass_g": "300", "job_number": "4"}),
            ("fill", "scrap_fill", {"mass_g": "0.5 kg", "why": "flash of the lion"}),
            ("count", "scrap_count", {"counted_g": "1190", "why": "dust"}),
            ("discard", "scrap_discard", {"mass_g": "90", "why": "oily"}),
        ):
            key = key_in(owner_client, address("scrap_show", bin_.pk), prefix=name)
            fields = {f"{name}-{part}": word for part, word in {"key": key, **typed}.items()}
            assert owner_client.post(address(action, bin_.pk), fields).status_code == 302
        bin_.refresh_from_db()
        assert bin_.on_hand_g == Decimal(1100)

    def test_refusals_stay_open_with_what_was_typed(self, owner_client: Client) -> None:
        bin_ = ScrapBinFactory(holding=1000)
        key = key_in(owner_client, address("scrap_show", bin_.pk), prefix="use")
        answer = owner_client.post(address("scrap_use", bin_.pk), {"use-key": key, "use-mass_g": "1.1 kg"})
        assert answer.status_code == 422
        assert "1,100 g is wanted but 1,000 g is free here" in text_of(answer.content)
        assert 'value="1.1 kg"' in answer.content.decode()

    def test_asks_no_more_questions_for_more_rubbers(self, owner_client: Client) -> None:
        bin_, counts = ScrapBinFactory(holding=1000), []
        for number in (3, 27):
            MaterialFactory.create_batch(number)
            counts.append(questions(owner_client, address("scrap_show", bin_.pk)))
        assert counts[0] == counts[1] < 16


class TestScrapChange:
    def test_changes_what_is_written_on_it_and_never_its_mass(self, owner_client: Client) -> None:
        bin_ = ScrapBinFactory(holding=1000)
        typed = {**typed_bin(owner_client, label="Grey, washed", washed="on"), "mass_g": "5"}
        owner_client.post(address("scrap_change", bin_.pk), typed)
        bin_.refresh_from_db()
        assert (bin_.label, bin_.washed, bin_.on_hand_g) == ("Grey, washed", True, 1000)


class TestScrapList:
    def test_says_what_will_stand_there(self, owner_client: Client) -> None:
        assert "No bins yet" in owner_client.get(address("scrap_list")).content.decode()

    def test_shows_each_bin(self, owner_client: Client) -> None:
        ScrapBinFactory(label="Bin of the fox", holding=2376)
        page = text_of(owner_client.get(address("scrap_list")).content)
        assert "Bin of the fox" in page
        assert "2.38" in page
