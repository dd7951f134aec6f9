"""Studies with known figures, for tests of what follows from them."""

from typing import Any

from jobs.geometry.study.directions import direction
from jobs.geometry.study.results import Division, GaugeSpot, Position, Positions, ScrapRoom, ShellPiece, Study
from jobs.geometry.study.store import study_to_json
from jobs.geometry.walls import MeasuredWalls
from jobs.models import Job, PieceStudy
from jobs.services.plans import plan_of
from jobs.studies.asking import ask_study

AREAS = {2: (0.12, 0.08), 3: (0.1, 0.06, 0.04), 4: (0.05, 0.05, 0.05, 0.05)}
# Litres of fill, metres of parting, by number of pieces and rank.
FILLS = {(2, 0): 1.5, (2, 1): 2.25, (3, 0): 1.0, (3, 1): 1.25, (4, 0): 0.5, (4, 1): 0.75}
PARTINGS = {2: 0.9, 3: 1.4, 4: 1.8}


def division(count: int, rank: int = 0, *, pinned: bool = False, order: bool = True, fill_l: float | None = None) -> Division:
    """Make a way of dividing the shell with the figures above."""
    pieces = tuple(
        ShellPiece(
            number=number, pull=direction(360.0 * (number - 1) / count + 10 * rank, 0.0), pinned=pinned and number == 1,
            area_mm2=area * 1e6, reach_mm=100, size_mm=(100, 100, 100),
        )
        for number, area in enumerate(AREAS[count], start=1)
    )  # fmt: skip
    fill = FILLS[count, rank] if fill_l is None else fill_l
    return Division(
        rank=rank, pieces=pieces, partings=(), parting_mm=PARTINGS[count] * 1000, fill_mm3=fill * 1e6, fill_bound_mm3=1e4,
        outside_mm2=sum(AREAS[count]) * 1e6, order=tuple(range(1, count + 1)) if order else (),
        blocked=() if order else ((1, 2), (2, 1)),
    )  # fmt: skip


def study(
    *,
    taken: Division | None,
    wall_mm: float = 9.5,
    room_l: float = 1.0,
    edge_mm: float = 20.0,
    walls: MeasuredWalls | None = None,
    gauges: tuple[GaugeSpot, ...] = (),
) -> Study:
    """Make a study that takes one way among all the ways above, and holds the piece in five positions."""
    up = tuple(Position(up=direction(72.0 * n, 0.0), area_mm2=0.05e6) for n in range(5))
    every = tuple(division(count, rank) for count, rank in FILLS)
    return Study(
        wall_mm=wall_mm, cell_mm=2.0, divisions=every, taken=taken, gauges=gauges, walls=walls,
        scrap=ScrapRoom(chunk_edge_mm=edge_mm, cover_mm=5.0, room_mm3=room_l * 1e6, places=(), laid=10),
        positions=Positions(slope_limit_deg=50.0, positions=up, left_out_mm2=0.0),
    )  # fmt: skip


def have_studied(job: Job, found: Study, **values: Any) -> PieceStudy:
    """Write down that the study which the job's plan asks for found this."""
    row = ask_study(plan_of(job))
    assert row is not None
    result = study_to_json(found)
    PieceStudy.objects.filter(pk=row.pk).update(state="ready", result=result, figures=study_to_json(found, drawn=False), **values)
    row.refresh_from_db()
    return row
