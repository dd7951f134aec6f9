"""Find plans whose shape nobody asked to study: measured before there were studies, or under other rates of the studio."""

from jobs.models import Job, PieceStudy, TakeoffRecord
from jobs.studies.asking import ask_study, fingerprint_for
from studio.services.rates import current_rates

# Of one sweep; the next takes the rest.
MOST_AT_ONCE = 20


def ask_unasked() -> int:
    """Ask for the studies that open jobs lack, in a number of queries that does not grow with them; return how many."""
    jobs = list(Job.objects.still_open().select_related("piece", "plan", "plan__scrap_bin"))
    records = _records(jobs)
    rates = current_rates()
    known = set(PieceStudy.objects.filter(piece__job__in=jobs).values_list("piece_id", "fingerprint"))
    asked = 0
    for job in jobs:
        job.plan.job = job
        record = records.get(job.piece.pk)
        wanted = fingerprint_for(job.plan, record, rates)
        if wanted and (job.piece.pk, wanted) not in known and asked < MOST_AT_ONCE:
            ask_study(job.plan, record)
            asked += 1
    return asked


def _records(jobs: list[Job]) -> dict[int, TakeoffRecord]:
    """Return the takeoff in use of each piece without its contents, in one query."""
    rows = TakeoffRecord.objects.filter(piece__job__in=jobs).defer("content").order_by("used_at", "pk")
    return {record.piece_id: record for record in rows}
