"""How long an estimate takes beside a peer in the same run: prints medians and ratios, asserts counts only."""

import statistics
import time
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.template import engines
from django.test import Client

from costing.engine.estimate import make_estimate
from costing.inputs import brief_of, planned, terms_of, terms_values
from jobs.models import Job
from studio.access import Role
from studio.models import StudioProfile
from tests.costing.rows import make_job

ROUNDS = 25
PLAIN = "<table>{% for row in rows %}<tr><td>{{ row.0 }}</td><td>{{ row.1 }}</td><td>{{ row.2 }}</td></tr>{% endfor %}</table>"


def median_ms(work: Callable[[int], object], rounds: int = ROUNDS) -> tuple[float, float]:
    """Return the median of the wall clock and of the processor's own time, after one round to warm up."""
    work(0)
    walls, owns = [], []
    for turn in range(1, rounds + 1):
        wall, own = time.perf_counter(), time.process_time()
        work(turn)
        walls.append(time.perf_counter() - wall)
        owns.append(time.process_time() - own)
    return 1000 * statistics.median(walls), 1000 * statistics.median(owns)


@pytest.fixture
def job(db: None) -> Job:
    return make_job(castings=25)


@pytest.mark.benchmark
@pytest.mark.django_db
class TestEstimateSpeed:
    def test_live_estimate_beside_a_plain_table(
        self, job: Job, signed_in: Callable[[Role], Client], capsys: pytest.CaptureFixture[str]
    ) -> None:
        client, address = signed_in(Role.OFFICE), f"/jobs/{job.number}/price/try/"
        sizes: list[int] = []

        def recompute(turn: int) -> None:
            data = {"labour_rate_per_h": f"{30 + turn}", "quantity_breaks": "1, 5, 10, 25"}
            answer = client.post(address, data, headers={"HX-Request": "true"})
            assert answer.status_code == 200
            sizes.append(len(answer.content))

        template = engines["django"].from_string(PLAIN)
        rows = [(f"row {n}", Decimal(n), n / 7) for n in range(700)]
        live, peer = median_ms(recompute), median_ms(lambda _: template.render({"rows": rows}))
        with capsys.disabled():
            print(  # noqa: T201
                f"\nestimate recomputed and its partial answered: {live[0]:.0f} ms wall, {live[1]:.0f} ms processor, "
                f"{sizes[-1] / 1000:.0f} kB; {live[1] / peer[1]:.1f} × a plain table of 700 rows ({peer[1]:.1f} ms)"
            )
        assert len(sizes) == ROUNDS + 1

    def test_pricing_alone_beside_planning(self, job: Job, capsys: pytest.CaptureFixture[str]) -> None:
        profile = StudioProfile.objects.current()
        found = planned(job)
        brief = brief_of(found, terms_values(terms_of(job), profile), profile)
        priced, plan = median_ms(lambda _: make_estimate(brief)), median_ms(lambda _: planned(job))
        with capsys.disabled():
            print(  # noqa: T201
                f"\npricing a plan: {priced[1]:.2f} ms processor; {priced[1] / plan[1]:.2f} × "
                f"reading and planning it ({plan[1]:.1f} ms)"
            )
        assert make_estimate(brief).run is not None
