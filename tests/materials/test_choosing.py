"""Lots for a mix as far as they give it."""

import datetime
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from materials.models import Lot, Material
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.material import MaterialSpec
from materials.services.choosing import choose_what_there_is
from studio.figures import Given, Source, SourceKind

TODAY = datetime.date(2027, 3, 1)
GRAMS = st.decimals(min_value=0, max_value=5000, places=3)
D = Decimal


def lot(pk: int, part: str, grams: Decimal | int, *, ends: int | None = None, kit: str = "") -> Lot:
    expires_on = None if ends is None else TODAY + datetime.timedelta(days=ends)
    return Lot(pk=pk, component=part, on_hand_g=D(grams), expires_on=expires_on, received_on=TODAY, kit_code=kit)


def chosen(lots: list[Lot], mass_g: Decimal | int, *, percent_b: float | None = 10) -> dict[int, Decimal]:
    """Choose of a material with so much B on 100 of A; of one part where that is none."""
    basis = MixBasis.ONE_PART if percent_b is None else MixBasis.PERCENT_ON_BASE
    dose = Given(label="Dose", value=percent_b or 0, unit="%", source=Source(kind=SourceKind.OWN))
    spec = MaterialSpec(
        key=1, name="Rubber", kind=MaterialKind.RUBBER, chemistry=Chemistry.OTHER, family="", mix_basis=basis,
        properties={"dose_percent": dose} if percent_b else {},
    )  # fmt: skip
    found = choose_what_there_is(material=Material(mix_basis=basis), spec=spec, lots=lots, mass_g=D(mass_g))
    assert len({one.lot.pk for one in found}) == len(found)
    return {one.lot.pk: one.mass_g for one in found}


class TestWhatThereIs:
    def test_by_ratio_and_day(self) -> None:
        # By hand, 100 : 10: 600 of A, what expires first before the rest, and 60 of B.
        lots = [lot(1, "A", 1000, ends=9), lot(2, "A", 500, ends=2), lot(3, "B", 120)]
        assert chosen(lots, 660) == {2: 500, 3: 60, 1: 100}
        # All of the B and its A.
        assert chosen(lots, 5000) == {2: 500, 1: 700, 3: 120}

    def test_the_stranded_rest_of_a_kit_first_and_what_was_never_weighed_apart_last(self) -> None:
        lots = [
            lot(1, "A", 1000, ends=2, kit="whole"), lot(2, "B", 100, ends=2, kit="whole"), lot(3, "A", 300, ends=9, kit="rest"),
            lot(4, "B", 100, ends=9), lot(5, "kit", 400, ends=1),
        ]  # fmt: skip
        assert chosen(lots, 550) == {3: 300, 1: 200, 2: 50}
        assert chosen(lots, 5000) == {3: 300, 1: 1000, 2: 100, 4: 30, 5: 400}

    def test_nothing_of_a_and_b_without_a_ratio(self) -> None:
        lots = [lot(1, "A", 1000), lot(2, "B", 100), lot(3, "kit", 50)]
        assert chosen(lots, 200, percent_b=0) == {3: 50}

    def test_one_part(self) -> None:
        assert chosen([lot(1, "whole", 5)], 9, percent_b=None) == {1: D(5)}

    @settings(max_examples=150, deadline=None)
    @given(
        a=st.lists(GRAMS, max_size=4), b=st.lists(GRAMS, max_size=4), share=st.sampled_from(["0.5", "0.0909", "0.02", "0.8"]),
        wanted=st.decimals(min_value="0.001", max_value=9000, places=3),
    )  # fmt: skip
    def test_never_more_than_there_is_and_always_in_the_ratio(
        self, a: list[Decimal], b: list[Decimal], share: str, wanted: Decimal
    ) -> None:
        share_b = D(share)
        lots = [lot(at, "A", mass) for at, mass in enumerate(a, 1)] + [lot(at, "B", mass) for at, mass in enumerate(b, 101)]
        taken = chosen(lots, wanted, percent_b=float(share_b / (1 - share_b) * 100))
        free = {one.pk: one.on_hand_g for one in lots}
        assert all(0 < mass <= free[key] for key, mass in taken.items())
        got = sum(taken.values())
        most = min(sum(a) / (1 - share_b), sum(b) / share_b)
        # Masses are whole thousandths, and no more is lost by that than a thousandth of either part is worth in the mix.
        assert min(wanted, most) - D("0.001") / min(share_b, 1 - share_b) <= got <= wanted
        assert abs(sum(mass for key, mass in taken.items() if key > 100) - got * share_b) <= D("0.001")
