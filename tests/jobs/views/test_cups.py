"""The mixes of a job's plan as they are taken off the shelf."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from jobs.cups import cups_of
from jobs.services.plans import mold_plan
from materials.models import Material, Movement
from studio.access import Role
from tests.factories import LotFactory, planned_job

pytestmark = pytest.mark.django_db


def test_every_gram_of_the_coats_is_in_a_cup() -> None:
    """The cups of the coats hold what the plan mixes for them, rubber and additives, each once."""
    made = mold_plan(planned_job())
    groups = dict(cups_of(made))
    for coat in made.coats:
        cups = groups[f"{coat.number}. {coat.role.label}"]
        assert len(cups) == len(coat.mixes)
        assert sum(cup.whole_g for cup in cups) == pytest.approx(sum(mix.mass.value for mix in coat.mixes))
    names = [cup.name for cups in groups.values() for cup in cups]
    assert len(set(names)) == len(names)


def test_a_mix_is_taken_from_the_page_of_its_job_and_marked(owner_client: Any) -> None:
    job = planned_job()
    page = reverse("jobs:cups_show", args=[job.number])
    heading, cups = next(iter(cups_of(mold_plan(job))))
    for key, _, _ in cups[0].masses_g:
        rubber = Material.objects.get(pk=key)
        for part in ("A", "B") if rubber.two_part else ("whole",):
            LotFactory(material=rubber, component=part, holding=20000)
    assert heading in owner_client.get(page).content.decode()
    address = cups[0].address(job.number)
    shown: Any = owner_client.get(address)
    assert not shown.context["short"]
    typed = {key: values[0] for key, values in parse_qs(urlsplit(address).query).items()}
    sent = {**typed, "key": shown.context["form"]["key"].value(), "seen": shown.context["seen"]}
    assert owner_client.post(urlsplit(address).path, sent).status_code == 302
    out = -sum(Movement.objects.filter(kind="issue", job_number=job.number).values_list("mass_g", flat=True))
    assert float(out) == pytest.approx(cups[0].whole_g, abs=0.2)
    assert [taken for _, rows in owner_client.get(page).context["groups"] for _, _, taken in rows].count(1) == 1


def test_office_sees_them_without_taking(signed_in: Any) -> None:
    job = planned_job()
    answer = signed_in(Role.OFFICE).get(reverse("jobs:cups_show", args=[job.number]))
    assert answer.status_code == 200
    assert "/mix/?" not in answer.content.decode()
