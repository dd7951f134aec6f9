"""Takeoffs as plain JSON values, for a database column or the way out of a child process."""

from collections.abc import Mapping, Sequence
from typing import Any

from jobs.geometry.errors import GeometryError
from jobs.geometry.measured import Fault, Method, Takeoff
from jobs.geometry.outline import Outline, OutlineKind
from jobs.geometry.walls_store import walls_from_json, walls_to_json
from studio.figures import Figure, Given, Remark, Source, SourceKind

FORM = 1
_FIGURES = (
    "area", "volume", "mean_curvature", "inner_curvature", "footprint_area", "rim_length", "flange_area",
)  # fmt: skip


def takeoff_to_json(takeoff: Takeoff) -> dict[str, Any]:
    """Turn a takeoff into nested dicts, lists, strings and numbers."""
    return {
        "form": FORM,
        "method": takeoff.method.value,
        "stands_on_board": takeoff.stands_on_board,
        **{name: figure_to_json(getattr(takeoff, name)) for name in _FIGURES},
        "sphere_part": takeoff.sphere_part,
        "inner_sphere_part": takeoff.inner_sphere_part,
        "box_mm": list(takeoff.box_mm),
        "texture_factor": given_to_json(takeoff.texture_factor),
        "spread_percent": given_to_json(takeoff.spread_percent),
        "remarks": [_remark_to_json(remark) for remark in takeoff.remarks],
        "faults": [{"name": f.name, "count": f.count, "cost": f.cost} for f in takeoff.faults],
        "outline": _outline_to_json(takeoff.outline),
        "walls": walls_to_json(takeoff.walls),
    }


def takeoff_from_json(data: Mapping[str, Any]) -> Takeoff:
    """Read what `takeoff_to_json` wrote, or refuse with GeometryError."""
    try:
        if data["form"] != FORM:
            raise GeometryError("This takeoff was stored by another version; measure the piece again.")
        figures = {name: figure_from_json(data[name]) for name in _FIGURES}
        x, y, z = (float(extent) for extent in data["box_mm"])
        return Takeoff(
            method=Method(data["method"]),
            stands_on_board=bool(data["stands_on_board"]),
            sphere_part=float(data["sphere_part"]),
            inner_sphere_part=float(data["inner_sphere_part"]),
            box_mm=(x, y, z),
            texture_factor=given_from_json(data["texture_factor"]),
            spread_percent=given_from_json(data["spread_percent"]),
            remarks=tuple(_remark_from_json(remark) for remark in data["remarks"]),
            faults=tuple(Fault(name=str(f["name"]), count=int(f["count"]), cost=str(f["cost"])) for f in data["faults"]),
            outline=_outline_from_json(data["outline"]),
            # Takeoffs stored before walls were measured have none.
            walls=walls_from_json(data.get("walls")),
            **figures,
        )
    except GeometryError:
        raise
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise GeometryError("The stored takeoff cannot be read; measure the piece again.") from error


def figure_to_json(figure: Figure) -> dict[str, Any]:
    """Turn a figure and what it was computed from into plain values."""
    return {
        "key": figure.key,
        "label": figure.label,
        "value": figure.value,
        "unit": figure.unit,
        "formula": figure.formula,
        "given": [figure_to_json(g) if isinstance(g, Figure) else given_to_json(g) for g in figure.given],
        "source": _source_to_json(figure.source),
        "low": figure.low,
        "high": figure.high,
        "note": figure.note,
    }


def figure_from_json(data: Mapping[str, Any]) -> Figure:
    """Read what `figure_to_json` wrote."""
    return Figure(
        key=str(data["key"]),
        label=str(data["label"]),
        value=float(data["value"]),
        unit=str(data["unit"]),
        formula=str(data["formula"]),
        given=tuple(figure_from_json(g) if "formula" in g else given_from_json(g) for g in data["given"]),
        source=_source_from_json(data["source"]),
        low=_number_or_none(data["low"]),
        high=_number_or_none(data["high"]),
        note=str(data["note"]),
    )


def given_to_json(given: Given) -> dict[str, Any]:
    """Turn an input into plain values."""
    return {
        "label": given.label,
        "value": given.value,
        "unit": given.unit,
        "source": _source_to_json(given.source),
        "low": given.low,
        "high": given.high,
    }


def given_from_json(data: Mapping[str, Any]) -> Given:
    """Read what `given_to_json` wrote."""
    return Given(
        label=str(data["label"]),
        value=float(data["value"]),
        unit=str(data["unit"]),
        source=_source_from_json(data["source"]),
        low=_number_or_none(data["low"]),
        high=_number_or_none(data["high"]),
    )


def _source_to_json(source: Source) -> list[str]:
    return [source.kind.value, source.text]


def _source_from_json(data: Sequence[str]) -> Source:
    kind, text = data
    return Source(kind=SourceKind(kind), text=str(text))


def _remark_to_json(remark: Remark) -> dict[str, Any]:
    return {
        "key": remark.key,
        "text": remark.text,
        "tone": remark.tone,
        "figures": [figure_to_json(figure) for figure in remark.figures],
    }


def _remark_from_json(data: Mapping[str, Any]) -> Remark:
    return Remark(
        key=str(data["key"]),
        text=str(data["text"]),
        tone=str(data["tone"]),
        figures=tuple(figure_from_json(figure) for figure in data["figures"]),
    )


def _outline_to_json(outline: Outline | None) -> dict[str, Any] | None:
    if outline is None:
        return None
    return {"kind": outline.kind.value, "points": [list(point) for point in outline.points]}


def _outline_from_json(data: Mapping[str, Any] | None) -> Outline | None:
    if data is None:
        return None
    return Outline(points=tuple((float(x), float(z)) for x, z in data["points"]), kind=OutlineKind(data["kind"]))


def _number_or_none(value: float | None) -> float | None:
    return None if value is None else float(value)
