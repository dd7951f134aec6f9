"""Any sequence of movements, tried against a model."""

import pytest
from hypothesis import HealthCheck, given, settings

from tests.materials.ledger_play import Play, Step, steps


@pytest.mark.django_db
class TestLedgerSequences:
    @settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
    @given(steps)
    def test_agree_with_a_model_beside_the_ledger(self, played: list[Step]) -> None:
        Play().run(played)
