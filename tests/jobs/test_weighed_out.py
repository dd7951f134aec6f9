import pytest

from jobs.models import Plan
from jobs.planning.results import MoldPlan
from jobs.services.plans import mold_plan
from jobs.weighed_out import weighed_out
from tests.factories import planned_job
from tests.jobs.views.made_plans import full_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan() -> MoldPlan:
    job = planned_job()
    Plan.objects.filter(job=job).update(positions=2, build_coats=1)
    return full_plan(mold_plan(job))


class TestWeighedOut:
    def test_gives_every_coat_the_mixes_of_its_position_and_loses_none(self, plan: MoldPlan) -> None:
        for coat in plan.coats:
            whole = 0.0
            for position in (1, 2):
                found = weighed_out(plan, f"coat_{coat.number}_position_{position}")
                assert found is not None
                assert found.materials[0] == ("A and B", "Tin silicone, brush-on, 25 Shore A")
                assert len(found.lines) == len([mix for mix in coat.mixes if mix.position == position])
                whole += sum(line.whole_g for line in found.lines)
                for line in found.lines:
                    assert sum(mass for _, mass in line.cells) == pytest.approx(line.whole_g)
            assert whole == pytest.approx(sum(mix.mass.value for mix in coat.mixes))
            again = weighed_out(plan, f"coat_{coat.number}_position_2_mold_2")
            assert again == weighed_out(plan, f"coat_{coat.number}_position_2")

    def test_weighs_shell_pieces_skins_strip_and_keys(self, plan: MoldPlan) -> None:
        assert plan.shell is not None
        assert plan.casting is not None
        pieces = [weighed_out(plan, f"shell_{number}") for number in range(1, plan.shell.pieces + 1)]
        assert sum(piece.lines[0].whole_g for piece in pieces if piece) == pytest.approx(plan.shell.mass.value)
        assert weighed_out(plan, "shell_1_layers_2") == pieces[0]
        skins = weighed_out(plan, "castings")
        assert skins is not None
        assert [line.whole_g for line in skins.lines] == [step.mass.value for step in plan.casting.steps]
        assert len(skins.lines) > 1
        for key in ("strip_pour", "keys"):
            found = weighed_out(plan, key)
            assert found is not None
            assert found.line_is == "Mix"

    @pytest.mark.parametrize("key", ["release", "turn_position_2", "shell_9", "shell_x", "coat_99", "packing", ""])
    def test_weighs_nothing_for_other_work(self, plan: MoldPlan, key: str) -> None:
        assert weighed_out(plan, key) is None
