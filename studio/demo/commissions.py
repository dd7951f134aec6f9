"""The demo's clients and jobs, each as far along as another kind of day would find it."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from costing.services.options import add_option
from costing.services.quotes import freeze_quote
from jobs.inputs import MATERIAL_FIELDS
from jobs.models import Job
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from jobs.scans import measuring
from jobs.services.clients import add_client
from jobs.services.jobs import add_job, move_job, set_start
from jobs.services.photos import add_photo
from jobs.services.pieces import change_piece, keep_readings
from jobs.services.plans import keep_plan, plan_of
from jobs.services.scans import add_scan, answer_scan
from materials.models import Material, ScrapBin
from materials.science.compatibility import Surface
from studio.demo.finial import finial_picture, finial_stl
from studio.models import Account


def decide(job: Job, by: Account, **values: object) -> None:
    """Keep a plan's decisions; materials go by their keys in the starter catalogue."""
    materials: dict[str, object] = {
        name: Material.objects.get(starter_key=values.pop(name)) for name in MATERIAL_FIELDS if name in values
    }
    plan = plan_of(job)
    keep_plan(plan=plan, values={**values, **materials}, revision=plan.revision, by=by)


def _workday_at(today: date, days: int, hour: int) -> datetime:
    day = today + timedelta(days=days)
    day += timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)
    return timezone.make_aware(datetime.combine(day, time(hour)))


def add_heron(by: Account, today: date, scrap: ScrapBin) -> Job:
    """Add a tall fountain figure, measured with a tape and quoted."""
    client = add_client(
        name="Millbrook Water Gardens",
        contact="Petra Voss",
        email="gardens@millbrook.example",
        address="The Weir House\nMillbrook",
    )
    job = add_job(
        title="Heron for the lower pond",
        client=client,
        piece_name="Standing heron",
        promised_on=today + timedelta(days=45),
        by=by,
    )
    change_piece(piece=job.piece, values={"surface": Surface.SULFUR_FREE_CLAY.value, "sealed": True, "mass_g": Decimal(14500)})
    keep_readings(
        piece=job.piece,
        readings=TapeReadings(
            girths=(
                GirthTyped(girth_mm=760, along_mm=90),
                GirthTyped(girth_mm=540, along_mm=160),
                GirthTyped(girth_mm=470, along_mm=150),
                GirthTyped(girth_mm=820, along_mm=190),
                GirthTyped(girth_mm=930, along_mm=170),
                GirthTyped(girth_mm=620, along_mm=140),
                GirthTyped(girth_mm=310, along_mm=200),
                GirthTyped(girth_mm=330, along_mm=60),
                GirthTyped(girth_mm=120),
            ),
            solids=(SolidTyped(shape="cone", label="beak", length_mm=52, height_mm=150),),
            flange_width_mm=75,
            texture_height_mm=1.5,
            texture_spacing_mm=12,
        ),
    )
    decide(
        job,
        by,
        rubber="platinum-20a",
        thickener="polyethylene-fibre",
        tint="tint-silicone",
        resin="polyurethane-slow",
        shell_matrix="laminating-polyester",
        shell_reinforcement="chopped-strand-mat-450",
        wall_mm=Decimal("9.5"),
        positions=2,
        fill_volume_l=Decimal("2.4"),
        scrap_share_percent=Decimal(60),
        scrap_bin=scrap,
        seam_length_mm=Decimal(1900),
        castings=6,
        casting_wall_mm=Decimal(5),
    )
    add_option(job=job, values=for_each("Verdigris patina on each casting", 160, 12, "2.5"), by=by)
    add_option(job=job, values=for_each("Stainless fixing for the pond bed", 38, 21), by=by)
    freeze_quote(job=job, by=by)
    return job


def for_each(text: str, unit_price: int, cost: int, hours: str = "") -> dict[str, object]:
    """Return an option of six with what it asks, costs and takes for each."""
    taken = Decimal(hours) if hours else None
    return {"text": text, "quantity": Decimal(6), "unit_price": Decimal(unit_price), "cost": Decimal(cost), "hours": taken}


def add_finial(by: Account, today: date) -> Job:
    """Add a turned finial, measured from a scan, agreed and on the bench."""
    client = add_client(name="Orchard Court Restoration", contact="Bram Okafor", email="site@orchardcourt.example")
    job = add_job(
        title="Gatepost finials", client=client, piece_name="Turned finial", promised_on=today + timedelta(days=20), by=by
    )
    change_piece(piece=job.piece, values={"surface": Surface.STONE.value, "sealed": True, "mass_g": Decimal(9200)})
    add_photo(
        piece=job.piece, content=finial_picture(), name="finial.jpg", caption="From the front, as it arrived",
        on_quote=True, by=by,
    )  # fmt: skip
    scan = add_scan(piece=job.piece, upload=SimpleUploadedFile("finial.stl", finial_stl()), by=by)
    measuring.process(scan.pk)
    wishes = {"stands_on_board": True, "flange_width_mm": 75.0, "texture_height_mm": 0.0, "texture_spacing_mm": 0.0}
    answer_scan(scan=scan, unit="mm", up_axis="z", wishes=wishes)
    measuring.process(scan.pk)
    decide(
        job,
        by,
        rubber="platinum-20a",
        thickener="polyethylene-fibre",
        tint="tint-silicone",
        resin="polyurethane-slow",
        shell_kind="plaster",
        shell_matrix="molding-plaster",
        shell_reinforcement="hemp-fibre",
        wall_mm=Decimal(8),
        seam_length_mm=Decimal(900),
        castings=4,
    )
    freeze_quote(job=job, by=by)
    set_start(job=job, starts_at=_workday_at(today, 1, 9))
    move_job(job=job, to=Job.State.AGREED)
    move_job(job=job, to=Job.State.WORKING)
    return job


def add_lamp(by: Account, today: date) -> Job:
    """Add a lamp base: measured, its plan not begun."""
    client = add_client(name="Teasel & Rye, lamp makers", contact="Noor Ashdown", email="noor@teaselrye.example")
    job = add_job(title="Fluted lamp base", client=client, piece_name="Lamp base", promised_on=today + timedelta(days=70), by=by)
    change_piece(piece=job.piece, values={"surface": Surface.WOOD.value})
    keep_readings(
        piece=job.piece,
        readings=TapeReadings(
            girths=(
                GirthTyped(girth_mm=500, along_mm=100),
                GirthTyped(girth_mm=620, along_mm=110),
                GirthTyped(girth_mm=700, along_mm=100),
                GirthTyped(girth_mm=660, along_mm=140),
                GirthTyped(girth_mm=400),
            ),
            flange_width_mm=60,
            texture_height_mm=6,
            texture_spacing_mm=22,
        ),
    )
    return job


def add_mask(by: Account) -> Job:
    """Add an enquiry of which nothing is known yet."""
    client = add_client(name="Players of Nether Quill", contact="Rufus Amsel")
    return add_job(title="Carnival mask", client=client, piece_name="Mask of a hare", by=by)
