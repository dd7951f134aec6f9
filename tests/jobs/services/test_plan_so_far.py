"""A plan whose shell is still open shows its rubber, and has no price."""

import pytest

from jobs.errors import JobNotReady
from jobs.models import Plan
from jobs.services.plans import SHELL_OPEN, compute, compute_so_far, is_whole, plan_of
from jobs.titleblock import title_block
from studio.models import Account
from tests.factories import planned_job


@pytest.mark.django_db
class TestComputeSoFar:
    def test_leaves_an_open_shell_out_and_says_so(self):
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_matrix=None)
        made = compute_so_far(plan_of(job))
        assert made.shell is None
        assert made.remarks[0] == SHELL_OPEN
        assert not is_whole(made)
        assert made.rubber_fresh.value > 0
        with pytest.raises(JobNotReady, match="choose one on the Shell page"):
            compute(plan_of(job))

    def test_is_the_whole_plan_where_the_shell_is_chosen_or_not_wanted(self):
        job = planned_job()
        whole = compute_so_far(plan_of(job))
        assert is_whole(whole)
        assert whole.shell is not None
        Plan.objects.filter(job=job).update(shell_kind=Plan.ShellKind.NONE, shell_matrix=None)
        assert is_whole(compute_so_far(plan_of(job)))

    def test_shows_no_price_hours_or_days_in_the_title_block(self, account: Account):
        job = planned_job()
        Plan.objects.filter(job=job).update(shell_matrix=None)
        block = title_block(job, account, compute_so_far(plan_of(job)))
        rubber, *others = block.figures
        assert rubber.value > 0
        assert [label for label, _ in others] == ["Hours", "Days", "Price"]
