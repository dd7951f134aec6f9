"""The cure-schedule handout: what hangs on the wall while the coats are laid."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils import timezone

from jobs.documents.sheet import laid_out, printed_job
from jobs.errors import JobsError
from jobs.mixing_table import heading_of, ingredients
from jobs.planning.results import Coat, CoatPlace, Mix, MoldPlan, Task
from jobs.planning.work.handout_times import CoatTime, CureCalendar
from jobs.print_stills import shell_stills
from jobs.sections.printed import printed_sections
from jobs.timetable_calendar import LaidTask, WorkTimes, work_times
from studio.documents.registry import RenderedFile
from studio.figures import WorkingError
from studio.models import Document
from studio.web.context import current_profile
from studio.web.formats import clock_text, locale_code
from studio.workrates import Stage

LONG_COATS = 400
# Tasks that have a place of their own on the sheet, beside the coats and what comes before them.
SHOWN_APART = ("strip_pour", "fill", "parting_strip", "keys")


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutLine:
    """One coat at one position, with what is weighed for it there."""

    coat: Coat
    time: CoatTime
    mixes: tuple[tuple[int, Mix], ...]
    until: str
    laid: LaidTask | None = None

    @property
    def place(self) -> CoatPlace:
        """What the coat is at this position."""
        return self.coat.places[self.time.position - 1]

    @property
    def parts(self) -> list[str]:
        """The headings of what is weighed."""
        return weighed(mix for _, mix in self.mixes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cups:
    """Mixes of one kind by number, and the headings of their parts; both empty where nothing is mixed."""

    parts: list[str]
    mixes: tuple[tuple[int, Mix], ...]


def render_handout(document: Document) -> RenderedFile:
    """Lay out the cure-schedule handout of a job."""
    with printed_job(document) as one:
        try:
            times = work_times(one.job, one.plan)
        except WorkingError as error:
            raise JobsError(str(error)) from error
        calendar = times.calendar
        if len(calendar.coats) > LONG_COATS:
            raise JobsError("This plan has too many coats to print; check the wall, the coats and the positions.")
        stills, images = shell_stills(one.kept)
        strip, fill, stand = one.plan.strip, one.plan.fill, one.plan.stand
        context = {
            **stills,
            "calendar": calendar,
            "times": times,
            "printed_at": timezone.now(),
            "places": by_position(handout_lines(one.plan, calendar, times)),
            "strip_cups": cups(strip.mixes if strip else ()),
            "glue_cups": cups(strip.glue_mixes if strip else ()),
            "fill_cups": cups(fill.mixes if fill else ()),
            "key_cups": cups(stand.key_mixes if stand else ()),
            "before": [(task, times.tasks.get(task.key)) for task in before_coats(one.plan)],
            "laid": {key: times.tasks.get(key) for key in SHOWN_APART},
            "others": other_work(one.plan, times.parts),
            "ingredients": ingredients(one.plan),
            "sections": printed_sections(one.kept, one.plan),
            "figures": [one.plan.rubber_fresh, one.plan.coats_count, one.plan.mixes_count],
        }
        return laid_out(one, "print/handout.html", context, name="cure-schedule", images=images)


def cups(mixes: Sequence[Mix]) -> Cups:
    """Number mixes of one kind, with the headings of what is weighed into them."""
    return Cups(parts=weighed(mixes), mixes=tuple(enumerate(mixes, start=1)))


def before_coats(plan: MoldPlan) -> list[Task]:
    """Return the work on the piece before the first rubber of the first mold, in its order."""
    first = next(number for number, task in enumerate(plan.tasks) if task.key.startswith("coat_"))
    return [task for task in plan.tasks[:first] if task.stage is Stage.PREPARE and task.key != "strip_pour"]


def other_work(plan: MoldPlan, parts: Iterable[LaidTask]) -> list[LaidTask]:
    """Return what the timetable holds beyond what stands elsewhere on the sheet: shell, opening, castings, further molds."""
    coats = {f"coat_{coat.number}" for coat in plan.coats}
    elsewhere = {task.key for task in before_coats(plan)} | set(SHOWN_APART)
    return [
        part
        for part in parts
        if part.key not in elsewhere and ("_mold_" in part.key or part.key.partition("_position_")[0] not in coats)
    ]


def handout_lines(plan: MoldPlan, calendar: CureCalendar, times: WorkTimes | None = None) -> list[HandoutLine]:
    """Pair each coat on the clock with the mixes that are weighed for it at its position, and who lays it."""
    coats = {coat.number: coat for coat in plan.coats}
    locale = locale_code(current_profile())
    lines = []
    for time in calendar.coats:
        coat = coats[time.coat_number]
        mixes = [mix for mix in coat.mixes if mix.position == time.position]
        until = clock_text(timezone.localtime(time.ends_at).time(), locale)
        laid = None if times is None else times.of_coat(time, plan.positions)
        lines.append(HandoutLine(coat=coat, time=time, mixes=tuple(enumerate(mixes, start=1)), until=until, laid=laid))
    return lines


def by_position(lines: Iterable[HandoutLine]) -> list[tuple[int, list[HandoutLine]]]:
    """Group the coats as they follow each other: all coats of one position, then the piece is turned."""
    return [(position, list(found)) for position, found in groupby(lines, key=lambda line: line.time.position)]


def weighed(mixes: Iterable[Mix]) -> list[str]:
    """Return the headings of what is weighed into mixes of one kind."""
    first = next(iter(mixes), None)
    return [heading_of(part) for part in first.parts] if first else []
