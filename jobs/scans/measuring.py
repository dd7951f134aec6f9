"""The worker's side of scans: claim one, look at it or measure it, write down what came out."""

from django.db import transaction

from jobs import claims
from jobs.claims import Claim, push_lost, take
from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_brief import MeshBrief
from jobs.geometry.mesh_child import look_in_child, measure_in_child, wait_for_kernels
from jobs.models import ScanFile
from jobs.readings import texture_given
from jobs.scans.claims import ClaimLost, close
from jobs.scans.files import path_of
from jobs.scans.news import News, put_to_use, settle
from jobs.scans.queueing import push

GAVE_UP = (
    "The worker stopped three times while reading this file, so it was given up. Reduce the number of triangles in the "
    "scanning program and send the file again."
)
State = ScanFile.State


def process(scan_id: int) -> str:
    """Look at a scan, or measure it when its unit is known; safe to run twice and at the same time."""
    # Before the claim: compiling counts neither as an attempt nor against the lease, and refuses nobody.
    if _wants_kernels(scan_id) and not wait_for_kernels():
        return "not compiled yet"
    scan = claim(scan_id)
    if scan is None:
        return "nothing to do"
    try:
        return measure(scan) if scan.unit else look(scan)
    except GeometryError as error:
        close(scan, state=State.REFUSED, reason=str(error))
        return "refused"


def _wants_kernels(scan_id: int) -> bool:
    return ScanFile.objects.filter(pk=scan_id, state__in=[State.QUEUED, State.READING]).exclude(unit="").exists()


def claim(scan_id: int) -> ScanFile | None:
    """Take a scan that waits, or whose reader is gone; None when somebody else has it or it is done."""
    row = ScanFile.objects.filter(pk=scan_id)
    claimed = take(row, busy=State.READING, gave_up=GAVE_UP)
    if claimed is Claim.GIVEN_UP:
        settle(row.get())
    return row.select_related("piece").get() if claimed is Claim.TAKEN else None


def look(scan: ScanFile) -> str:
    """Read how large the mesh is in its own unit, so that the unit can be asked with a guess."""
    glance = look_in_child(path_of(scan))
    facts = {
        "format": glance.format,
        "faces": glance.faces,
        "extents": list(glance.extents),
        "guess": glance.guess.unit,
        "why": glance.guess.why,
        "largest_mm": dict(glance.guess.largest_mm),
        "area": glance.area,
        "volume": glance.volume,
        "up_axis": glance.up_axis,
        "said": glance.said,
    }
    close(scan, state=State.ASKED, facts=facts)
    return "asked"


def measure(scan: ScanFile) -> str:
    """Measure the mesh and put its takeoff to use."""
    wishes = scan.wishes
    brief = MeshBrief(
        unit=scan.unit,
        up_axis=scan.up_axis,
        stands_on_board=bool(wishes.get("stands_on_board", True)),
        flange_width_mm=float(wishes.get("flange_width_mm", 0.0)),
        texture=texture_given(
            height_mm=float(wishes.get("texture_height_mm", 0.0)), spacing_mm=float(wishes.get("texture_spacing_mm", 0.0))
        ),
    )
    news = News(scan)
    try:
        takeoff = measure_in_child(path_of(scan), brief, report=news)
    except ClaimLost:
        return "somebody else has it"
    except GeometryError:
        if not news.begun:
            raise
        # Area and volume are in use already; the walls stay by the formula.
        settle(scan)
        close(scan, state=State.READY)
        return "measured without walls"
    with transaction.atomic():
        if close(scan, state=State.READY):
            put_to_use(scan, takeoff)
    return "measured"


def sweep() -> int:
    """Push every scan whose task was lost; return how many."""
    return push_lost(ScanFile.objects.all(), busy=State.READING, push=push)


def queue(scan: ScanFile) -> None:
    """Let the worker have the scan as soon as the transaction is kept."""
    claims.queue(scan, push)
