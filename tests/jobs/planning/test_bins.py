"""How a bin of scrap suits a fill."""

import pytest

from jobs.planning.brief import ScrapSpec
from jobs.planning.rubber.bins import BinFit, fit_of_bin
from materials.properties import Chemistry, MaterialKind, MixBasis
from materials.science.compatibility import Outcome
from materials.science.material import MaterialSpec
from studio.figures import Figure, Given

RUBBER = MaterialSpec(
    key=1, name="R", kind=MaterialKind.RUBBER, chemistry=Chemistry.PLATINUM_SILICONE, family="north",
    mix_basis=MixBasis.BY_WEIGHT, properties={},
)  # fmt: skip


def fit(
    *,
    edge: float = 10,
    free: float = 99_000,
    family: str = "north",
    room: float | None = None,
    studied: float | None = None,
    packing: float = 0.54,
    **of: object,
) -> BinFit:
    scrap = ScrapSpec(
        key=1, name="P1", chemistry=of.get("chemistry", Chemistry.PLATINUM_SILICONE), family=family,
        density_kg_m3=Given(label="Density", value=1100, unit="kg/m3"), chunk_edge_mm=Given(label="Edge", value=edge, unit="mm"),
        available_g=Given(label="Free", value=free, unit="g"),
    )  # fmt: skip
    return fit_of_bin(
        scrap, rubber=RUBBER, fill=Figure(key="f", label="Fill", value=4.0, unit="L", formula="typed"), prefix="x",
        share=Given(label="Share", value=100, unit="%"), packing=Given(label="Packing", value=packing, unit="1"),
        room_l=None if room is None else Given(label="Room", value=room, unit="L"),
        studied_edge_mm=studied or edge,
    )  # fmt: skip


class TestFitOfBin:
    # published packing of loose cubes (Baker & Kudrolli 2010), worked by hand: 4 L x 0.54 x 1.10 kg/L = 2.376 kg.
    @pytest.mark.parametrize(
        ("of", "taken"),
        [({"edge": 2}, 2376), ({"edge": 2, "free": 900}, 900), ({"edge": 15, "room": 2.0}, 1188), ({"edge": 15, "room": 0.0}, 0)],
    )
    def test_takes_the_smallest_of_share_free_and_room(self, of: dict[str, float], taken: float) -> None:
        assert fit(**of).taken.value == pytest.approx(taken)

    # common practice: a chunk is at most a third of the layer; 4 L as one lump is 158.7 mm wide, a third 52.9 mm.
    @pytest.mark.parametrize(
        ("of", "size"),
        [({"edge": 2}, "good"), ({"edge": 52}, "look"), ({"edge": 53}, "stop"), ({"edge": 53, "room": 2.0}, "good"),
         ({"edge": 2, "room": 0.0}, "stop"), ({"edge": 4, "room": 0.0, "studied": 2}, "stop"),
         ({"edge": 2, "room": 0.0, "studied": 4}, "look"), ({"edge": 4, "room": 2.0, "studied": 2}, "look")],
    )  # fmt: skip
    def test_judges_chunks_by_a_third_of_the_width_unless_the_study_knows(self, of: dict[str, float], size: str) -> None:
        assert fit(**of).size == size

    def test_packs_less_between_near_walls(self) -> None:
        # Worked by hand after Benyahia & O'Neill (published): N = 158.74 / (40 x 1.2407) = 3.1986; 0.54 - 1.0814 / 3.3212^2.
        assert fit(edge=40).wished.value == pytest.approx(4 * 1100 * (0.54 - 0.09804), rel=1e-3)

    def test_ranks_what_bonds_before_what_is_tested_before_what_does_not_fit(self) -> None:
        bonds, small, tested, large = fit(edge=2), fit(edge=2, free=10), fit(edge=2, family="south"), fit(edge=60)
        ranked = sorted((large, tested, small, bonds), key=lambda one: one.place)
        assert ranked == [bonds, small, large, tested]
        assert tested.verdict.outcome is Outcome.TEST
        assert not fit(chemistry=Chemistry.TIN_SILICONE).verdict.allowed
