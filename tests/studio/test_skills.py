"""Skills, who has them, and what each stage asks for."""

from typing import Any

import pytest
from django.test import Client

from jobs.scheduling.network import Bench
from studio.access import Role
from studio.models import Skill, StageRule
from studio.services.skills import RuleNow, rules_now, save_skill, set_stage_rules
from studio.workrates import BENCH_HOURS_ONLY, Stage
from tests.factories import AccountFactory, PersonFactory
from tests.materials.pages import questions

pytestmark = pytest.mark.django_db
SKILLS = "/studio/skills/"


@pytest.fixture
def owner_client(client: Client) -> Client:
    client.force_login(AccountFactory())
    return client


def rules_typed(**changed: Any) -> dict[str, Any]:
    """Return the form of rules as the page shows it where nothing was changed."""
    return {"by_day_shell": "on", "by_day_cast": "on", **changed}


class TestSkills:
    def test_are_added_given_and_shown_on_the_people(self, owner_client: Client) -> None:
        assert "No skills yet." in owner_client.get(SKILLS).content.decode()
        bo, gone = PersonFactory(name="Bo"), PersonFactory(name="Gone", active=False)
        sent = {"name": "Laying glass", "note": "polyester too", "people": [str(bo.pk)]}
        page = owner_client.post(f"{SKILLS}new/", sent, follow=True).content.decode()
        assert "Laying glass is added." in page
        glass = Skill.objects.get()
        glass.people.add(gone)
        assert "Laying glass" in owner_client.get("/studio/people/").content.decode()
        owner_client.post(f"{SKILLS}{glass.pk}/", {"name": "Glass", "note": "", "people": []})
        glass.refresh_from_db()
        assert (glass.name, list(glass.people.all())) == ("Glass", [gone])
        person = {"name": "Bo", "rate_per_h": "20", "skills": [str(glass.pk)]}
        owner_client.post(f"/studio/people/{bo.pk}/", person)
        assert list(bo.skills.all()) == [glass]
        assert f'value="{glass.pk}"' in owner_client.get(f"/studio/people/{bo.pk}/").content.decode()

    @pytest.mark.parametrize(
        ("changed", "sentence"),
        [
            ({"name": ""}, "Type what it is"),
            ({"name": "laying GLASS"}, "There is a skill called “laying GLASS” already."),
            ({"people": ["999"]}, "Tick people from the list only."),
            ({"people": ["x"]}, "Tick people from the list only."),
        ],
    )
    def test_say_what_to_change(self, owner_client: Client, changed: dict[str, Any], sentence: str) -> None:
        save_skill(skill=None, name="Laying glass", note="", people=[])
        response = owner_client.post(f"{SKILLS}new/", {"name": "Frame", "note": "kept as typed", **changed})
        assert response.status_code == 422
        assert sentence in response.content.decode()
        assert "kept as typed" in response.content.decode()
        assert Skill.objects.count() == 1

    def test_say_which_rules_they_are_part_of_and_come_back_whole(self, owner_client: Client) -> None:
        bo = PersonFactory()
        glass = save_skill(skill=None, name="Glass", note="n", people=[bo])
        set_stage_rules(rules={Stage.SHELL: RuleNow(skill=glass, by_day=True), Stage.COATS: RuleNow(skill=glass, by_day=True)})
        page = owner_client.get(f"{SKILLS}{glass.pk}/").content.decode()
        assert "part of 2 rules: Coats, Shell." in page
        page = owner_client.post(f"{SKILLS}{glass.pk}/remove/", follow=True).content.decode()
        assert "Anybody may now be given this work: Coats, Shell." in page
        assert list(StageRule.objects.values_list("stage", "skill", "by_day")) == [("coats", None, True)]
        assert owner_client.post(f"{SKILLS}{glass.pk}/remove/").status_code == 422
        owner_client.post(f"{SKILLS}put-back/")
        back = Skill.objects.get()
        assert (back.name, back.note, list(back.people.all())) == ("Glass", "n", [bo])
        now = rules_now()
        assert now[Stage.SHELL] == now[Stage.COATS] == RuleNow(skill=back, by_day=True)
        assert owner_client.post(f"{SKILLS}put-back/").status_code == 422

    def test_can_be_read_but_not_changed_by_a_maker(self, client: Client) -> None:
        glass = save_skill(skill=None, name="Glass", note="", people=[])
        client.force_login(AccountFactory(role=Role.MAKER))
        page = client.get(SKILLS).content.decode().split("<main")[1]
        assert "<button" not in page
        assert "Glass" in page
        for name in ("new/", "rules/", "put-back/", f"{glass.pk}/", f"{glass.pk}/remove/"):
            assert client.post(f"{SKILLS}{name}", {"name": "x"}).status_code == 403


class TestStageRules:
    def test_are_the_usual_ones_of_the_network_until_changed(self) -> None:
        assert Bench().by_day == BENCH_HOURS_ONLY
        assert {stage for stage, rule in rules_now().items() if rule.by_day} == BENCH_HOURS_ONLY
        assert Stage.MATERIAL not in rules_now()

    def test_are_kept_only_where_they_differ(self, owner_client: Client) -> None:
        glass = save_skill(skill=None, name="Glass", note="", people=[])
        sent = rules_typed(skill_shell=str(glass.pk), by_day_coats="on", by_day_cast="")
        page = owner_client.post(f"{SKILLS}rules/", sent, follow=True).content.decode()
        assert "The rules are kept." in page
        assert "Shell cannot be laid out." in page
        assert set(StageRule.objects.values_list("stage", "skill", "by_day")) == {
            ("shell", glass.pk, True), ("coats", None, True), ("cast", None, False),
        }  # fmt: skip
        owner_client.post(f"{SKILLS}rules/", rules_typed())
        assert not StageRule.objects.exists()

    def test_refuse_a_skill_that_is_gone(self, owner_client: Client) -> None:
        response = owner_client.post(f"{SKILLS}rules/", rules_typed(skill_shell="999", by_day_coats="on"))
        page = response.content.decode()
        assert response.status_code == 422
        assert "That skill was removed. Choose another one." in page
        assert 'name="by_day_coats" id="id_by_day_coats" checked' in page
        assert not StageRule.objects.exists()

    def test_page_asks_no_more_questions_for_more_skills(self, owner_client: Client) -> None:
        counts = []
        for number in (2, 20):
            for turn in range(number):
                save_skill(skill=None, name=f"Skill {number}-{turn}", note="", people=[PersonFactory()])
            counts.append(questions(owner_client, SKILLS))
        assert counts[0] == counts[1] < 12
