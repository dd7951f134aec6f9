"""The price in a job's title block says when it is not whole."""

import pytest

from jobs.models import Job
from jobs.services.plans import compute_so_far, plan_of
from jobs.titleblock import title_block
from studio.figures import Figure
from studio.models import Account
from tests.costing.rows import make_job


@pytest.mark.django_db
class TestPriceFigure:
    def test_is_the_price_where_every_material_has_one(self, account: Account) -> None:
        price = self.shown(make_job(), account)
        assert price.label == "Price"
        assert "Too low" not in price.note

    def test_says_what_has_no_price(self, account: Account) -> None:
        job = make_job(resin_priced=False)
        resin = plan_of(job).resin
        assert resin is not None
        price = self.shown(job, account)
        assert price.label == "Price, not whole"
        assert price.note.startswith(f"Too low: {resin.name} has no price.")
        assert price.value < self.shown(make_job(title="Another"), account).value

    def shown(self, job: Job, account: Account) -> Figure:
        figure = title_block(job, account, compute_so_far(plan_of(job))).figures[3]
        assert isinstance(figure, Figure)
        return figure
