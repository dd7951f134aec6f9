"""Studies and what they were asked for as plain JSON values, for a database column or the way out of a child process."""

from collections.abc import Mapping, Sequence
from typing import Any

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PartingPlane, StudyBrief
from jobs.geometry.study.directions import Direction
from jobs.geometry.study.results import (
    Division,
    GaugeKind,
    GaugeSpot,
    Parting,
    Point3,
    Position,
    Positions,
    ScrapRoom,
    ShellPiece,
    Study,
)
from jobs.geometry.walls_store import walls_from_json, walls_to_json
from studio.figures import Remark

FORM = 1
_PLAIN_BRIEF = (
    "wall_mm", "on_board", "shell_mm", "pieces", "rank", "slope_limit_deg", "chunk_edge_mm", "cover_mm",
)  # fmt: skip
_PLAIN_SCRAP = ("chunk_edge_mm", "cover_mm", "room_mm3", "room_bound_mm3")
_UNREADABLE = "The study of this piece cannot be read; let the shape be studied again."


def brief_to_json(brief: StudyBrief) -> dict[str, Any]:
    """Turn what is asked into plain values."""
    parting = brief.parting
    return {
        **{name: getattr(brief, name) for name in _PLAIN_BRIEF},
        "pulls": [_way(pull) for pull in brief.pulls],
        "parting": None if parting is None else [parting.azimuth_deg, parting.offset_mm],
    }


def brief_from_json(data: Mapping[str, Any]) -> StudyBrief:
    """Read what `brief_to_json` wrote, or refuse with GeometryError."""
    try:
        parting = data["parting"]
        return StudyBrief(
            **{name: data[name] for name in _PLAIN_BRIEF},
            pulls=tuple(_to_way(pull) for pull in data["pulls"]),
            parting=None if parting is None else PartingPlane(azimuth_deg=float(parting[0]), offset_mm=float(parting[1])),
        )
    except (KeyError, TypeError, ValueError, IndexError) as error:
        if isinstance(error, GeometryError):
            raise
        raise GeometryError(_UNREADABLE) from error


def study_to_json(study: Study, *, drawn: bool = True) -> dict[str, Any]:
    """Turn a study into nested lists and numbers; without `drawn` its lines and chunks are left out."""
    divisions = [_division(division, drawn=drawn) for division in study.divisions]
    taken = study.taken
    return {
        "form": FORM,
        "wall_mm": study.wall_mm,
        "cell_mm": study.cell_mm,
        "divisions": divisions,
        "taken": None if taken is None else _place_of(taken, study.divisions, drawn=drawn),
        "scrap": None if study.scrap is None else _scrap(study.scrap, drawn=drawn),
        "positions": {
            "slope_limit_deg": study.positions.slope_limit_deg,
            "positions": [[_way(position.up), position.area_mm2] for position in study.positions.positions],
            "left_out_mm2": study.positions.left_out_mm2,
        },
        "gauges": [_gauge(spot) for spot in study.gauges],
        "walls": walls_to_json(study.walls),
        "remarks": [[remark.key, remark.text] for remark in study.remarks],
    }


def study_from_json(data: Mapping[str, Any]) -> Study:
    """Read what `study_to_json` wrote, or refuse with GeometryError."""
    try:
        if data["form"] != FORM:
            raise GeometryError(_UNREADABLE)
        divisions = tuple(_to_division(row) for row in data["divisions"])
        taken, scrap = data["taken"], data["scrap"]
        return Study(
            wall_mm=float(data["wall_mm"]),
            cell_mm=float(data["cell_mm"]),
            divisions=divisions,
            taken=divisions[taken] if isinstance(taken, int) else None if taken is None else _to_division(taken),
            scrap=None if scrap is None else _to_scrap(scrap),
            positions=Positions(
                slope_limit_deg=float(data["positions"]["slope_limit_deg"]),
                positions=tuple(Position(up=_to_way(up), area_mm2=float(area)) for up, area in data["positions"]["positions"]),
                left_out_mm2=float(data["positions"]["left_out_mm2"]),
            ),
            gauges=tuple(_to_gauge(row) for row in data["gauges"]),
            walls=walls_from_json(data.get("walls")),
            # Studies of before had none.
            remarks=tuple(Remark(key=str(key), text=str(text)) for key, text in data.get("remarks", ())),
        )
    except GeometryError:
        raise
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as error:
        raise GeometryError(_UNREADABLE) from error


def _place_of(taken: Division, divisions: Sequence[Division], *, drawn: bool) -> int | dict[str, Any]:
    """Return which of the divisions was taken, so that it is written once."""
    return next((place for place, one in enumerate(divisions) if one == taken), _division(taken, drawn=drawn))


def _division(division: Division, *, drawn: bool) -> dict[str, Any]:
    return {
        "rank": division.rank,
        "pieces": [
            [piece.number, _way(piece.pull), piece.pinned, piece.area_mm2, piece.reach_mm, list(piece.size_mm)]
            for piece in division.pieces
        ],
        "partings": [
            [list(one.between), [list(point) for point in one.points] if drawn else [], one.closed, one.length_mm]
            for one in division.partings
        ],
        "parting_mm": division.parting_mm,
        "fill_mm3": division.fill_mm3,
        "fill_bound_mm3": division.fill_bound_mm3,
        "outside_mm2": division.outside_mm2,
        "order": list(division.order),
        "blocked": [list(pair) for pair in division.blocked],
        "unseen_mm2": division.unseen_mm2,
    }


def _to_division(data: Mapping[str, Any]) -> Division:
    return Division(
        rank=int(data["rank"]),
        pieces=tuple(
            ShellPiece(
                number=int(number), pull=_to_way(pull), pinned=bool(pinned), area_mm2=float(area), reach_mm=float(reach),
                size_mm=_to_point(size),
            )
            for number, pull, pinned, area, reach, size in data["pieces"]
        ),
        partings=tuple(
            Parting(
                between=_to_pair(between), points=tuple(_to_point(point) for point in points), closed=bool(closed),
                length_mm=float(length),
            )
            for between, points, closed, length in data["partings"]
        ),
        parting_mm=float(data["parting_mm"]),
        fill_mm3=float(data["fill_mm3"]),
        fill_bound_mm3=float(data["fill_bound_mm3"]),
        outside_mm2=float(data["outside_mm2"]),
        order=tuple(int(number) for number in data["order"]),
        blocked=tuple(_to_pair(pair) for pair in data["blocked"]),
        unseen_mm2=float(data["unseen_mm2"]),
    )  # fmt: skip


def _scrap(room: ScrapRoom, *, drawn: bool) -> dict[str, Any]:
    return {
        **{name: getattr(room, name) for name in _PLAIN_SCRAP},
        "laid": room.laid,
        "places": [list(place) for place in room.places] if drawn else [],
    }


def _to_scrap(data: Mapping[str, Any]) -> ScrapRoom:
    return ScrapRoom(
        **{name: float(data[name]) for name in _PLAIN_SCRAP},
        laid=int(data["laid"]),
        places=tuple(_to_point(place) for place in data["places"]),
    )


def _gauge(spot: GaugeSpot) -> list[Any]:
    return [spot.kind.value, list(spot.point), _way(spot.outward), spot.why]


def _to_gauge(data: Sequence[Any]) -> GaugeSpot:
    kind, point, outward, why = data
    return GaugeSpot(kind=GaugeKind(kind), point=_to_point(point), outward=_to_way(outward), why=str(why))


def _way(way: Direction) -> list[float]:
    return [float(way.x), float(way.y), float(way.z)]


def _to_way(data: Sequence[float]) -> Direction:
    x, y, z = data
    return Direction(x=float(x), y=float(y), z=float(z))


def _to_point(data: Sequence[float]) -> Point3:
    x, y, z = data
    return float(x), float(y), float(z)


def _to_pair(data: Sequence[int]) -> tuple[int, int]:
    a, b = data
    return int(a), int(b)
