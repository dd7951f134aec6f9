"""A material's curves, own timings and taking them over, through their pages."""

import datetime
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

from materials.models import Material, MaterialTrial, OwnValuesTaken
from materials.properties import MaterialKind
from studio.access import Role
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory, PersonFactory
from tests.materials.pages import address, key_in, questions, text_of

pytestmark = pytest.mark.django_db
VALUES = {
    "pot_life_min": 41.0, "gel_min": 120.0, "demold_min": 960.0, "reference_temp_c": 23.0, "lowest_cure_temp_c": 15.0,
    "held_thickness_mm": 3.0, "density_kg_m3": 1100.0,
}  # fmt: skip
# Calculated: 30 min at 23 degC with 55 kJ/mol; a cup of a few per cent more or less beside it.
CUPS = ((18, 44.6), (23, 30.2), (23, 29.4), (30, 18.0), (15, 55.1))


@pytest.fixture
def rubber() -> Material:
    return MaterialFactory(name="Grey twenty", properties=VALUES)


def add_cups(material: Material, cups: tuple[tuple[float, float], ...] = CUPS, kind: str = "pot_life") -> None:
    for celsius, minutes in cups:
        MaterialTrial.objects.create(
            material=material, kind=kind, temperature_c=celsius, value=minutes, entry_key=f"{material.pk}{kind}{celsius}{minutes}"
        )


def typed(client: Client, material: Material, prefix: str = "timing", **changed: str) -> dict[str, str]:
    """Return a timing as typed, on the form's own key."""
    facts = {"kind": "pot_life", "minutes": "45 min", "temperature_c": "21", "timed_on": "2026-05-12"}
    if prefix == "held":
        facts = {"thickness_mm": "4", "slope_deg": "90", "temperature_c": "21", "timed_on": "2026-05-12"}
    key = key_in(client, address("behaviour_show", material.pk), prefix=prefix)
    return {f"{prefix}-{name}": value for name, value in {"key": key, **facts, **changed}.items()}


def values(material: Material) -> dict[str, tuple[Any, ...]]:
    return {row.key: (row.value, row.low, row.high, row.source_kind, row.source_text) for row in material.properties.all()}


class TestBehaviourShow:
    def test_draws_no_time_below_the_lowest_curing_temperature(self, owner_client: Client, rubber: Material) -> None:
        page = text_of(owner_client.get(address("behaviour_show", rubber.pk)).content)
        assert "may never cure" in page
        assert "<title" in page
        assert re.search(r"15 °C it may never cure, so no time is drawn", page)
        # The table begins at 15: no line is colder.
        first = re.search(r"<tbody>\s*<tr><th scope=\"row\">.*?>(\d+)<", page, re.DOTALL)
        assert first is not None
        assert first[1] == "15"

    def test_says_what_will_stand_there(self, owner_client: Client, rubber: Material) -> None:
        page = owner_client.get(address("behaviour_show", rubber.pk)).content.decode()
        assert "No timings of your own yet." in page
        assert "Use the studio’s own" not in page

    def test_says_in_words_what_the_timings_come_to(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber)
        page = text_of(owner_client.get(address("behaviour_show", rubber.pk)).content)
        assert "Your 5 timings say 30" in page
        assert "at 23 °C; the value in use is 41 min (data sheet)." in page
        # Calculated: 55 kJ/mol are 2.07 from 23 to 33 degC.
        found = re.search(r"Speed-up per 10 °C: ([\d.]+) \(([\d.]+) to ([\d.]+)\)", page)
        assert found is not None
        value, low, high = map(float, found.groups())
        assert low < value < high
        assert value == pytest.approx(2.07, rel=0.05)

    def test_says_what_a_material_without_values_lacks(self, owner_client: Client) -> None:
        bare = MaterialFactory()
        add_cups(bare)
        page = text_of(owner_client.get(address("behaviour_show", bare.pk)).content)
        assert "has no pot life" in page
        assert "no reference temperature" in page

    def test_speaks_fahrenheit_and_inches_to_a_studio_that_does(self, owner_client: Client, rubber: Material) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        page = text_of(owner_client.get(address("behaviour_show", rubber.pk)).content)
        assert "temperature, °F" in page
        assert "59 °F it may never cure" in page
        assert "mm<" not in page

    def test_is_not_for_materials_that_do_not_cure(self, owner_client: Client) -> None:
        mat = MaterialFactory(kind=MaterialKind.REINFORCEMENT.value)
        assert owner_client.get(address("behaviour_show", mat.pk)).status_code == 404
        assert address("behaviour_show", mat.pk) not in owner_client.get(address("material_show", mat.pk)).content.decode()

    def test_is_linked_from_the_material(self, owner_client: Client, rubber: Material) -> None:
        assert address("behaviour_show", rubber.pk) in owner_client.get(address("material_show", rubber.pk)).content.decode()

    def test_asks_as_often_with_many_timings_as_with_few(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber)
        few = questions(owner_client, address("behaviour_show", rubber.pk))
        for place in range(12):
            lot, person = LotFactory(material=rubber), PersonFactory()
            MaterialTrial.objects.create(
                material=rubber, kind="gel", temperature_c=20 + place / 2, value=90, lot=lot, person=person, entry_key=f"g{place}"
            )
        assert questions(owner_client, address("behaviour_show", rubber.pk)) == few

    def test_shows_forms_and_buttons_to_those_who_may_use_them(
        self, signed_in: Callable[[Role], Client], rubber: Material
    ) -> None:
        add_cups(rubber)
        office = signed_in(Role.OFFICE).get(address("behaviour_show", rubber.pk)).content.decode()
        maker = signed_in(Role.MAKER).get(address("behaviour_show", rubber.pk)).content.decode()
        assert "Add a timing" not in office
        assert ">Remove<" not in office
        assert "Add a timing" in maker
        assert ">Remove<" in maker
        assert "Use the studio’s own" not in office + maker


class TestTrialAdd:
    @pytest.mark.parametrize(("said", "minutes"), [("45 min", 45), ("1 h 20", 80), ("1:20", 80), ("0,75 h", 45)])
    def test_reads_what_people_type(self, owner_client: Client, rubber: Material, said: str, minutes: float) -> None:
        lot, person = LotFactory(material=rubber), PersonFactory()
        posted = typed(owner_client, rubber, minutes=said, lot=str(lot.pk), person=str(person.pk), note="leftover cup")
        assert owner_client.post(address("trial_add", rubber.pk), posted).status_code == 302
        trial = MaterialTrial.objects.get()
        assert (trial.kind, trial.value, trial.temperature_c, trial.timed_on) == (
            "pot_life", minutes, 21, datetime.date(2026, 5, 12),
        )  # fmt: skip
        assert (trial.lot, trial.person, trial.note, trial.by.role) == (lot, person, "leftover cup", Role.OWNER)

    def test_reads_the_studios_own_degrees(self, owner_client: Client, rubber: Material) -> None:
        StudioProfile.objects.current()
        StudioProfile.objects.update(units="us")
        owner_client.post(address("trial_add", rubber.pk), typed(owner_client, rubber, temperature_c="68"))
        # NIST SP 811: 68 degF is 20 degC.
        assert MaterialTrial.objects.get().temperature_c == 20

    def test_sent_twice_is_written_once(self, owner_client: Client, rubber: Material) -> None:
        posted = typed(owner_client, rubber)
        for _ in range(2):
            assert owner_client.post(address("trial_add", rubber.pk), posted).status_code == 302
        assert MaterialTrial.objects.count() == 1

    @pytest.mark.parametrize(
        ("wrong", "says"),
        [
            ({"minutes": ""}, "Type a number here"),
            ({"minutes": "soon"}, "cannot be read"),
            ({"minutes": "30 h"}, "A pot life lies between"),
            ({"minutes": "40 kg"}, "measures mass"),
            ({"temperature_c": "80"}, "must lie between"),
            ({"temperature_c": "4"}, "must lie between"),
            ({"timed_on": "2999-01-01"}, "has not come yet"),
            ({"timed_on": "12 May"}, "year-month-day"),
            ({"kind": "held"}, "Select a valid choice"),
            ({"kind": "x\x00"}, ""),
            ({"lot": "999999"}, "Select a valid choice"),
            ({"key": ""}, "load it again"),
        ],
    )
    def test_keeps_what_was_typed_and_says_what_is_wrong(
        self, owner_client: Client, rubber: Material, wrong: dict[str, str], says: str
    ) -> None:
        answer = owner_client.post(address("trial_add", rubber.pk), typed(owner_client, rubber, note="slate cup", **wrong))
        assert answer.status_code == 422
        assert says in text_of(answer.content)
        assert "slate cup" in answer.content.decode()
        assert not MaterialTrial.objects.exists()

    def test_takes_no_lot_of_another_material(self, owner_client: Client, rubber: Material) -> None:
        other = LotFactory()
        answer = owner_client.post(address("trial_add", rubber.pk), typed(owner_client, rubber, lot=str(other.pk)))
        assert answer.status_code == 422

    def test_is_for_those_who_may_change_stock(self, signed_in: Callable[[Role], Client], rubber: Material) -> None:
        assert signed_in(Role.OFFICE).post(address("trial_add", rubber.pk)).status_code == 403
        assert signed_in(Role.MAKER).post(address("trial_add", rubber.pk)).status_code == 422


class TestTrialAddHeld:
    def test_keeps_a_card_with_its_slope(self, owner_client: Client, rubber: Material) -> None:
        posted = typed(owner_client, rubber, "held", thickness_mm="0,6 cm", slope_deg="30°")
        assert owner_client.post(address("trial_add_held", rubber.pk), posted).status_code == 302
        trial = MaterialTrial.objects.get()
        assert (trial.kind, trial.value, trial.slope_deg) == ("held", 6, 30)
        # Exact: 6 mm at 30 deg is 3 mm upright.
        page = text_of(owner_client.get(address("behaviour_show", rubber.pk)).content)
        assert "Your one card says 3 mm on an upright wall" in page

    @pytest.mark.parametrize("wrong", [{"slope_deg": "5"}, {"slope_deg": "91"}, {"thickness_mm": "0"}, {"thickness_mm": "7 cm"}])
    def test_refuses_what_no_card_shows(self, owner_client: Client, rubber: Material, wrong: dict[str, str]) -> None:
        answer = owner_client.post(address("trial_add_held", rubber.pk), typed(owner_client, rubber, "held", **wrong))
        assert answer.status_code == 422
        assert "must lie between" in text_of(answer.content)

    def test_is_for_rubbers_alone(self, owner_client: Client) -> None:
        resin = MaterialFactory(kind=MaterialKind.RESIN.value)
        assert owner_client.post(address("trial_add_held", resin.pk)).status_code == 404


class TestTrialRemove:
    def test_takes_it_out_of_the_counting_and_brings_it_back(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber, ((23, 30),))
        trial = MaterialTrial.objects.get()
        owner_client.post(address("trial_remove", trial.pk))
        page = owner_client.get(address("behaviour_show", rubber.pk)).content.decode()
        assert "No timings of your own yet." in page
        assert "Bring back" in page
        answer = owner_client.post(address("trial_remove", trial.pk), follow=True)
        assert "removed already" in answer.content.decode()
        owner_client.post(address("trial_return", trial.pk))
        assert "Your one timing says" in text_of(owner_client.get(address("behaviour_show", rubber.pk)).content)
        answer = owner_client.post(address("trial_return", trial.pk), follow=True)
        assert "counts already" in answer.content.decode()


class TestBehaviourTake:
    def test_puts_the_studios_own_in_place_and_back(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber)
        before = values(rubber)
        owner_client.post(address("behaviour_take", rubber.pk), {"kind": "pot_life"})
        after = values(rubber)
        # Calculated: the cups were made from 30 min at 23 degC and 55 kJ/mol.
        assert after["pot_life_min"][0] == pytest.approx(30, rel=0.02)
        assert after["activation_energy_kj_mol"][0] == pytest.approx(55, rel=0.1)
        assert after["pot_life_min"][3] == "the studio's own"
        assert after["pot_life_min"][4].startswith("the middle of 5 own timings by ")
        assert after["gel_min"] == before["gel_min"]
        owner_client.post(address("behaviour_undo", rubber.pk))
        assert values(rubber) == before
        answer = owner_client.post(address("behaviour_undo", rubber.pk), follow=True)
        assert "Nothing was taken over" in answer.content.decode()

    def test_undoes_the_last_first(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber, ((23, 30),))
        add_cups(rubber, ((23, 100),), kind="gel")
        for kind in ("pot_life", "gel"):
            owner_client.post(address("behaviour_take", rubber.pk), {"kind": kind})
        owner_client.post(address("behaviour_undo", rubber.pk))
        assert (values(rubber)["pot_life_min"][0], values(rubber)["gel_min"][0]) == (30, 120)
        owner_client.post(address("behaviour_undo", rubber.pk))
        assert values(rubber)["pot_life_min"][0] == 41

    def test_is_not_undone_over_a_later_change(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber, ((23, 30),))
        owner_client.post(address("behaviour_take", rubber.pk), {"kind": "pot_life"})
        rubber.properties.filter(key="pot_life_min").update(value=33, low=None, high=None)
        answer = owner_client.post(address("behaviour_undo", rubber.pk), follow=True)
        assert "changed after they were taken over" in answer.content.decode()
        assert values(rubber)["pot_life_min"][0] == 33

    def test_twice_says_that_it_is_in_use(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber)
        owner_client.post(address("behaviour_take", rubber.pk), {"kind": "pot_life"})
        answer = owner_client.post(address("behaviour_take", rubber.pk), {"kind": "pot_life"}, follow=True)
        assert "in use already" in answer.content.decode()
        assert OwnValuesTaken.objects.count() == 1

    @pytest.mark.parametrize("kind", ["", "price", "gel"])
    def test_without_timings_changes_nothing(self, owner_client: Client, rubber: Material, kind: str) -> None:
        before = values(rubber)
        answer = owner_client.post(address("behaviour_take", rubber.pk), {"kind": kind}, follow=True)
        assert 'data-tone="stop"' in answer.content.decode()
        assert values(rubber) == before

    def test_refuses_a_held_thickness_that_is_not_believable(self, owner_client: Client, rubber: Material) -> None:
        MaterialTrial.objects.create(
            material=rubber, kind="held", temperature_c=21, value=0.2, slope_deg=10, entry_key="a thin film"
        )  # fmt: skip
        answer = owner_client.post(address("behaviour_take", rubber.pk), {"kind": "held"}, follow=True)
        assert "outside what is believable" in answer.content.decode()
        assert values(rubber)["held_thickness_mm"][0] == 3

    def test_is_for_those_who_may_change_materials(self, signed_in: Callable[[Role], Client], rubber: Material) -> None:
        for role in (Role.MAKER, Role.OFFICE):
            client = signed_in(role)
            assert client.post(address("behaviour_take", rubber.pk), {"kind": "pot_life"}).status_code == 403
            assert client.post(address("behaviour_undo", rubber.pk)).status_code == 403


class TestBehaviourList:
    def test_tells_how_many_timings_and_how_far_they_are(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber, ((23, 30.75),))
        untimed = MaterialFactory(name="Blue thirty")
        page = text_of(owner_client.get(address("behaviour_list")).content)
        # Calculated: 30.75 of 41 is a quarter less.
        assert re.search(r'−25</span> <span class="unit">%', page)
        assert page.index("Grey twenty") < page.index("Without timings") < page.index(untimed.name)

    def test_says_what_will_stand_there(self, owner_client: Client) -> None:
        assert "No materials that cure yet." in owner_client.get(address("behaviour_list")).content.decode()
        MaterialFactory()
        assert "No timings of your own yet." in owner_client.get(address("behaviour_list")).content.decode()

    def test_asks_as_often_for_many_as_for_few(self, owner_client: Client, rubber: Material) -> None:
        add_cups(rubber)
        few = questions(owner_client, address("behaviour_list"))
        for _ in range(5):
            add_cups(MaterialFactory(properties=VALUES))
        assert questions(owner_client, address("behaviour_list")) == few


class TestConstraints:
    @pytest.mark.parametrize(
        "wrong",
        [
            {"value": 0}, {"temperature_c": 4.9}, {"temperature_c": 60.1}, {"kind": "colour"}, {"slope_deg": 90.0},
            {"kind": "held"}, {"kind": "held", "slope_deg": 9.0},
        ],
    )  # fmt: skip
    def test_keep_nonsense_out(self, rubber: Material, wrong: dict[str, Any]) -> None:
        facts = {"kind": "gel", "temperature_c": 21, "value": 60, "timed_on": timezone.localdate(), "entry_key": "one of them"}
        with pytest.raises(IntegrityError), transaction.atomic():
            MaterialTrial.objects.create(material=rubber, **{**facts, **wrong})
