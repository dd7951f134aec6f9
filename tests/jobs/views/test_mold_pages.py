"""Finished molds through their pages."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import Mold
from jobs.services.molds import add_mold
from materials.models import Movement, ScrapBin, ScrapCut
from studio.access import Role
from tests.factories import MaterialFactory, PackFactory, ScrapBinFactory, planned_job
from tests.materials.pages import key_in, questions, text_of

pytestmark = pytest.mark.django_db
LIST = "/jobs/molds/"


def a_mold(**fields: Any) -> Mold:
    made_on = timezone.localdate() - timedelta(days=100)
    rubber = fields.pop("rubber", None) or MaterialFactory(family="north", properties={"hardness_shore_a": 20})
    return add_mold(**{"job": planned_job(), "rubber": rubber, "mass_g": Decimal(2500), "made_on": made_on, **fields})


def page_of(mold: Mold, name: str = "show") -> str:
    return reverse(f"jobs:kept_mold_{name}", args=[mold.pk])


class TestMoldsList:
    def test_is_filtered_by_a_sentence_in_as_many_queries_as_for_one(self, owner_client: Client) -> None:
        assert "No molds yet" in text_of(owner_client.get(LIST).content)
        worn = planned_job(title="Worn urn")
        a_mold(job=worn, rubber=worn.plan.rubber, castings_done=60, place="attic")
        few = questions(owner_client, LIST)
        fresh = planned_job(title="Fresh fox")
        a_mold(job=fresh, rubber=worn.plan.rubber, place="rack 2")
        assert questions(owner_client, LIST) == few
        for asked, seen in (("which=end", "urn"), ("place=RACK", "fox"), (f"words={fresh.number}", "fox"), ("which=ended", "")):
            page = text_of(owner_client.get(f"{LIST}?{asked}").content)
            assert ("Worn urn" in page, "Fresh fox" in page) == (seen == "urn", seen == "fox"), asked
        assert "60 of about 35 castings" in text_of(owner_client.get(LIST).content)
        assert owner_client.get(f"{LIST}?since=never").status_code == 422


class TestMoldPassport:
    def test_is_added_from_its_job_with_what_the_plan_knows(self, owner_client: Client) -> None:
        job = planned_job()
        form: Any = owner_client.get(reverse("jobs:mold_add", args=[job.number])).context["form"]
        assert form.initial["rubber"] == job.plan.rubber_id
        assert form.initial["mass_g"] > 1000
        typed = {
            "rubber": job.plan.rubber_id,
            "mass_g": "2.5 kg",
            "made_on": "2026-01-31",
            "place": "attic",
            "castings_done": "0",
        }
        refused = owner_client.post(reverse("jobs:mold_add", args=[job.number]), {**typed, "made_on": "2999-01-01"})
        assert refused.status_code == 422
        assert "attic" in text_of(refused.content)
        owner_client.post(reverse("jobs:mold_add", args=[job.number]), typed)
        mold = Mold.objects.get()
        assert (mold.mass_g, mold.place, mold.number) == (2500, "attic", 1)
        assert page_of(mold) in owner_client.get(reverse("jobs:job_show", args=[job.number])).content.decode()

    def test_counts_castings_notes_a_look_and_is_corrected(self, owner_client: Client) -> None:
        mold = a_mold()
        for _ in range(2):
            owner_client.post(page_of(mold, "casting"), {"stood_at": "0", "change": "more"})
        owner_client.post(page_of(mold, "look"), {"looked_at_on": timezone.localdate().isoformat(), "note": "a tear"})
        mold.refresh_from_db()
        assert (mold.castings_done, mold.looked_at_on, mold.note) == (1, timezone.localdate(), "a tear")
        assert owner_client.post(page_of(mold, "casting"), {"stood_at": "x"}).status_code == 422
        assert owner_client.post(page_of(mold, "casting"), {"stood_at": "7"}).status_code == 409
        assert owner_client.post(page_of(mold, "look"), {"looked_at_on": "2999-01-01"}).status_code == 422
        owner_client.post(page_of(mold, "change"), {"made_on": "2026-01-31", "castings_done": "9", "rubber": "", "note": ""})
        mold.refresh_from_db()
        assert (mold.castings_done, mold.rubber, mold.mass_g) == (9, None, None)
        assert "rubber that nobody knows is waste" in text_of(owner_client.get(page_of(mold, "cut")).content)


class TestMoldEnd:
    def typed(self, client: Client, mold: Mold, **more: str) -> dict[str, Any]:
        today = timezone.localdate().isoformat()
        own = {
            "into": "new",
            "mass_g": "2.376 kg",
            "minutes": "24",
            "cut_on": today,
            "label": "Fox, white",
            "chunk_edge_mm": "20",
        }
        return {"key": key_in(client, page_of(mold, "cut")), "washed": "on", **own, **more}

    def test_is_cut_up_once_and_undone_on_its_page(self, owner_client: Client) -> None:
        mold = a_mold()
        PackFactory(material=mold.rubber)
        form = owner_client.get(page_of(mold, "cut"))
        assert "No bin holds this rubber yet" in text_of(form.content)
        assert "Worth as scrap" in text_of(form.content)
        typed = self.typed(owner_client, mold)
        for _ in range(2):
            assert owner_client.post(page_of(mold, "cut"), typed).status_code == 302
        kept = ScrapBin.objects.get()
        assert (kept.label, kept.on_hand_g, kept.hardness_shore_a, kept.washed) == ("Fox, white", 2376, None, True)
        assert ScrapCut.objects.get().minutes == 24
        assert f'went into <a href="/stock/scrap/{kept.pk}/' in text_of(owner_client.get(page_of(mold)).content)
        owner_client.post(page_of(mold, "back"))
        kept.refresh_from_db()
        assert (kept.on_hand_g, Movement.objects.count()) == (0, 2)
        assert "Cut up for scrap" in text_of(owner_client.get(page_of(mold)).content)

    @pytest.mark.parametrize(
        ("more", "says"),
        [
            ({"label": ""}, "unlabelled scrap is waste"),
            ({"chunk_edge_mm": ""}, "Measure a few chunks"),
            ({"minutes": "9999 h"}, ""),
            ({"into": "none"}, ""),
            ({"mass_g": "lots"}, ""),
            ({"cut_on": "2999-01-01"}, "has not come yet"),
            ({"label": "P1"}, "exists already"),
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(self, owner_client: Client, more: dict[str, str], says: str) -> None:
        mold = a_mold()
        ScrapBinFactory(label="P1", family="north")
        answer = owner_client.post(page_of(mold, "cut"), self.typed(owner_client, mold, colour="mauve", **more))
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert "mauve" in text_of(answer.content)
        assert not Movement.objects.exists()

    def test_refuses_chunks_of_another_size_than_the_bins(self, owner_client: Client) -> None:
        mold = a_mold()
        kept = ScrapBinFactory(label="P1", family="north", hardness_shore_a=20, washed=True)
        form: Any = owner_client.get(page_of(mold, "cut")).context["form"]
        assert form.initial["into"] == str(kept.pk)
        answer = owner_client.post(page_of(mold, "cut"), self.typed(owner_client, mold, into=str(kept.pk), chunk_edge_mm="35"))
        assert "holds chunks of 20 mm" in text_of(answer.content)
        owner_client.post(page_of(mold, "cut"), self.typed(owner_client, mold, into=str(kept.pk), chunk_edge_mm=""))
        kept.refresh_from_db()
        assert kept.on_hand_g == 2376

    def test_is_thrown_away_with_why_and_brought_back(self, owner_client: Client) -> None:
        mold = a_mold()
        assert owner_client.post(page_of(mold, "throw_away"), {"why": ""}).status_code == 422
        owner_client.post(page_of(mold, "throw_away"), {"why": "torn", "ended_on": timezone.localdate().isoformat()})
        assert "thrown away: torn" in text_of(owner_client.get(page_of(mold)).content)
        assert owner_client.post(page_of(mold, "casting"), {"stood_at": "0"}).status_code == 409
        owner_client.post(page_of(mold, "back"))
        mold.refresh_from_db()
        assert mold.ended_on is None

    def test_is_shown_to_the_office_without_its_buttons(self, signed_in: Any) -> None:
        mold, office = a_mold(), signed_in(Role.OFFICE)
        assert "One more cast" not in text_of(office.get(page_of(mold)).content)
        assert office.get(page_of(mold, "cut")).status_code == 403
