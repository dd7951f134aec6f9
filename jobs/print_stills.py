"""Stills of a studied piece on prints: the shell pieces with their pulls."""

from typing import Any

from jobs.geometry.errors import GeometryError
from jobs.geometry.study.store import study_from_json
from jobs.models import Plan
from jobs.shown_shape import VIEWS
from jobs.shown_study import piece_lines
from jobs.studies.asking import study_for
from jobs.studies.pictures import still_images


def shell_stills(plan: Plan) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return what `print/_shell_still.html` shows, and the pictures for the print's `images=`.

    Both are empty while the shape is not studied for just this plan: a print must not show the pulls of another.
    """
    study = study_for(plan)
    if study is None or not study.fits:
        return {}, {}
    try:
        found = study_from_json(study.result or {})
    except GeometryError:
        return {}, {}
    names = {f"piece-{view}": words for view, words in VIEWS}
    images = still_images(study, *names)
    if found.taken is None or len(found.taken.pieces) < 2 or not images:
        return {}, {}
    shown = {
        "shell_stills": [(name, words) for name, words in names.items() if name in images],
        "shell_pieces": piece_lines(found.taken),
        "shell_order": found.taken.order,
    }
    return shown, images
