import pytest
from hypothesis import given as examples
from hypothesis import strategies as st

from costing.engine.errors import EngineError
from costing.engine.runs.learning import Learning, LearningModel, learning_of, mean_times, total_times, unit_times

RATES = st.floats(50.5, 100)
MODELS = st.sampled_from(LearningModel)


class TestLearning:
    @examples(RATES, MODELS, st.integers(1, 600))
    def test_hours_of_the_run_rise_and_those_of_a_casting_never(self, percent: float, model: LearningModel, n: int) -> None:
        learning = Learning(percent=percent, model=model)
        assert total_times(n + 1, learning) > total_times(n, learning)
        assert unit_times(n + 1, learning) <= unit_times(n, learning) + 1e-12
        assert mean_times(n + 1, learning) <= mean_times(n, learning) + 1e-12

    @examples(RATES, MODELS)
    def test_models_agree_about_the_first(self, percent: float, model: LearningModel) -> None:
        learning = Learning(percent=percent, model=model)
        assert total_times(1, learning) == unit_times(1, learning) == mean_times(1, learning) == 1

    @examples(MODELS, st.integers(1, 500))
    def test_a_hundred_percent_is_no_learning(self, model: LearningModel, n: int) -> None:
        assert total_times(n, Learning(percent=100, model=model)) == n
        assert unit_times(n, learning_of(None, model.value)) == 1

    @examples(RATES, MODELS, st.integers(1, 60))
    def test_castings_add_up_to_the_run(self, percent: float, model: LearningModel, n: int) -> None:
        learning = Learning(percent=percent, model=model)
        assert sum(unit_times(k, learning) for k in range(1, n + 1)) == pytest.approx(total_times(n, learning))

    @examples(st.floats(50.5, 99), st.integers(2, 600))
    def test_the_cumulative_average_saves_more_than_the_unit_model(self, percent: float, n: int) -> None:
        totals = {model: total_times(n, Learning(percent=percent, model=model)) for model in LearningModel}
        assert totals[LearningModel.CUMULATIVE_AVERAGE] < totals[LearningModel.UNIT] < n

    @pytest.mark.parametrize("percent", [50, 0, 100.5, float("nan")])
    def test_refuses_what_is_no_rate(self, percent: float) -> None:
        with pytest.raises(EngineError, match="above 50 %"):
            Learning(percent=percent)

    def test_refuses_runs_of_none(self) -> None:
        with pytest.raises(EngineError, match="one casting"):
            total_times(0, Learning(percent=90))
        with pytest.raises(EngineError, match="from one"):
            unit_times(0, Learning(percent=90))
