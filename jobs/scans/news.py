"""What measuring has found so far: kept with the scan for its page, and put to use as a takeoff before the walls are known."""

from typing import Any

from django.db import transaction

from jobs.geometry.errors import GeometryError
from jobs.geometry.mesh_child import MeshNews
from jobs.geometry.takeoff import Takeoff, takeoff_from_json
from jobs.geometry.walls_remarks import settled
from jobs.models import Piece, ScanFile, TakeoffRecord
from jobs.scans.claims import write
from jobs.services.pieces import fill_takeoff, record_takeoff

# Facts of one measuring; those of the first look stay when the piece is measured again.
_OF_ONE_MEASURING = ("step", "takeoff", "found")


class News:
    """Writes every step down under the scan's claim; raises ClaimLost where that is gone."""

    def __init__(self, scan: ScanFile) -> None:
        self._scan = scan

    @property
    def begun(self) -> bool:
        """Say whether a takeoff is in use already."""
        return "takeoff" in self._scan.facts

    def __call__(self, news: MeshNews) -> None:
        """Keep one step, and its takeoff if it brings one."""
        scan, facts = self._scan, {**self._scan.facts, "step": news.step}
        if news.faces:
            facts["faces"] = news.faces
        with transaction.atomic():
            write(scan, facts=facts)
            if news.takeoff is not None:
                put_to_use(scan, news.takeoff, walls_follow=True)
                facts["takeoff"] = scan.facts["takeoff"]
                facts["found"] = {"area_m2": news.takeoff.area.value, "volume_m3": news.takeoff.volume.value}
                write(scan, facts=facts)
        scan.facts = facts


def put_to_use(scan: ScanFile, takeoff: Takeoff, *, walls_follow: bool = False) -> None:
    """Put a takeoff to use, or fill in the one that this measuring began."""
    begun = scan.facts.get("takeoff")
    if begun and fill_takeoff(record_id=begun, takeoff=takeoff):
        return
    record = record_takeoff(piece=scan.piece, takeoff=takeoff, method=Piece.MeasuredBy.SCAN, scan=scan, walls_follow=walls_follow)
    scan.facts["takeoff"] = record.pk


def settle(scan: ScanFile) -> None:
    """Let a takeoff that was begun stand without its walls."""
    record = TakeoffRecord.objects.filter(pk=scan.facts.get("takeoff", 0)).first()
    if record is None:
        return
    try:
        fill_takeoff(record_id=record.pk, takeoff=settled(takeoff_from_json(record.content)))
    except GeometryError:  # stored by another version: it says itself that it cannot be read
        return


@transaction.atomic
def forget(scan_id: int) -> None:
    """Let the next measuring begin a takeoff of its own."""
    facts: dict[str, Any] = ScanFile.objects.values_list("facts", flat=True).get(pk=scan_id)
    kept = {key: value for key, value in facts.items() if key not in _OF_ONE_MEASURING}
    ScanFile.objects.filter(pk=scan_id).update(facts=kept)
