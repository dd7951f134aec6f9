"""Three of the demo's jobs whose plans are decided to the last field: a small figure, a bust and a large capital."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from jobs.models import Job
from jobs.readings import GirthTyped, SolidTyped, TapeReadings
from jobs.services.clients import add_client
from jobs.services.jobs import add_job, set_start
from jobs.services.pieces import change_piece, keep_readings
from materials.models import ScrapBin
from materials.science.compatibility import Surface
from studio.demo.commissions import decide
from studio.models import Account


def add_whole_jobs(by: Account, today: date, scrap: ScrapBin) -> tuple[Job, ...]:
    """Add all three; `scrap` goes into the bust's hollows."""
    return add_hedgehog(by, today), add_bust(by, today, scrap), add_capital(by, today)


def _coming(today: date, weekday: int, weeks: int) -> datetime:
    """Return nine in the morning of a weekday (0 is Monday) so many weeks after the one that comes next."""
    days = (weekday - today.weekday() - 1) % 7 + 1 + 7 * weeks
    return timezone.make_aware(datetime.combine(today + timedelta(days=days), time(9)))


def add_hedgehog(by: Account, today: date) -> Job:
    """Add a small wax figure, poured as a block in a box."""
    client = add_client(name="Copperplate Gifts", contact="Ida Marlowe", email="orders@copperplate.example")
    job = add_job(
        title="Hedgehog paperweight", client=client, piece_name="Curled hedgehog", promised_on=today + timedelta(days=30), by=by
    )
    change_piece(piece=job.piece, values={"surface": Surface.WAX.value, "sealed": False, "mass_g": Decimal(315)})
    readings = TapeReadings(
        girths=(
            GirthTyped(girth_mm=250, along_mm=22),
            GirthTyped(girth_mm=290, along_mm=24),
            GirthTyped(girth_mm=260, along_mm=30),
            GirthTyped(girth_mm=140, along_mm=22),
            GirthTyped(girth_mm=0),
        ),
        solids=(SolidTyped(shape="hemisphere", label="nose", length_mm=14),),
        flange_width_mm=0,
        texture_height_mm=2,
        texture_spacing_mm=6,
    )
    keep_readings(piece=job.piece, readings=readings)
    decide(
        job,
        by,
        making="block",
        rubber="platinum-20a",
        tint="tint-silicone",
        release="release-spray",
        box_margin_mm=Decimal(14),
        wall_mm=Decimal(14),
        temperature_c=Decimal(21),
        night_temperature_c=Decimal(16),
        humidity_percent=Decimal(50),
        deairing="vacuum",
        positions=1,
        seam_length_mm=Decimal(0),
        widest_girth_mm=Decimal(290),
        opening_girth_mm=Decimal(250),
        shell_kind="none",
        resin="polyurethane-slow",
        casting_tint="tint-resin",
        castings=18,
        casting_wall_mm=Decimal(3),
        skins=3,
        turning_rpm=Decimal(8),
        turning_ratio=Decimal("3.7"),
    )
    set_start(job=job, starts_at=_coming(today, 2, weeks=0))
    return job


def add_bust(by: Account, today: date, scrap: ScrapBin) -> Job:
    """Add a portrait bust in plaster, laid by brush, its hollows packed with scrap, under a laminate shell."""
    client = add_client(name="Lindenmoor Town Hall", contact="Aldous Fenn", email="clerk@lindenmoor.example")
    job = add_job(
        title="Bust of the town's first gardener",
        client=client,
        piece_name="Portrait bust",
        promised_on=today + timedelta(days=55),
        by=by,
    )
    change_piece(piece=job.piece, values={"surface": Surface.GYPSUM.value, "sealed": True, "mass_g": Decimal(21000)})
    keep_readings(
        piece=job.piece,
        readings=TapeReadings(
            girths=(
                GirthTyped(girth_mm=980, along_mm=120),
                GirthTyped(girth_mm=900, along_mm=90),
                GirthTyped(girth_mm=430, along_mm=80),
                GirthTyped(girth_mm=560, along_mm=90),
                GirthTyped(girth_mm=600, along_mm=90),
                GirthTyped(girth_mm=480, along_mm=80),
                GirthTyped(girth_mm=0),
            ),
            solids=(SolidTyped(shape="ellipsoid", label="ears", length_mm=60, width_mm=18, height_mm=35, count=2),),
            flange_width_mm=70,
            texture_height_mm=2,
            texture_spacing_mm=14,
        ),
    )
    decide(
        job,
        by,
        making="brushed",
        rubber="platinum-20a",
        thickener="polyethylene-fibre",
        tint="tint-silicone",
        release="release-spray",
        sealer="acrylic-sealer",
        wall_mm=Decimal(10),
        print_coat_mm=Decimal("0.8"),
        closing_coat_mm=Decimal(1),
        build_coats=4,
        people_per_coat=1,
        temperature_c=Decimal(22),
        night_temperature_c=Decimal(17),
        humidity_percent=Decimal(45),
        deairing="thin",
        cup_loss_percent=Decimal(8),
        positions=2,
        fill_volume_l=Decimal("1.6"),
        scrap_share_percent=Decimal(70),
        scrap_bin=scrap,
        packing_fraction=Decimal("0.54"),
        seam_length_mm=Decimal(1250),
        strip_width_mm=Decimal(20),
        strip_height_mm=Decimal(12),
        widest_girth_mm=Decimal(600),
        opening_girth_mm=Decimal(430),
        key_spacing_mm=Decimal(120),
        shell_kind="laminate",
        shell_matrix="laminating-polyester",
        shell_reinforcement="chopped-strand-mat-450",
        shell_pieces=2,
        shell_layers=3,
        shell_flange_percent=Decimal(12),
        bolt_spacing_mm=Decimal(150),
        resin="polyurethane-slow",
        casting_tint="tint-resin",
        castings=12,
        casting_wall_mm=Decimal(5),
        skins=4,
        turning_rpm=Decimal(6),
        turning_ratio=Decimal("3.7"),
    )
    # From a Monday on no weekend falls between two coats.
    set_start(job=job, starts_at=_coming(today, 0, weeks=1))
    return job


def add_capital(by: Account, today: date) -> Job:
    """Add a large stone capital that is turned through four positions, under a plaster shell; it needs two molds."""
    client = add_client(name="Saltmarsh Abbey trust", contact="Wren Castellane", email="fabric@saltmarsh.example")
    job = add_job(
        title="Leaf capital, north arcade",
        client=client,
        piece_name="Column capital",
        promised_on=today + timedelta(days=95),
        by=by,
    )
    change_piece(piece=job.piece, values={"surface": Surface.STONE.value, "sealed": True, "mass_g": Decimal(290000)})
    leaf = SolidTyped(shape="ellipsoid", label="leaf tips", length_mm=110, width_mm=60, height_mm=70, count=8)
    keep_readings(
        piece=job.piece,
        readings=TapeReadings(
            girths=(
                GirthTyped(girth_mm=1180, along_mm=90),
                GirthTyped(girth_mm=1100, along_mm=160),
                GirthTyped(girth_mm=1320, along_mm=180),
                GirthTyped(girth_mm=1700, along_mm=170),
                GirthTyped(girth_mm=2080, along_mm=90),
                GirthTyped(girth_mm=2080),
            ),
            solids=(leaf,),
            flange_width_mm=90,
            texture_height_mm=12,
            texture_spacing_mm=60,
        ),
    )
    decide(
        job,
        by,
        making="brushed",
        molds=2,
        rubber="tin-25a",
        thickener="thixotropic-liquid",
        tint="tint-silicone",
        release="release-spray",
        sealer="acrylic-sealer",
        wall_mm=Decimal(12),
        print_coat_mm=Decimal(1),
        closing_coat_mm=Decimal("1.5"),
        people_per_coat=2,
        temperature_c=Decimal(20),
        night_temperature_c=Decimal(16),
        humidity_percent=Decimal(55),
        deairing="thin",
        positions=4,
        fill_volume_l=Decimal(6),
        seam_length_mm=Decimal(4200),
        strip_width_mm=Decimal(30),
        strip_height_mm=Decimal(18),
        widest_girth_mm=Decimal(2080),
        opening_girth_mm=Decimal(1700),
        key_spacing_mm=Decimal(125),
        shell_kind="laminate",
        shell_matrix="laminating-polyester",
        shell_reinforcement="chopped-strand-mat-450",
        shell_pieces=4,
        shell_layers=4,
        shell_flange_percent=Decimal(18),
        bolt_spacing_mm=Decimal(250),
        resin="polyurethane-slow",
        casting_tint="tint-resin",
        castings=30,
        casting_wall_mm=Decimal(6),
        skins=5,
        turning_rpm=Decimal(6),
        turning_ratio=Decimal("3.7"),
    )
    # From a Tuesday on two days a position leave the weekend between positions, where the piece is turned.
    set_start(job=job, starts_at=_coming(today, 1, weeks=2))
    return job
