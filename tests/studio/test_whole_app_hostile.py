"""Whatever is typed into any field of a job, a quote or the shelf: a sentence beside it, all else kept, never a crash."""

from itertools import cycle
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Quote
from jobs.models import Job, Timetable, TimetableEntry
from materials.models import ExpectedDelivery, Lot, Material, Movement, Pack, ScrapBin
from studio.access import Role
from tests.studio.paper_forms import Page, PageForm
from tests.studio.test_whole_app_looking import state

pytestmark = pytest.mark.django_db
NUMBERS = ["NaN", "inf", "-inf", "1e400", "-5", str(10**18), "9" * 400, "x" * 1_000_000, "a\0b", "1,2,3.4.5", "½½", "٣٫٥", "1/0"]
WORDS = ["\0", "x" * 200_000]
MOST_FIELDS = 16  # of one form; rows of the tape and values of a material are all alike
HTMX = {"HX-Request": "true"}
NOT_TYPED = {"csrfmiddlewaretoken", "baseline", "key", "action"}


def forms() -> list[tuple[str, str, str]]:
    """Return each form of a job and of the shelf: its page, its button, and where it is sent without scripts."""
    at = f"/jobs/{Job.objects.get(title__startswith='Heron').number}/"
    lot, kept = Lot.objects.filter(on_hand_g__gt=0).first(), ScrapBin.objects.first()
    material, pack = Material.objects.filter(packs__isnull=False, kind="rubber").first(), Pack.objects.first()
    return [
        *((f"{at}{stage}/", "Keep this plan", "") for stage in ("mold", "coats", "shell", "castings")),
        (f"{at}piece/tape/", "Keep these readings", ""),
        (f"{at}piece/change/", "Keep these changes", ""),
        (f"{at}change/", "Keep these changes", ""),
        (f"{at}tasks/", "Keep these minutes", ""),
        (f"{at}days/", "Not before then", ""),
        (f"{at}price/", "Keep these terms", f"{at}price/keep/"),
        (f"{at}price/", "Show the price with these", f"{at}price/try/"),
        (f"{at}quote/", "Freeze and number quote", f"{at}quote/"),
        ("/jobs/add/", "Add the job", ""),
        ("/jobs/clients/add/", "Add the client", ""),
        (f"/stock/deliveries/{material.pk}/", "Put it on the shelf", ""),
        (f"/stock/materials/{material.pk}/change/", "Save", ""),
        (f"/stock/packs/{pack.pk}/", "Save", ""),
        (f"/stock/lots/{lot.pk}/change/", "Save", ""),
        (f"/stock/lots/{lot.pk}/", "Write it down as used", f"/stock/lots/{lot.pk}/use/"),
        (f"/stock/lots/{lot.pk}/", "Correct the balance", f"/stock/lots/{lot.pk}/count/"),
        (f"/stock/expected/{ExpectedDelivery.objects.earliest('pk').pk}/", "Keep this", ""),
        ("/studio/room/", "Keep these days", "/studio/room/days/"),
        (f"/stock/scrap/{kept.pk}/change/", "Save", ""),
        (f"/stock/scrap/{kept.pk}/", "Put it in", f"/stock/scrap/{kept.pk}/fill/"),
        *forms_of_days(),
    ]


def forms_of_days() -> list[tuple[str, str, str]]:
    """Return the forms that say what is different from the days in use, and what is known of the last of its tasks."""
    found = [("/days/news/", "They are away", "")]
    entry = TimetableEntry.objects.filter(timetable=Timetable.objects.in_use()).select_related("job").order_by("starts_at").last()
    if entry is None:
        return found
    task = reverse("jobs:task_fact_show", kwargs={"number": entry.job.number, "task_key": entry.task_key})
    said = (("pin", "Pin it"), ("late", "Keep it waiting"), ("done", "Write it down"))
    return [
        *found,
        ("/days/news/", "It is late", ""),
        ("/days/news/", "It was done then", ""),
        *((f"{task}?say={what}", button, task) for what, button in said),
    ]


def typed_fields(form: PageForm, html: Page) -> dict[str, bool]:
    """Return the fields that a person types into, and whether each reads a number."""
    found = {}
    for element in html.elements:
        name = element.attributes.get("name", "")
        is_text = element.tag == "input" and element.attributes.get("type", "text") in {"text", "hidden"}
        if is_text and name in form.names and name.rsplit("-", 1)[-1] not in NOT_TYPED and not name.endswith("_FORMS"):
            found[name] = "typed" in element.attributes.get("class", "").split()
    return found


class TestHostileValues:
    def test_are_answered_in_words_and_change_nothing(self, demo: dict[Role, Client]) -> None:
        browser = demo[Role.OWNER]
        before, fields, wrong, wheel = state(), 0, [], cycle(NUMBERS)
        for page, button, target in forms():
            html = Page(browser.get(page).content.decode())
            form = html.form(saying=button)
            pressed = next(one for one in form.buttons if " ".join(one.text.split()) == button)
            sent = {**form.values.dict()}
            if pressed.attributes.get("name"):
                sent[pressed.attributes["name"]] = pressed.attributes["value"]
            numbers = {name for name, is_number in typed_fields(form, html).items() if is_number}
            fields += min(len(numbers), MOST_FIELDS)
            for turn, name in enumerate(sorted(numbers)[:MOST_FIELDS]):
                # Together the fields get all of the values many times; only temperatures go below nought.
                for value in [next(wheel) for _ in range(2 if len(numbers) < 15 else 1)]:
                    if value == "-5" and "_temp" in name:
                        continue
                    headers = HTMX if turn % 2 else {}
                    answer: Any = browser.post(target or page, {**sent, name: value}, headers=headers)
                    if answer.status_code not in {400, 413, 422}:
                        wrong.append((target or page, name, value[:20], answer.status_code))
                    elif b"Traceback" in answer.content or (
                        not headers and value[:20].strip("\0").encode() not in answer.content
                    ):
                        wrong.append((target or page, name, value[:20], "what was typed is lost"))
        assert wrong == []
        assert fields > 80
        assert state() == before

    def test_in_words_are_refused_or_kept_whole(self, demo: dict[Role, Client]) -> None:
        browser, wrong, tried = demo[Role.OWNER], [], 0
        movements, quotes = Movement.objects.count(), Quote.objects.count()
        for page, button, target in forms():
            html = Page(browser.get(page).content.decode())
            form = html.form(saying=button)
            pressed = next(one for one in form.buttons if " ".join(one.text.split()) == button)
            sent = {**form.values.dict()}
            if pressed.attributes.get("name"):
                sent[pressed.attributes["name"]] = pressed.attributes["value"]
            numbers = {name for name, is_number in typed_fields(form, html).items() if is_number}
            for name in sorted(form.names - numbers - {"csrfmiddlewaretoken", "baseline", "action"})[:MOST_FIELDS]:
                tried += 1
                # A tick box takes anything for a tick, and a hidden count that makes no sense is left aside.
                answer = browser.post(target or page, {**sent, name: WORDS[tried % 2]})
                if answer.status_code >= 500:
                    wrong.append((target or page, name, answer.status_code))
        assert wrong == []
        assert tried > 100
        assert Quote.objects.count() <= quotes + 4
        assert Movement.objects.count() <= movements + 12

    @pytest.mark.parametrize(
        "query",
        ["page=NaN", "page=-1", "page=1e400", "words=%00", f"words={'x' * 20_000}", "which=%FF%FE", "before=9999999-01-01"],
        ids=range(7),
    )
    def test_in_addresses_are_answered(self, demo: dict[Role, Client], query: str) -> None:
        lot = Lot.objects.first()
        for address in ("/jobs/", "/jobs/clients/", "/quotes/", "/stock/", "/stock/materials/", "/stock/scrap/", "/days/",
                        "/days/news/",
                        f"/stock/lots/{lot.pk}/", f"/stock/materials/{lot.material_id}/", "/jobs/add/", "/sign-in/"):  # fmt: skip
            answer = demo[Role.OWNER].get(f"{address}?{query}")
            assert answer.status_code in {200, 302, 400, 404, 422}, (address, query)
