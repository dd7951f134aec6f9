"""Stocktakes: what is weighed, what moved since, and posting all differences or none."""

from decimal import Decimal

import pytest

from materials import ledger
from materials.counting import posting
from materials.counting.lines import in_order, next_line, progress, threshold, wants_reason
from materials.counting.weighing import add_found, forget_weight, start_stocktake, weigh
from materials.errors import CountClosed, CountedMeanwhile, NotEnough, NotExplained
from materials.ledger import unbalanced
from materials.models import Lot, Movement, ScrapBin, Stocktake, StocktakeLine
from tests.factories import LotFactory, ScrapBinFactory

pytestmark = pytest.mark.django_db


def start(**fields):
    return start_stocktake(**{"name": "March", "place": "", "blind": True, "by": None, **fields})


def count(stocktake: Stocktake, kept: Lot | ScrapBin, grams: str, why: str = "", seen=None) -> StocktakeLine:
    which = {"lot": kept} if isinstance(kept, Lot) else {"scrap_bin": kept}
    return weigh(line=stocktake.lines.get(**which), counted_g=grams, why=why, by=None, seen_at=seen)


class TestStart:
    def test_lists_what_stands_there_and_nothing_else(self) -> None:
        here, there = LotFactory(place="shelf 1", holding=900), LotFactory(place="shelf 2", holding=900)
        LotFactory(place="shelf 1")
        scrap = ScrapBinFactory(place="shelf 1", holding=500)
        lines = in_order(start(place="shelf 1"))
        assert {line.lot or line.scrap_bin for line in lines} == {here, scrap}
        assert {line.lot or line.scrap_bin for line in in_order(start())} == {here, there, scrap}


class TestOrder:
    def test_goes_along_the_places_and_round(self) -> None:
        for place in ("shelf 10", "", "shelf 2", "Shelf 2"):
            LotFactory(place=place, holding=100)
        stocktake = start()
        lines = in_order(stocktake)
        assert [line.lot.place.lower() for line in lines] == ["shelf 2", "shelf 2", "shelf 10", ""]
        ids = [line.pk for line in lines]
        assert next_line(stocktake) == ids[0]
        assert next_line(stocktake, after=ids[1]) == ids[2]
        assert next_line(stocktake, after=ids[3]) == ids[0]
        assert next_line(stocktake, place="shelf 10", after=ids[0]) == ids[2]
        count(stocktake, lines[2].lot, "100")
        assert next_line(stocktake, after=ids[1]) == ids[3]
        assert next_line(stocktake, place="shelf 10") is None
        assert [(one.place, one.weighed, one.lines) for one in progress(stocktake)][-2:] == [("shelf 10", 1, 1), ("", 0, 1)]


class TestWeigh:
    def test_writes_the_book_of_that_moment(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        ledger.issue(of=lot, mass_g=100, key="u1", by=None)
        line = count(stocktake, lot, "880")
        assert (line.book_g, line.counted_g) == (900, 880)

    def test_says_both_weights_when_two_weighed_it(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        first = count(stocktake, lot, "990")
        with pytest.raises(CountedMeanwhile, match=r"weighed this meanwhile: 990 g\. You typed 985 g"):
            count(stocktake, lot, "985")
        assert stocktake.lines.get().counted_g == 990
        assert count(stocktake, lot, "990").counted_at == first.counted_at
        assert count(stocktake, lot, "985", seen=first.counted_at).counted_g == 985

    def test_takes_a_weight_back(self) -> None:
        stocktake = start()
        line = add_found(stocktake=stocktake, kept=LotFactory())
        assert add_found(stocktake=stocktake, kept=line.lot).pk == line.pk
        weigh(line=line, counted_g=5, why="", by=None, seen_at=None)
        forget_weight(line=line)
        line.refresh_from_db()
        assert (line.book_g, line.counted_g, line.counted_at) == (None, None, None)


class TestThreshold:
    @pytest.mark.parametrize(("book", "most"), [(0, 5), (400, 5), (500, 5), (501, Decimal("5.01")), (20_000, 200)])
    def test_is_five_grams_or_a_hundredth(self, book: int, most: Decimal) -> None:
        assert threshold(Decimal(book)) == most

    def test_asks_for_words_only_beyond_it(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        line = count(stocktake, lot, "990")
        assert not wants_reason(line)
        assert wants_reason(count(stocktake, lot, "989.999", seen=line.counted_at))


class TestPost:
    def test_corrects_by_the_difference_found_and_keeps_what_moved_since(self) -> None:
        lot, scrap = LotFactory(holding=1000), ScrapBinFactory(holding=500)
        stocktake = start()
        count(stocktake, lot, "940", why="a spill")
        count(stocktake, scrap, "503")
        ledger.issue(of=lot, mass_g=300, key="u1", by=None)
        ledger.receive(of=scrap, mass_g=50, key="r1", by=None)
        assert posting.post(stocktake=stocktake, by=None) == 2
        lot.refresh_from_db()
        scrap.refresh_from_db()
        assert (lot.on_hand_g, scrap.on_hand_g) == (640, 553)
        assert list(Movement.objects.filter(kind="adjust").order_by("pk").values_list("mass_g", "why")) == [
            (-60, "a spill"),
            (3, "stocktake “March”"),
        ]
        assert set(stocktake.lines.values_list("movement__mass_g", flat=True)) == {-60, 3}
        assert unbalanced() == []

    def test_writes_once_when_asked_twice(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        count(stocktake, lot, "995")
        assert [posting.post(stocktake=stocktake, by=None) for _ in range(2)] == [1, 0]
        assert Movement.objects.filter(kind="adjust").count() == 1

    def test_writes_nothing_while_one_reason_is_missing(self) -> None:
        explained, silent = LotFactory(holding=1000), LotFactory(holding=1000, supplier_lot="odd {0} lot")
        stocktake = start()
        count(stocktake, explained, "900", why="a spill")
        line = count(stocktake, silent, "900")
        with pytest.raises(NotExplained, match=r"odd \{0\} lot"):
            posting.post(stocktake=stocktake, by=None)
        assert not Movement.objects.filter(kind="adjust").exists()
        posting.keep_reasons(stocktake=stocktake, reasons={line.pk: "  drum leaked  "})
        assert posting.post(stocktake=stocktake, by=None) == 2
        assert stocktake.lines.get(pk=line.pk).movement.why == "drum leaked"

    def test_writes_nothing_where_one_line_is_refused(self) -> None:
        first, second = LotFactory(holding=1000), LotFactory(holding=1000, supplier_lot="promised")
        stocktake = start()
        count(stocktake, first, "996")
        count(stocktake, second, "400", why="gone")
        ledger.reserve(of=second, mass_g=900, key="p1", by=None, job_number=7)
        with pytest.raises(NotEnough, match=r"lot promised: 900 g is promised to jobs, more than the 400 g counted"):
            posting.post(stocktake=stocktake, by=None)
        first.refresh_from_db()
        assert first.on_hand_g == 1000
        assert Stocktake.objects.get().posted_at is None

    def test_asks_to_weigh_again_when_more_is_lacking_than_is_left(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        count(stocktake, lot, "500", why="gone")
        ledger.issue(of=lot, mass_g=800, key="u1", by=None)
        with pytest.raises(NotEnough, match=r"lacked 500 g, but only 200 g is left"):
            posting.post(stocktake=stocktake, by=None)

    def test_is_undone_and_done_again(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        line = count(stocktake, lot, "995")
        posting.post(stocktake=stocktake, by=None)
        with pytest.raises(CountClosed):
            count(stocktake, lot, "990", seen=line.counted_at)
        assert posting.unpost(stocktake=stocktake, by=None) == 1
        lot.refresh_from_db()
        assert lot.on_hand_g == 1000
        count(stocktake, lot, "992", seen=line.counted_at)
        assert posting.post(stocktake=stocktake, by=None) == 1
        lot.refresh_from_db()
        assert lot.on_hand_g == 992
        assert unbalanced() == []


class TestDrop:
    def test_closes_and_opens_again(self) -> None:
        lot = LotFactory(holding=1000)
        stocktake = start()
        count(stocktake, lot, "400", why="gone")
        posting.drop(stocktake=stocktake)
        with pytest.raises(CountClosed):
            posting.post(stocktake=stocktake, by=None)
        posting.bring_back(stocktake=stocktake)
        with pytest.raises(CountClosed):
            posting.bring_back(stocktake=stocktake)
        assert posting.post(stocktake=stocktake, by=None) == 1
