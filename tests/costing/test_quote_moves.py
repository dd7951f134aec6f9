import pytest

from costing.errors import MoveNotAllowed
from costing.models import Quote
from costing.moves import MOVES, move_to
from costing.services.quote_moves import move_quote
from costing.services.quotes import freeze_quote
from jobs.models import Job, Plan
from studio.models import Account
from tests.factories import LotFactory


@pytest.fixture
def quote(job: Job, account: Account) -> Quote:
    return freeze_quote(job=job, by=account)


@pytest.mark.django_db
class TestMoveQuote:
    @pytest.mark.parametrize(("to", "job_state"), [("accepted", "agreed"), ("declined", "declined"), ("withdrawn", "enquiry")])
    def test_takes_the_job_along(self, quote: Quote, account: Account, to: str, job_state: str) -> None:
        moved = move_quote(quote=quote, to=to, by=account)
        assert moved.state == to
        assert moved.state_changed_by == account
        assert Job.objects.get(pk=quote.job_id).state == job_state

    @pytest.mark.parametrize("mark", ["accepted", "declined", "withdrawn"])
    def test_undoes_a_mistaken_mark(self, quote: Quote, account: Account, mark: str) -> None:
        move_quote(quote=quote, to=mark, by=account)
        assert move_quote(quote=quote, to="offered", by=account).state == "offered"
        assert Job.objects.get(pk=quote.job_id).state == "quoted"

    @pytest.mark.parametrize(
        ("start", "to"),
        [(start, to) for start in Quote.State.values for to in [*Quote.State.values, "nonsense"] if move_to(start, to) is None],
    )
    def test_refuses_every_move_that_is_not_in_the_table(self, quote: Quote, account: Account, start: str, to: str) -> None:
        Quote.objects.filter(pk=quote.pk).update(state=start)
        with pytest.raises(MoveNotAllowed):
            move_quote(quote=quote, to=to, by=account)
        assert Quote.objects.get(pk=quote.pk).state == start

    def test_keeps_an_acceptance_once_work_has_begun(self, quote: Quote, account: Account) -> None:
        move_quote(quote=quote, to="accepted", by=account)
        Job.objects.filter(pk=quote.job_id).update(state=Job.State.WORKING)
        with pytest.raises(MoveNotAllowed, match="work on this job has begun"):
            move_quote(quote=quote, to="offered", by=account)

    def test_accepting_reserves_the_rubber_and_a_mark_taken_back_releases_it(self, quote: Quote, account: Account) -> None:
        lot = LotFactory(material=Plan.objects.get(job=quote.job_id).rubber, component="whole", holding=90_000)
        for to, held in (("accepted", True), ("offered", False), ("accepted", True)):
            move_quote(quote=quote, to=to, by=account)
            lot.refresh_from_db()
            assert (lot.reserved_g > 1000) is held
        line = lot.movements.filter(kind="reserve").first()
        assert (line.job_number, line.by) == (Job.objects.get(pk=quote.job_id).number, account)

    def test_brings_no_old_version_back_beside_a_newer_one(self, quote: Quote, job: Job, account: Account) -> None:
        move_quote(quote=quote, to="declined", by=account)
        freeze_quote(job=Job.objects.get(pk=job.pk), by=account)
        with pytest.raises(MoveNotAllowed, match="version 2 has taken its place"):
            move_quote(quote=quote, to="offered", by=account)

    def test_nothing_leads_out_of_replaced(self) -> None:
        assert MOVES["superseded"] == ()
