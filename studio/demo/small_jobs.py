"""Two small jobs of the demo that are agreed, so that the days of several jobs are laid out together."""

from datetime import date, timedelta
from decimal import Decimal

from jobs.models import Job
from jobs.readings import GirthTyped, TapeReadings
from jobs.services.clients import add_client
from jobs.services.jobs import add_job, move_job
from jobs.services.pieces import change_piece, keep_readings
from materials.science.compatibility import Surface
from studio.demo.commissions import decide
from studio.models import Account


def add_small_jobs(by: Account, today: date) -> tuple[Job, Job]:
    """Add both."""
    return add_rosette(by, today), add_tile(by, today)


def add_rosette(by: Account, today: date) -> Job:
    """Add a ceiling rosette, laid by brush from one side under a plaster shell; its day is near."""
    client = add_client(name="Harrow & Finch, plasterers", contact="Lior Finch", email="yard@harrowfinch.example")
    job = add_job(
        title="Ceiling rosette", client=client, piece_name="Acanthus rosette", promised_on=today + timedelta(days=6), by=by
    )
    change_piece(piece=job.piece, values={"surface": Surface.GYPSUM.value, "sealed": True, "mass_g": Decimal(4800)})
    readings = TapeReadings(
        girths=(
            GirthTyped(girth_mm=1220, along_mm=25),
            GirthTyped(girth_mm=1160, along_mm=70),
            GirthTyped(girth_mm=820, along_mm=90),
            GirthTyped(girth_mm=300, along_mm=52),
            GirthTyped(girth_mm=0),
        ),
        flange_width_mm=50,
        texture_height_mm=4,
        texture_spacing_mm=18,
    )
    keep_readings(piece=job.piece, readings=readings)
    decide(
        job,
        by,
        rubber="platinum-20a",
        thickener="polyethylene-fibre",
        tint="tint-silicone",
        shell_kind="plaster",
        shell_matrix="molding-plaster",
        shell_reinforcement="hemp-fibre",
        shell_pieces=1,
        wall_mm=Decimal(8),
        positions=1,
        fill_volume_l=Decimal("0.3"),
        seam_length_mm=Decimal(0),
        resin="polyurethane-slow",
        castings=3,
        casting_wall_mm=Decimal(5),
        skins=2,
    )
    move_job(job=job, to=Job.State.AGREED)
    return job


def add_tile(by: Account, today: date) -> Job:
    """Add a small relief tile, poured as a block."""
    client = add_client(name="Coldharbour Pottery", contact="Maud Trelawn", email="kiln@coldharbour.example")
    job = add_job(title="Relief tile", client=client, piece_name="Kingfisher tile", promised_on=today + timedelta(days=21), by=by)
    change_piece(piece=job.piece, values={"surface": Surface.GYPSUM.value, "sealed": True, "mass_g": Decimal(900)})
    readings = TapeReadings(
        girths=(GirthTyped(girth_mm=560, along_mm=22), GirthTyped(girth_mm=540, along_mm=90), GirthTyped(girth_mm=0)),
        flange_width_mm=0,
        texture_height_mm=5,
        texture_spacing_mm=20,
    )
    keep_readings(piece=job.piece, readings=readings)
    decide(
        job,
        by,
        making="block",
        rubber="platinum-20a",
        tint="tint-silicone",
        box_margin_mm=Decimal(12),
        wall_mm=Decimal(12),
        positions=1,
        seam_length_mm=Decimal(0),
        shell_kind="none",
        resin="polyurethane-slow",
        castings=6,
        casting_wall_mm=Decimal(6),
        skins=2,
    )
    move_job(job=job, to=Job.State.AGREED)
    return job
