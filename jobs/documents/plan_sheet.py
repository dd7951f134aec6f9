"""The plan sheet: how the mold is made and the run is cast, to agree on before rubber is opened."""

from jobs.documents.sheet import laid_out, minded, printed_job
from jobs.inputs import takeoff_of
from jobs.mixing_table import coats_table
from jobs.parts.mold import mold_parts
from jobs.parts.run import card_parts, shell_parts
from jobs.parts.troubles import not_good
from jobs.sections.printed import printed_sections
from studio.documents.registry import RenderedFile
from studio.models import Document


def render_plan_sheet(document: Document) -> RenderedFile:
    """Lay out the plan sheet of a job."""
    with printed_job(document) as one:
        made = one.plan
        context = {
            "takeoff": takeoff_of(one.job.piece),
            "mixes": coats_table(made),
            "mold_parts": mold_parts(made),
            "shell_parts": shell_parts(made),
            "castings_parts": [told for told in card_parts(made) if told.key != "frame"],
            "troubles": not_good(made.troubles),
            "work": [task for task in made.tasks if "_mold_" not in task.key],
            "minded": [note for note in minded(made) if note.tone != "stop"],
            "cautions": made.cautions.every(),
            "sections": printed_sections(one.kept, made),
            "figures": [made.rubber_fresh, made.hours_hands_on, made.coats_count, made.mixes_count],
        }
        return laid_out(one, "print/plan_sheet.html", context, name="plan-sheet")
