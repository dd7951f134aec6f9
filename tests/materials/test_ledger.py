"""The ledger: what it writes, what it refuses, and that the books always balance."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.management import call_command
from django.db import DatabaseError, IntegrityError, transaction
from django.db.models import ProtectedError

from materials import ledger
from materials.errors import AlreadyReversed, BadMass, KeyUsedForOther, NotEnough, NotReserved, NotUsed, ThingGone
from materials.models import Lot, Movement, ScrapBin
from tests.factories import AccountFactory, LotFactory, ScrapBinFactory

pytestmark = pytest.mark.django_db


def grams(of: Lot | ScrapBin) -> tuple[Decimal, Decimal]:
    of.refresh_from_db()
    return of.on_hand_g, of.reserved_g


@pytest.fixture(params=[LotFactory, ScrapBinFactory], ids=["lot", "bin"])
def kept(request: pytest.FixtureRequest) -> Any:
    return request.param(holding=1000)


class TestReceive:
    def test_puts_the_mass_on_hand(self, kept: Any) -> None:
        ledger.receive(of=kept, mass_g="250.5", key="more", by=None)
        assert grams(kept) == (Decimal("1250.5"), 0)

    def test_writes_who_when_why_and_what_it_cost(self) -> None:
        lot, account = LotFactory(unit_cost_per_kg="21.5"), AccountFactory()
        line = ledger.receive(of=lot, mass_g=500, key="first", by=account, why="delivery of Tuesday")
        assert (line.by, line.why, line.unit_cost_per_kg, line.mass_g) == (account, "delivery of Tuesday", Decimal("21.5"), 500)
        assert line.happened_at is not None

    def test_keeps_what_the_container_held_in_the_beginning(self) -> None:
        lot = LotFactory(holding=1000)
        ledger.issue(of=lot, mass_g=400, key="used", by=None)
        lot.refresh_from_db()
        assert lot.received_g == 1000

    @pytest.mark.parametrize("mass", [0, -1, "0.0004", "NaN", "Infinity", "1e12"])
    def test_refuses_a_mass_that_cannot_be_written(self, mass: Any) -> None:
        with pytest.raises(BadMass):
            ledger.receive(of=LotFactory(), mass_g=mass, key="odd", by=None)
        assert not Movement.objects.exists()

    def test_refuses_more_than_a_lot_can_hold(self) -> None:
        lot = LotFactory(holding="999999999")
        with pytest.raises(BadMass, match="check the mass"):
            ledger.receive(of=lot, mass_g="999999999", key="again", by=None)

    def test_rounds_to_a_thousandth_of_a_gram_half_up(self) -> None:
        lot = LotFactory()
        ledger.receive(of=lot, mass_g="0.0005", key="tiny", by=None)
        assert grams(lot)[0] == Decimal("0.001")


class TestIssue:
    def test_takes_the_mass_off(self, kept: Any) -> None:
        ledger.issue(of=kept, mass_g=300, key="used", by=None)
        assert grams(kept) == (700, 0)

    def test_takes_what_the_job_was_promised_first(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=400, key="hold", by=None, job_number=7)
        line = ledger.issue(of=kept, mass_g=600, key="used", by=None, job_number=7)
        assert (line.mass_g, line.reserved_g) == (-600, -400)
        assert grams(kept) == (400, 0)

    def test_never_takes_what_is_promised_to_another_job(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=800, key="hold", by=None, job_number=7)
        with pytest.raises(NotEnough, match="300 g is wanted but 200 g is free here; 800 g more is promised"):
            ledger.issue(of=kept, mass_g=300, key="used", by=None, job_number=8)
        assert grams(kept) == (1000, 800)

    def test_says_how_much_is_free_in_the_units_of_the_page(self, kept: Any) -> None:
        with pytest.raises(NotEnough) as refused:
            ledger.issue(of=kept, mass_g=1500, key="used", by=None)
        assert refused.value.said(lambda mass: f"{mass / 1000:.2f} kg").startswith("1.50 kg is wanted but 1.00 kg is free here.")


class TestReserveAndRelease:
    def test_promise_a_free_mass_and_take_it_back(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=600, key="hold", by=None, job_number=3)
        assert grams(kept) == (1000, 600)
        ledger.release(of=kept, mass_g=250, key="free", by=None, job_number=3)
        assert grams(kept) == (1000, 350)

    def test_never_promise_the_same_gram_twice(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=600, key="hold", by=None, job_number=3)
        with pytest.raises(NotEnough):
            ledger.reserve(of=kept, mass_g="400.001", key="hold2", by=None, job_number=4)

    def test_never_release_what_another_job_holds(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=600, key="hold", by=None, job_number=3)
        with pytest.raises(NotReserved, match="0 g of this is promised to job 4"):
            ledger.release(of=kept, mass_g=100, key="free", by=None, job_number=4)

    def test_survive_binary_fractions(self, kept: Any) -> None:
        """0.1 + 0.2 exceeds 0.3 in binary; the CHECK must not trip over it."""
        lot = LotFactory(holding="0.3")
        ledger.reserve(of=lot, mass_g="0.1", key="a", by=None, job_number=1)
        ledger.reserve(of=lot, mass_g="0.2", key="b", by=None, job_number=1)
        assert grams(lot) == (Decimal("0.3"), Decimal("0.3"))


class TestReturn:
    def test_puts_back_what_was_not_used(self, kept: Any) -> None:
        ledger.issue(of=kept, mass_g=300, key="used", by=None, job_number=5)
        ledger.return_(of=kept, mass_g=120, key="back", by=None, job_number=5)
        assert grams(kept) == (820, 0)

    def test_is_never_more_than_was_used(self, kept: Any) -> None:
        ledger.issue(of=kept, mass_g=300, key="used", by=None, job_number=5)
        ledger.return_(of=kept, mass_g=200, key="back", by=None, job_number=5)
        with pytest.raises(NotUsed, match="100 g was used from here for job 5; 150 g cannot come back"):
            ledger.return_(of=kept, mass_g=150, key="back2", by=None, job_number=5)

    def test_counts_an_undone_use_as_no_use(self, kept: Any) -> None:
        used = ledger.issue(of=kept, mass_g=300, key="used", by=None)
        ledger.reverse(movement=used, key="undo", by=None)
        with pytest.raises(NotUsed):
            ledger.return_(of=kept, mass_g=1, key="back", by=None)

    def test_never_makes_rubber_out_of_nothing_by_leaving_the_job_out(self, kept: Any) -> None:
        used = ledger.issue(of=kept, mass_g=300, key="used", by=None, job_number=5)
        ledger.return_(of=kept, mass_g=300, key="back", by=None)
        with pytest.raises(NotUsed):
            ledger.return_(of=kept, mass_g=300, key="back2", by=None, job_number=5)
        with pytest.raises(NotUsed, match="undo the return first"):
            ledger.reverse(movement=used, key="undo", by=None)
        assert grams(kept) == (1000, 0)


class TestAdjustByCount:
    @pytest.mark.parametrize(("counted", "change"), [("980", "-20"), ("1003.5", "3.5"), ("0", "-1000")])
    def test_sets_the_balance_to_what_was_weighed(self, kept: Any, counted: str, change: str) -> None:
        line = ledger.adjust_by_count(of=kept, counted_g=counted, key="count", by=None)
        assert line is not None
        assert line.mass_g == Decimal(change)
        assert grams(kept)[0] == Decimal(counted)

    def test_writes_nothing_when_the_count_agrees(self, kept: Any) -> None:
        before = Movement.objects.count()
        assert ledger.adjust_by_count(of=kept, counted_g=1000, key="count", by=None) is None
        assert Movement.objects.count() == before

    def test_is_refused_below_what_is_promised(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=600, key="hold", by=None, job_number=3)
        with pytest.raises(NotEnough, match="600 g is promised to jobs, more than the 500 g counted"):
            ledger.adjust_by_count(of=kept, counted_g=500, key="count", by=None)


class TestDiscard:
    def test_throws_a_free_mass_away(self, kept: Any) -> None:
        ledger.discard(of=kept, mass_g=1000, key="gone", by=None, why="skinned over")
        assert grams(kept) == (0, 0)

    def test_never_throws_a_promised_mass_away(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=1, key="hold", by=None, job_number=3)
        with pytest.raises(NotEnough):
            ledger.discard(of=kept, mass_g=1000, key="gone", by=None)


class TestReverse:
    def test_writes_the_opposite_line(self, kept: Any) -> None:
        ledger.reserve(of=kept, mass_g=400, key="hold", by=None, job_number=7)
        used = ledger.issue(of=kept, mass_g=600, key="used", by=None, job_number=7)
        undone = ledger.reverse(movement=used, key="undo", by=None)
        assert (undone.mass_g, undone.reserved_g, undone.reverses) == (600, 400, used)
        assert grams(kept) == (1000, 400)
        assert ledger.reserved_for(of=kept, job_number=7) == 400

    def test_happens_once(self, kept: Any) -> None:
        used = ledger.issue(of=kept, mass_g=600, key="used", by=None)
        ledger.reverse(movement=used, key="undo", by=None)
        with pytest.raises(AlreadyReversed):
            ledger.reverse(movement=used, key="undo2", by=None)

    def test_is_not_itself_undone(self, kept: Any) -> None:
        undone = ledger.reverse(movement=ledger.issue(of=kept, mass_g=1, key="used", by=None), key="undo", by=None)
        with pytest.raises(AlreadyReversed, match="write the movement anew"):
            ledger.reverse(movement=undone, key="undo2", by=None)

    def test_is_refused_when_the_mass_has_gone_on(self) -> None:
        lot = LotFactory()
        delivered = ledger.receive(of=lot, mass_g=1000, key="in", by=None)
        ledger.issue(of=lot, mass_g=1, key="used", by=None)
        with pytest.raises(NotEnough, match="cannot be undone any more: 999 g is here"):
            ledger.reverse(movement=delivered, key="undo", by=None)

    def test_of_a_delivery_empties_what_the_container_held(self) -> None:
        lot = LotFactory()
        ledger.reverse(movement=ledger.receive(of=lot, mass_g=1000, key="in", by=None), key="undo", by=None)
        lot.refresh_from_db()
        assert (lot.received_g, lot.on_hand_g) == (0, 0)

    def test_never_leaves_a_job_with_less_than_nothing(self, kept: Any) -> None:
        held = ledger.reserve(of=kept, mass_g=400, key="hold", by=None, job_number=7)
        ledger.issue(of=kept, mass_g=300, key="used", by=None, job_number=7)
        ledger.reserve(of=kept, mass_g=500, key="other", by=None, job_number=8)
        with pytest.raises(NotReserved):
            ledger.reverse(movement=held, key="undo", by=None)


class TestIdempotencyKey:
    def test_writes_the_same_payload_once(self, kept: Any) -> None:
        first = ledger.issue(of=kept, mass_g=100, key="tap", by=None, job_number=2, why="coat 1")
        again = ledger.issue(of=kept, mass_g="100.000", key="tap", by=None, job_number=2, why="coat 1")
        assert first == again
        assert grams(kept)[0] == 900

    @pytest.mark.parametrize("change", [{"mass_g": 101}, {"job_number": 3}, {"why": "coat 2"}], ids=["mass", "job", "reason"])
    def test_refuses_another_payload(self, kept: Any, change: dict[str, Any]) -> None:
        ledger.issue(of=kept, mass_g=100, key="tap", by=None, job_number=2, why="coat 1")
        with pytest.raises(KeyUsedForOther):
            ledger.issue(**{"of": kept, "mass_g": 100, "key": "tap", "by": None, "job_number": 2, "why": "coat 1", **change})
        assert grams(kept)[0] == 900

    def test_refuses_another_lot_and_another_movement(self) -> None:
        one, other = LotFactory(holding=1000), LotFactory(holding=1000)
        ledger.issue(of=one, mass_g=100, key="tap", by=None)
        with pytest.raises(KeyUsedForOther):
            ledger.issue(of=other, mass_g=100, key="tap", by=None)
        with pytest.raises(KeyUsedForOther):
            ledger.discard(of=one, mass_g=100, key="tap", by=None)

    def test_still_answers_when_the_first_has_emptied_the_lot(self) -> None:
        lot = LotFactory(holding=100)
        first = ledger.issue(of=lot, mass_g=100, key="tap", by=None)
        assert ledger.issue(of=lot, mass_g=100, key="tap", by=None) == first

    @pytest.mark.parametrize("key", ["", "x" * 65])
    def test_must_be_given(self, kept: Any, key: str) -> None:
        with pytest.raises(KeyUsedForOther):
            ledger.issue(of=kept, mass_g=1, key=key, by=None)


class TestAppendOnly:
    @pytest.fixture
    def line(self) -> Movement:
        line: Movement = Movement.objects.filter(lot=LotFactory(holding=100)).get()
        return line

    def test_refuses_a_changed_line_in_the_database(self, line: Movement) -> None:
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            Movement.objects.filter(pk=line.pk).update(mass_g=1)

    def test_refuses_a_deleted_line_in_the_database(self, line: Movement) -> None:
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            Movement.objects.filter(pk=line.pk)._raw_delete(using="default")

    def test_keeps_a_lot_that_has_lines(self, line: Movement) -> None:
        assert line.lot is not None
        with pytest.raises(ProtectedError):
            line.lot.delete()

    def test_says_so_when_the_lot_is_gone(self) -> None:
        lot = LotFactory()
        Lot.objects.filter(pk=lot.pk).delete()
        with pytest.raises(ThingGone):
            ledger.receive(of=lot, mass_g=1, key="late", by=None)


class TestFlush:
    @pytest.mark.django_db(transaction=True)
    def test_empties_the_ledger_and_guards_it_again(self) -> None:
        LotFactory(holding=100)
        call_command("flush", interactive=False, verbosity=0)
        assert not Movement.objects.exists()
        LotFactory(holding=100)
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            Movement.objects.update(mass_g=1)
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            Movement.objects.all()._raw_delete(using="default")


class TestBalanceChecks:
    @pytest.mark.parametrize(
        "broken", [{"on_hand_g": -1}, {"reserved_g": 101}, {"reserved_g": -1}], ids=["negative", "oversold", "negative promise"]
    )
    def test_stand_in_the_database_itself(self, broken: dict[str, int]) -> None:
        lot = LotFactory(holding=100)
        with pytest.raises(IntegrityError), transaction.atomic():
            Lot.objects.filter(pk=lot.pk).update(**broken)

    def test_find_a_balance_that_the_lines_do_not_add_up_to(self, kept: Any) -> None:
        assert ledger.unbalanced() == []
        type(kept).objects.filter(pk=kept.pk).update(on_hand_g=999)
        assert ledger.unbalanced() == [kept]
        assert ledger.balances_from_movements(of=kept) == (1000, 0)
