"""Mixes off the shelf: which lots are proposed and why, and that all parts are taken or none."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
import time_machine

from materials import ledger
from materials.errors import BadMass, KeyUsedForOther, NotEnough, RatioUnknown
from materials.models import Movement
from materials.properties import MixBasis
from materials.services.mixes import issue_mix, propose_mix
from studio.models import StudioProfile
from tests.factories import LotFactory, MaterialFactory

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 11, 26)
D = Decimal


def in_days(days: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=days)


@pytest.fixture
def rubber() -> Any:
    return MaterialFactory(name="Tin 25", properties={"parts_a_by_weight": 100, "parts_b_by_weight": 10})


def lot(material: Any, part: str, holding: Any, *, kit: str = "", ends: int | None = None, **fields: Any) -> Any:
    expires = None if ends is None else in_days(ends)
    return LotFactory(
        material=material, component=part, holding=holding, kit_code=kit, expires_on=expires, received_on=TODAY, **fields
    )


def taken(takes: Any) -> list[tuple[int, Decimal]]:
    return [(take.lot.pk, take.mass_g) for take in takes]


class TestProposeMix:
    def test_splits_a_mix_by_its_ratio(self, rubber: Any) -> None:
        """Exact: 1.1 kg at 100 : 10 is 1000 g of A and 100 g of B."""
        a, b = lot(rubber, "A", 5000), lot(rubber, "B", 500)
        assert taken(propose_mix(material=rubber, mass_g=D(1100), today=TODAY)) == [(a.pk, 1000), (b.pk, 100)]

    def test_takes_what_expires_first_and_says_so(self, rubber: Any) -> None:
        late_a, late_b = lot(rubber, "A", 1000, kit="K2", ends=90), lot(rubber, "B", 100, kit="K2", ends=90)
        soon_a, soon_b = lot(rubber, "A", 1000, kit="K1", ends=30), lot(rubber, "B", 100, kit="K1", ends=30)
        with time_machine.travel("2026-11-26T12:00:00+00:00", tick=False):
            takes = propose_mix(material=rubber, mass_g=D(1650), today=TODAY)
            assert taken(takes) == [(soon_a.pk, 1000), (late_a.pk, 500), (soon_b.pk, 100), (late_b.pk, 50)]
            assert takes[0].why == "expires first of what is free, on Sat 26 Dec"
            assert takes[1].why == "expires first of what is free, on Wed 24 Feb 2027"
            StudioProfile.objects.update(locale="de_DE")
            takes = propose_mix(material=rubber, mass_g=D(1650), today=TODAY)
            assert takes[0].why == "expires first of what is free, on Sa. 26 Dez."

    def test_keeps_the_parts_of_a_kit_together(self, rubber: Any) -> None:
        """The B of the second kit expires before that of the first; the first kit is still used as one."""
        lot(rubber, "A", 1000, kit="K2", ends=60)
        lot(rubber, "B", 100, kit="K2", ends=40)
        a, b = lot(rubber, "A", 1000, kit="K1", ends=30), lot(rubber, "B", 100, kit="K1", ends=80)
        assert taken(propose_mix(material=rubber, mass_g=D(550), today=TODAY)) == [(a.pk, 500), (b.pk, 50)]

    def test_offers_the_stranded_rest_of_a_kit_first(self, rubber: Any) -> None:
        """Published (kit arithmetic): 10 kg A and 1 kg B, B dosed 3 % too high each time, strands 291.262 g of A."""
        old_a, _old_b = lot(rubber, "A", "291.262", kit="K9", ends=300), lot(rubber, "B", 0, kit="K9")
        new_a, new_b = lot(rubber, "A", 1000, kit="K1", ends=30), lot(rubber, "B", 100, kit="K1", ends=30)
        takes = propose_mix(material=rubber, mass_g=D(550), today=TODAY)
        assert taken(takes) == [(old_a.pk, D("291.262")), (new_a.pk, D("208.738")), (new_b.pk, 50)]
        assert takes[0].why.startswith("left over in kit K9: no B of it belongs to this any more")

    def test_takes_what_the_job_was_promised_before_all_else(self, rubber: Any) -> None:
        lot(rubber, "A", 1000, ends=10)
        held, b = lot(rubber, "A", 1000, ends=90), lot(rubber, "B", 500, ends=10)
        ledger.reserve(of=held, mass_g=400, key="hold", by=None, job_number=7)
        takes = propose_mix(material=rubber, mass_g=D(440), today=TODAY, job_number=7)
        assert taken(takes) == [(held.pk, 400), (b.pk, 40)]
        assert takes[0].why == "promised to this job"

    def test_never_proposes_what_is_set_aside_expired_or_promised_to_others(self, rubber: Any) -> None:
        lot(rubber, "A", 1000, quarantined=True)
        lot(rubber, "A", 1000, ends=-1)
        other = lot(rubber, "A", 1000, ends=5)
        ledger.reserve(of=other, mass_g=1000, key="hold", by=None, job_number=8)
        lot(rubber, "B", 500)
        good = lot(rubber, "A", 1000)
        assert propose_mix(material=rubber, mass_g=D(1100), today=TODAY, job_number=7)[0].lot == good
        with pytest.raises(NotEnough, match="part A runs short"):
            propose_mix(material=rubber, mass_g=D(1101), today=TODAY, job_number=7)

    def test_says_how_much_the_shelf_gives(self, rubber: Any) -> None:
        lot(rubber, "A", 1000)
        lot(rubber, "B", 50)
        with pytest.raises(NotEnough, match="1100 g is wanted, and the shelf gives 550 g of it: part B runs short"):
            propose_mix(material=rubber, mass_g=D(1100), today=TODAY)

    def test_lets_kits_that_were_not_weighed_apart_stand_in(self, rubber: Any) -> None:
        lot(rubber, "A", 100)
        lot(rubber, "B", 10)
        kit = lot(rubber, "kit", 2000)
        assert taken(propose_mix(material=rubber, mass_g=D(1110), today=TODAY))[-1] == (kit.pk, 1000)

    def test_needs_no_ratio_for_one_part(self) -> None:
        plaster = MaterialFactory(mix_basis=MixBasis.ONE_PART.value)
        one = lot(plaster, "whole", 500)
        assert taken(propose_mix(material=plaster, mass_g=D(500), today=TODAY)) == [(one.pk, 500)]
        with pytest.raises(NotEnough, match="501 g is wanted and 500 g can be used"):
            propose_mix(material=plaster, mass_g=D(501), today=TODAY)

    def test_refuses_without_a_ratio_and_without_a_mass(self, rubber: Any) -> None:
        unknown = MaterialFactory()
        lot(unknown, "A", 500)
        with pytest.raises(RatioUnknown, match="cannot be weighed out"):
            propose_mix(material=unknown, mass_g=D(5), today=TODAY)
        for mass in ("0", "-1", "NaN", "0.0001"):
            with pytest.raises(BadMass):
                propose_mix(material=rubber, mass_g=D(mass), today=TODAY)

    def test_reminds_of_a_test_cup(self, rubber: Any) -> None:
        old = lot(rubber, "A", 500, opened_on=in_days(-181))
        lot(rubber, "B", 50)
        takes = propose_mix(material=rubber, mass_g=D(110), today=TODAY)
        assert takes[0].lot == old
        assert takes[0].gel_test is not None
        assert takes[1].gel_test is None

    def test_takes_the_last_gram_of_both(self, rubber: Any) -> None:
        lot(rubber, "A", "333.333")
        lot(rubber, "B", "33.334")
        takes = propose_mix(material=rubber, mass_g=D("366.666"), today=TODAY)
        assert sum(mass for _, mass in taken(takes)) == D("366.666")


class TestIssueMix:
    def test_takes_all_parts_once(self, rubber: Any) -> None:
        a, b = lot(rubber, "A", 1000), lot(rubber, "B", 100)
        lines = issue_mix(material=rubber, mass_g=D(550), key="coat-1", by=None, job_number=7, why="coat 1", today=TODAY)
        assert [(line.lot_id, line.mass_g, line.job_number) for line in lines] == [(a.pk, -500, 7), (b.pk, -50, 7)]
        again = issue_mix(material=rubber, mass_g=D("550.000"), key="coat-1", by=None, job_number=7, why="coat 1", today=TODAY)
        assert again == lines
        with pytest.raises(KeyUsedForOther):
            issue_mix(material=rubber, mass_g=D(551), key="coat-1", by=None, job_number=7, why="coat 1", today=TODAY)
        assert ledger.unbalanced() == ledger.unbalanced_books() == []

    def test_takes_nothing_where_a_part_runs_short(self, rubber: Any) -> None:
        lot(rubber, "A", 1000)
        lot(rubber, "B", 10)
        with pytest.raises(NotEnough):
            issue_mix(material=rubber, mass_g=D(550), key="coat-1", by=None, today=TODAY)
        assert not Movement.objects.filter(kind="issue").exists()

    def test_takes_nothing_from_an_empty_shelf(self, rubber: Any) -> None:
        with pytest.raises(NotEnough):
            issue_mix(material=rubber, mass_g=D(550), key="coat-1", by=None, today=TODAY)

    def test_asks_about_as_much_however_many_lots_there_are(self, rubber: Any, django_assert_max_num_queries: Any) -> None:
        for _ in range(10):
            lot(rubber, "A", 1000)
            lot(rubber, "B", 100)
        with django_assert_max_num_queries(34):
            issue_mix(material=rubber, mass_g=D(550), key="coat-1", by=None, job_number=7, today=TODAY)

    @pytest.mark.parametrize("turns", [1, 9])
    def test_chooses_anew_where_a_lot_moved_before_it_was_held(self, rubber: Any, monkeypatch: Any, turns: int) -> None:
        """Another hand promises the first choice between the look and the lock, once or each time."""
        first, b = lot(rubber, "A", 1000, ends=5), lot(rubber, "B", 500)
        second = lot(rubber, "A", 1000, ends=9)
        hold, left = ledger.hold, [turns]

        def too_late(*kept: Any, money: bool = True) -> Any:
            if left[0] and first in kept:
                left[0] -= 1
                ledger.reserve(of=first, mass_g=10, key=f"quick-{left[0]}", by=None, job_number=9)
            return hold(*kept, money=money)

        monkeypatch.setattr(ledger, "hold", too_late)
        lines = issue_mix(material=rubber, mass_g=D(1089), key="coat-1", by=None, job_number=7, today=TODAY)
        promised = 10 * min(turns, 4)
        expected = [(first.pk, -D(1000 - promised)), (second.pk, -D(promised - 10)), (b.pk, -99)]
        assert [(line.lot_id, line.mass_g) for line in lines] == [one for one in expected if one[1]]
        assert ledger.unbalanced() == ledger.unbalanced_books() == []
