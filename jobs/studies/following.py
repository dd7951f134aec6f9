"""What a plan takes from the studies of its piece, and what is to be said while they are not ready."""

from collections.abc import Iterable, Mapping

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.brief import PIECE_COUNTS, StudyBrief
from jobs.geometry.study.results import Division, ScrapRoom, Study
from jobs.geometry.study.store import brief_from_json, study_from_json
from jobs.models import PieceStudy, Plan, TakeoffRecord
from jobs.planning.shape import ShapeBrief, lengths, shape_brief
from jobs.studies.wishes import brief_for, fingerprint_of, shape_of, source_of
from studio.figures import Given, Remark

State = PieceStudy.State
# What a plan can leave to the shape, by its field.
LEFT = {"fill_volume_l": "fill", "seam_length_mm": "parting strip", "positions": "positions"}
DIVIDED = ("fill_volume_l", "seam_length_mm")
Pair = tuple[Plan, TakeoffRecord | None]


def shape_for(plan: Plan, record: TakeoffRecord | None, rates: Mapping[str, Given]) -> ShapeBrief | None:
    """Return what the shape tells one plan, kept or not."""
    return shapes_for([(plan, record)], rates)[0]


def shapes_for(pairs: Iterable[Pair], rates: Mapping[str, Given]) -> list[ShapeBrief | None]:
    """Return what the shape tells each of many plans, in one query."""
    listed = list(pairs)
    rows: dict[int, list[PieceStudy]] = {}
    wanted = {record.piece_id for _, record in listed if record is not None}
    for row in PieceStudy.objects.filter(piece__in=wanted).defer("result", "steps").order_by("-asked_at", "-pk"):
        rows.setdefault(row.piece_id, []).append(row)
    return [None if record is None else _shape(plan, record, rates, rows.get(record.piece_id, [])) for plan, record in listed]


def division_for(study: Study, brief: StudyBrief) -> Division | None:
    """Return the way of dividing the shell that is asked for, if a study holds it."""
    if brief.pulls or brief.parting is not None:
        return None
    fitting = (one for one in study.divisions if len(one.pieces) == brief.pieces and not _pinned(one))
    return next((one for one in fitting if one.rank == brief.rank), None)


def _shape(plan: Plan, record: TakeoffRecord, rates: Mapping[str, Given], rows: list[PieceStudy]) -> ShapeBrief | None:
    source, shape = source_of(record), shape_of(record)
    if source is None:
        return None
    try:
        brief = brief_for(plan, rates)
    except GeometryError as error:
        return _nothing(plan, f"Nothing is computed from the shape: {error}")
    fingerprint = fingerprint_of(source, brief)
    own = next((row for row in rows if row.fingerprint == fingerprint), None)
    # Pulls and a parting are fixed on a study that was made without them; what they change comes from their own alone.
    ready = [row for row in rows if row.shape == shape and row.state == State.READY]
    if own is not None and own.state == State.READY:
        ready = [own]
    for row in ready:
        try:
            asked, study = brief_from_json(row.brief), study_from_json(row.figures or {})
        except GeometryError:
            continue
        if row is own:
            return _of_own(plan, brief, study)
        return _of_other(plan, brief, asked, study, own)
    if own is not None and own.state == State.REFUSED:
        return _nothing(plan, f"The shape could not be studied. {own.reason}")
    return _nothing(plan, f"{{Left}} {{are}} {_waiting(own)}; until then {{counting}}.")


def _of_own(plan: Plan, brief: StudyBrief, study: Study) -> ShapeBrief:
    remarks: tuple[Remark, ...] = ()
    if study.taken is None and brief.pieces not in PIECE_COUNTS and brief.pieces != 1:
        remarks = _remark(plan, f"Ways of pulling a shell are searched for 2, 3 and 4 pieces; for {brief.pieces}, type {{left}}.")
    return shape_brief(
        wall_mm=study.wall_mm, division=study.taken, positions=study.positions, scrap=study.scrap, walls=study.walls,
        gauges=study.gauges, remarks=remarks,
    )  # fmt: skip


def _of_other(plan: Plan, brief: StudyBrief, asked: StudyBrief, study: Study, own: PieceStudy | None) -> ShapeBrief:
    """Take what counts from a study that was made for other decisions, and say so."""
    waiting, refused = _waiting(own), own.reason if own is not None and own.state == State.REFUSED else ""
    division, instead = division_for(study, brief), _as_many(study, brief)
    scrap: ScrapRoom | None = study.scrap if asked.chunk_edge_mm == brief.chunk_edge_mm and division == study.taken else None
    remarks: tuple[Remark, ...] = ()
    if not (asked.wall_mm == brief.wall_mm and asked.on_board == brief.on_board):
        told = f"{{Left}} {{are}} from a wall of {lengths(asked.wall_mm)}; for {lengths(brief.wall_mm)} {{they_are}} {waiting}."
        remarks = _remark(plan, told)
    elif division is None and instead is not None:
        told = f"{{Left}} {{are}} those of another way of pulling as many pieces; for this one {{they_are}} {waiting}."
        remarks = _remark(plan, told, DIVIDED)
    elif division is None and brief.pieces != 1:
        remarks = _remark(plan, f"{{Left}} for this shell {{are}} {waiting}; until then {{counting}}.", DIVIDED)
    if remarks and refused:
        remarks = (*remarks, Remark(key="study_refused", text=f"The shape could not be studied for this plan. {refused}"))
    return shape_brief(
        wall_mm=study.wall_mm, division=division or instead, positions=study.positions, scrap=scrap, walls=study.walls,
        gauges=study.gauges, remarks=remarks,
    )  # fmt: skip


def _as_many(study: Study, brief: StudyBrief) -> Division | None:
    """Return a way with as many pieces, to stand in while the one that is asked for is computed."""
    fitting = [one for one in study.divisions if len(one.pieces) == brief.pieces]
    if study.taken is not None and len(study.taken.pieces) == brief.pieces:
        fitting.insert(0, study.taken)
    return next(iter(fitting), None)


def _nothing(plan: Plan, text: str) -> ShapeBrief:
    return ShapeBrief(remarks=_remark(plan, text))


def _remark(plan: Plan, text: str, fields: Iterable[str] = LEFT) -> tuple[Remark, ...]:
    """Say something of what the plan leaves to the shape; nothing where a person typed it all."""
    left = [LEFT[field] for field in fields if getattr(plan, field) is None]
    if plan.shell_kind == Plan.ShellKind.NONE:
        left = [word for word in left if word == "positions"]
    if not left:
        return ()
    many = len(left) > 1 or left == ["positions"]
    nought = [word for word in left if word != "positions"]
    counting = [f"{_listed(nought)} count{'' if len(nought) > 1 else 's'} as nought"] if nought else []
    if "positions" in left:
        counting.append("two positions are supposed")
    words = {
        "{left}": _listed(left),
        "{Left}": _listed(left).capitalize(),
        "{are}": "are" if many else "is",
        "{they_are}": "they are" if many else "it is",
        "{counting}": " and ".join(counting),
    }
    for token, word in words.items():
        text = text.replace(token, word)
    return (Remark(key="study", text=text),)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _waiting(own: PieceStudy | None) -> str:
    if own is None:
        return "computed from the shape once this plan is kept"
    return "being computed from the shape" if own.busy else "not to be had from the shape"


def _pinned(division: Division) -> bool:
    return any(piece.pinned for piece in division.pieces)
