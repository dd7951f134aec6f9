"""The demo's finished molds: one with castings left, one at its end, and one that was cut up for scrap."""

from datetime import date, timedelta
from decimal import Decimal

from jobs.models import Job
from jobs.services.mold_ends import cut_up
from jobs.services.molds import add_mold, look_over
from materials.inputs import specs
from materials.models import Material, ScrapBin, ScrapCut
from materials.services.scrap_work import note_session
from studio.models import Account, Person, StudioProfile

NEW_BIN = {
    "label": "P3", "chunk_edge_mm": Decimal(15), "hardness_shore_a": Decimal(20), "density_kg_m3": Decimal(1100),
    "colour": "translucent", "washed": True, "place": "under the long bench",
}  # fmt: skip


def add_molds(by: Account, today: date, scrap: ScrapBin) -> None:
    """Add molds to jobs that are old enough, and the sessions in which scrap was cut and seated."""
    of_the_job, other = _jobs()
    platinum = Material.objects.get(starter_key="platinum-20a")
    left = add_mold(
        job=of_the_job, rubber=of_the_job.plan.rubber, mass_g=Decimal(6800), made_on=today - timedelta(days=150),
        place="mold room, rack 2", castings_done=9,
    )  # fmt: skip
    look_over(mold_id=left.pk, looked_at_on=today - timedelta(days=20), note="one key bent, no tears")
    add_mold(
        job=other, rubber=platinum, mass_g=Decimal(3150), made_on=today - timedelta(days=420), place="mold room, top shelf",
        castings_done=78, note="torn at the chin, patched twice",
    )  # fmt: skip
    dead = add_mold(job=other, rubber=platinum, mass_g=Decimal(2900), made_on=today - timedelta(days=700), castings_done=64)
    person = Person.objects.order_by("pk").first()
    cut_up(
        mold_id=dead.pk, into=None, new_bin=NEW_BIN, rubber=specs([platinum.pk])[platinum.pk], mass_g=Decimal(2376),
        minutes=Decimal(24), cut_on=today - timedelta(days=12), person=person, key="demo-dead-mold", by=by,
        profile=StudioProfile.objects.current(),
    )  # fmt: skip
    for work, mass, minutes, days in (
        (ScrapCut.Work.CUTTING, 1850, 21, 60),
        (ScrapCut.Work.CUTTING, 4100, 33, 90),
        (ScrapCut.Work.SEATING, 1200, 8, 30),
    ):
        note_session(
            scrap_bin=scrap, work=work, mass_g=Decimal(mass), minutes=Decimal(minutes), on=today - timedelta(days=days),
            person=person, by=by,
        )  # fmt: skip


def _jobs() -> tuple[Job, Job]:
    """Return two jobs whose plans name a rubber and a resin."""
    found = Job.objects.filter(plan__rubber__isnull=False, plan__resin__isnull=False).select_related("plan__rubber")
    first, second = found.order_by("number")[:2]
    return first, second
