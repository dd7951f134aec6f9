"""What lines are worth, and what the books of stock come to: cutting, moving, several lots at once, methods."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, transaction

from materials import ledger
from materials.errors import AlreadyReversed, BadMass, BadValue, Busy, KeyUsedForOther, NotEnough, OtherRubber
from materials.ledger import patience
from materials.models import CostLayer, CostMethodChosen, Lot, Material, Movement, ScrapBin, StockBook
from materials.properties import Chemistry
from tests.factories import LotFactory, MaterialFactory, ScrapBinFactory

pytestmark = pytest.mark.django_db
D = Decimal


def lot_at(material: Any, cost: str, holding: int) -> Any:
    return LotFactory(material=material, unit_cost_per_kg=D(cost), holding=holding)


def book_of(kept: Lot | ScrapBin) -> StockBook:
    return StockBook.objects.get(scrap_bin=kept) if isinstance(kept, ScrapBin) else StockBook.objects.get(material=kept.material)


class TestMovingAverage:
    def test_costs_a_use_at_the_mean_of_all_lots(self) -> None:
        rubber = MaterialFactory()
        lot_at(rubber, "20", 1000)
        dear = lot_at(rubber, "30", 1000)
        line = ledger.issue(of=dear, mass_g=500, key="used", by=None)
        assert (line.unit_cost_per_kg, line.value) == (25, D("-12.5"))
        assert (line.left_g, line.book_g, line.book_value, line.book_used_g) == (500, 1500, D("37.5"), 500)
        assert book_of(dear).value == D("37.5")

    def test_keeps_part_a_and_part_b_apart(self) -> None:
        rubber = MaterialFactory()
        base = LotFactory(material=rubber, component="A", unit_cost_per_kg=20, holding=1000)
        LotFactory(material=rubber, component="B", unit_cost_per_kg=90, holding=100)
        assert ledger.issue(of=base, mass_g=100, key="used", by=None).unit_cost_per_kg == 20

    def test_takes_a_return_back_at_what_it_went_out_at(self) -> None:
        rubber = MaterialFactory()
        lot = lot_at(rubber, "20", 1000)
        ledger.issue(of=lot, mass_g=500, key="used", by=None, job_number=3)
        lot_at(rubber, "40", 500)
        line = ledger.return_(of=lot, mass_g=500, key="back", by=None, job_number=3)
        assert (line.value, line.unit_cost_per_kg) == (10, 20)
        assert (line.book_used_g, line.book_used_value) == (0, 0)

    def test_writes_found_and_missing_grams_at_the_mean(self) -> None:
        lot = lot_at(MaterialFactory(), "20", 1000)
        more = ledger.adjust_by_count(of=lot, counted_g=1100, key="c1", by=None)
        less = ledger.adjust_by_count(of=lot, counted_g=0, key="c2", by=None)
        assert more is not None
        assert less is not None
        assert (more.value, less.value) == (2, -22)
        assert book_of(lot).value == 0

    def test_undoes_the_value_that_a_line_moved(self) -> None:
        rubber = MaterialFactory()
        lot = lot_at(rubber, "20", 1000)
        used = ledger.issue(of=lot, mass_g=500, key="used", by=None)
        lot_at(rubber, "50", 1000)
        assert ledger.reverse(movement=used, key="undo", by=None).value == 10
        assert book_of(lot).value == 70
        assert book_of(lot).used_g == 0

    def test_holds_a_promise_out_of_the_books(self) -> None:
        lot = lot_at(MaterialFactory(), "20", 1000)
        line = ledger.reserve(of=lot, mass_g=500, key="hold", by=None, job_number=3)
        assert (line.book, line.value, line.left_g, line.material_id) == (None, 0, 1000, lot.material_id)


class TestFirstInFirstOut:
    def test_costs_a_use_at_the_oldest_layers(self) -> None:
        rubber = MaterialFactory(cost_method="fifo")
        lot_at(rubber, "20", 1000)
        dear = lot_at(rubber, "30", 1000)
        line = ledger.issue(of=dear, mass_g=500, key="a", by=None)
        across = ledger.issue(of=dear, mass_g=500, key="b", by=None)
        assert (line.unit_cost_per_kg, across.value) == (20, -10)
        assert ledger.issue(of=Lot.objects.exclude(pk=dear.pk).get(), mass_g=600, key="c", by=None).value == -18
        assert ledger.unbalanced_books() == []

    def test_reads_on_where_many_layers_go_out_at_once(self) -> None:
        rubber = MaterialFactory(cost_method="fifo")
        lot = LotFactory(material=rubber, unit_cost_per_kg=10)
        for number in range(40):
            ledger.receive(of=lot, mass_g=10, key=f"in-{number}", by=None)
        assert ledger.issue(of=lot, mass_g=395, key="used", by=None).value == D("-3.95")
        assert CostLayer.objects.get().mass_g == 5
        assert ledger.unbalanced_books() == []

    def test_puts_a_return_in_front(self) -> None:
        rubber = MaterialFactory(cost_method="fifo")
        lot = lot_at(rubber, "20", 1000)
        lot_at(rubber, "30", 1000)
        ledger.issue(of=lot, mass_g=1000, key="a", by=None)
        ledger.return_(of=lot, mass_g=400, key="b", by=None)
        assert ledger.issue(of=lot, mass_g=400, key="c", by=None).unit_cost_per_kg == 20
        assert ledger.unbalanced_books() == []

    def test_takes_the_own_layer_of_an_undone_delivery(self) -> None:
        rubber = MaterialFactory(cost_method="fifo")
        lot_at(rubber, "20", 1000)
        wrong = lot_at(rubber, "99", 1000)
        ledger.reverse(movement=Movement.objects.get(lot=wrong), key="undo", by=None)
        assert book_of(wrong).value == 20
        assert ledger.unbalanced_books() == []


class TestChooseCostMethod:
    def test_carries_the_stock_over_at_its_worth(self) -> None:
        rubber = MaterialFactory()
        lot_at(rubber, "20", 1000)
        lot = lot_at(rubber, "30", 1000)
        assert ledger.choose_cost_method(material=rubber, method=Material.CostMethod.FIFO, by=None)
        assert not ledger.choose_cost_method(material=rubber, method=Material.CostMethod.FIFO, by=None)
        assert ledger.issue(of=lot, mass_g=100, key="a", by=None).unit_cost_per_kg == 25
        assert ledger.unbalanced_books() == []
        ledger.choose_cost_method(material=rubber, method=Material.CostMethod.AVERAGE, by=None)
        assert not CostLayer.objects.exists()
        assert [one.method for one in CostMethodChosen.objects.all()] == ["average", "fifo"]
        assert ledger.unbalanced_books() == []


class TestCut:
    def test_comes_into_a_bin_with_its_own_value(self) -> None:
        scrap = ScrapBinFactory()
        line = ledger.cut(of=scrap, mass_g=2000, value=D("31.5"), key="cut", by=None, why="mold of the finial", job_number=7)
        assert (line.kind, line.value, line.unit_cost_per_kg, line.job_number) == ("cut", D("31.5"), D("15.75"), 7)
        assert ledger.issue(of=scrap, mass_g=1000, key="used", by=None).value == D("-15.75")

    @pytest.mark.parametrize("value", ["-1", "NaN", "1e12"])
    def test_refuses_a_value_that_cannot_be_written(self, value: str) -> None:
        with pytest.raises(BadValue):
            ledger.cut(of=ScrapBinFactory(), mass_g=1, value=D(value), key="cut", by=None)

    def test_is_another_entry_with_another_value(self) -> None:
        scrap = ScrapBinFactory()
        ledger.cut(of=scrap, mass_g=1, value=D(1), key="cut", by=None)
        with pytest.raises(KeyUsedForOther):
            ledger.cut(of=scrap, mass_g=1, value=D(2), key="cut", by=None)


class TestMove:
    @pytest.fixture
    def bins(self) -> tuple[Any, Any]:
        source, target = ScrapBinFactory(), ScrapBinFactory()
        ledger.cut(of=source, mass_g=1000, value=D(10), key="cut", by=None)
        return source, target

    def test_takes_the_value_along(self, bins: tuple[Any, Any]) -> None:
        source, target = bins
        lines = ledger.move(source=source, target=target, mass_g=400, key="sort", by=None)
        assert [(line.mass_g, line.value) for line in lines] == [(-400, -4), (400, 4)]
        assert (source.on_hand_g, target.on_hand_g) == (600, 400)
        assert ledger.move(source=source, target=target, mass_g=400, key="sort", by=None) == lines
        assert book_of(target).value == 4

    def test_is_undone_whole_from_either_line(self, bins: tuple[Any, Any]) -> None:
        source, target = bins
        _, came = ledger.move(source=source, target=target, mass_g=400, key="sort", by=None)
        came.refresh_from_db()
        assert ledger.reverse(movement=came, key="undo", by=None).reverses == came
        assert (book_of(source).value, book_of(target).value) == (10, 0)
        assert (book_of(source).on_hand_g, book_of(target).on_hand_g) == (1000, 0)
        with pytest.raises(AlreadyReversed):
            ledger.reverse(movement=Movement.objects.get(idempotency_key="sort.from"), key="undo2", by=None)
        assert ledger.unbalanced() == ledger.unbalanced_books() == []

    def test_never_puts_two_chemistries_together(self, bins: tuple[Any, Any]) -> None:
        tin = ScrapBinFactory(chemistry=Chemistry.TIN_SILICONE.value)
        with pytest.raises(OtherRubber, match="would be waste"):
            ledger.move(source=bins[0], target=tin, mass_g=1, key="sort", by=None)

    def test_needs_two_bins_and_a_free_mass(self, bins: tuple[Any, Any]) -> None:
        with pytest.raises(BadMass, match="same bin"):
            ledger.move(source=bins[0], target=bins[0], mass_g=1, key="sort", by=None)
        with pytest.raises(NotEnough):
            ledger.move(source=bins[0], target=bins[1], mass_g=1001, key="sort", by=None)
        assert Movement.objects.filter(kind="move").count() == 0


class TestIssueTogether:
    def test_takes_all_or_none(self) -> None:
        one, other = LotFactory(holding=100), LotFactory(holding=10)
        takes = [ledger.Take(of=one, mass_g=D(50)), ledger.Take(of=other, mass_g=D(50))]
        with pytest.raises(NotEnough):
            ledger.issue_together(takes=takes, key="mix", by=None)
        assert Movement.objects.filter(kind="issue").count() == 0
        takes[1] = ledger.Take(of=other, mass_g=D(10))
        lines = ledger.issue_together(takes=takes, key="mix2", by=None)
        assert [line.idempotency_key for line in lines] == ["mix2.1", "mix2.2"]
        assert ledger.issue_together(takes=takes, key="mix2", by=None) == lines

    def test_refuses_the_key_with_other_takes(self) -> None:
        one, other = LotFactory(holding=100), LotFactory(holding=100)
        ledger.issue_together(takes=[ledger.Take(of=one, mass_g=D(5))], key="mix", by=None)
        both = [ledger.Take(of=one, mass_g=D(5)), ledger.Take(of=other, mass_g=D(5))]
        with pytest.raises(KeyUsedForOther):
            ledger.issue_together(takes=both, key="mix", by=None)

    def test_wants_each_lot_once_and_something_at_all(self) -> None:
        take = ledger.Take(of=LotFactory(holding=100), mass_g=D(5))
        with pytest.raises(BadMass, match="twice"):
            ledger.issue_together(takes=[take, take], key="mix", by=None)
        with pytest.raises(BadMass):
            ledger.issue_together(takes=[], key="mix", by=None)


class TestBooks:
    def test_are_never_worth_something_with_nothing_in_them(self) -> None:
        lot = lot_at(MaterialFactory(), "20", 1000)
        with pytest.raises(IntegrityError), transaction.atomic():
            StockBook.objects.filter(material=lot.material).update(on_hand_g=0)

    def test_are_found_when_they_do_not_add_up(self) -> None:
        lot = lot_at(MaterialFactory(), "20", 1000)
        StockBook.objects.filter(material=lot.material).update(value=19)
        assert ledger.unbalanced_books() == [book_of(lot)]

    def test_refuse_more_worth_than_can_be_written(self) -> None:
        lot = LotFactory(unit_cost_per_kg=99999999)
        with pytest.raises(BadMass, match="worth more"):
            ledger.receive(of=lot, mass_g=999999999, key="in", by=None)
        assert not Movement.objects.exists()


class TestPatiently:
    @pytest.fixture
    def outermost(self, monkeypatch: pytest.MonkeyPatch) -> None:
        class Connection:
            in_atomic_block = False

        monkeypatch.setattr(patience, "connection", Connection)
        monkeypatch.setattr(patience.time, "sleep", lambda _seconds: None)

    @pytest.mark.usefixtures("outermost")
    def test_tries_again_where_the_database_is_busy(self) -> None:
        turns = []

        def act() -> int:
            turns.append(1)
            if len(turns) < 3:
                raise OperationalError("database is locked")
            return len(turns)

        assert ledger.patiently(act) == 3

    @pytest.mark.usefixtures("outermost")
    def test_says_in_a_sentence_that_nothing_was_written(self) -> None:
        def act() -> None:
            raise OperationalError("database is locked")

        with pytest.raises(Busy, match="Send it once more"):
            ledger.patiently(act)

    def test_leaves_other_faults_and_larger_transactions_alone(self) -> None:
        def act() -> None:
            raise OperationalError("database is locked")

        with pytest.raises(OperationalError):
            ledger.patiently(act)
