import pytest

from costing.engine.estimate import make_estimate
from tests.costing.engine.builders import PER_KG, brief, price


class TestPackCounts:
    # exact: whole packs cover what is used, one pack fewer does not.
    def test_are_the_fewest_whole_packs_that_cover_the_job(self) -> None:
        estimate = make_estimate(brief())
        for count in estimate.packs:
            used = sum(line.mass.value for line in estimate.spend.lines if line.name == count.name)
            assert (count.packs - 1) * count.pack_mass_g < used <= count.packs * count.pack_mass_g + 1e-6
            assert count.left.value == pytest.approx(count.packs * count.pack_mass_g - used)

    def test_leave_out_materials_without_a_pack(self) -> None:
        prices = {key: price(key, cost, pack_g=None if key == "resin" else 5000) for key, cost in PER_KG.items()}
        assert "Resin" not in {count.name for count in make_estimate(brief(prices=prices)).packs}

    def test_take_one_pack_when_a_pack_is_just_enough(self) -> None:
        used = next(line.mass.value for line in make_estimate(brief()).spend.lines if line.name == "Mat")
        prices = {**{key: price(key, cost) for key, cost in PER_KG.items()}, "mat": price("mat", 5.0, pack_g=used)}
        count = next(count for count in make_estimate(brief(prices=prices)).packs if count.name == "Mat")
        assert count.packs == 1
        assert count.left.value == pytest.approx(0, abs=1e-6)
