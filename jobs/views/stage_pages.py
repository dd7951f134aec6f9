"""What sets the four pages of a plan apart; everything else they share."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from operator import attrgetter

from jobs.forms.stages import CastingsForm, CoatsForm, MoldForm, ShellForm, StageForm
from jobs.planning.results import Cautions, Mix, MoldPlan, Part
from studio.figures import Caution, Figure, Remark
from studio.workrates import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePage:
    """One page of a plan: its form, the figures it shows, the work it lists, and what is said there.

    `summary` are the figures that stand beside the form; `remarks` are the beginnings of the keys of what belongs here;
    `cautions` picks those of this page's work.
    """

    key: str
    template: str
    url_name: str
    form: type[StageForm]
    summary: Callable[[MoldPlan], Iterator[Figure]]
    details: Callable[[MoldPlan], Iterator[Figure]]
    stages: tuple[Stage, ...]
    remarks: tuple[str, ...]
    cautions: Callable[[Cautions], tuple[Caution, ...]]

    def figures(self, made: MoldPlan) -> Iterator[Figure]:
        """Return every figure that the page pairs with what it was."""
        yield from self.summary(made)
        yield from self.details(made)
        yield from (task.minutes for task in made.tasks if task.stage in self.stages)

    def remarks_of(self, made: MoldPlan) -> list[Remark]:
        """Return the remarks that belong on this page."""
        return [remark for remark in made.remarks if remark.key.startswith(self.remarks)]


def _mold_summary(made: MoldPlan) -> Iterator[Figure]:
    yield from (
        made.rubber_fresh, made.rubber_net, made.blanket_mass, made.scrap, made.coats_count, made.mixes_count, made.mold_hours,
        made.positions_count, made.seam,
    )  # fmt: skip


def _mold_details(made: MoldPlan) -> Iterator[Figure]:
    if made.fill is not None:
        fill = made.fill
        yield from (fill.volume, fill.scrap_mass, fill.scrap_wished, fill.fresh_volume, fill.mixed_mass)
        yield from () if fill.scrap_room is None else (fill.scrap_room,)
        yield from _mixes(fill.mixes)


def _coats_summary(made: MoldPlan) -> Iterator[Figure]:
    yield from (made.rubber_fresh, made.coats_count, made.mixes_count, made.mold_hours, made.blanket_cure)


def _coats_details(made: MoldPlan) -> Iterator[Figure]:
    for coat in made.coats:
        yield from (coat.thickness, coat.area, coat.net_mass, coat.mixed_mass, coat.mix_cap, coat.minutes, coat.earliest_next)
        if coat.latest_next is not None:
            yield coat.latest_next
        yield from _mixes(coat.mixes)


def _shell_summary(made: MoldPlan) -> Iterator[Figure]:
    if made.shell is not None:
        yield from (made.shell.area, made.shell.thickness, made.shell.mass, made.shell.piece_mass, made.shell.minutes)


def _shell_details(made: MoldPlan) -> Iterator[Figure]:
    if made.shell is not None:
        yield from made.shell.piece_masses
        yield from _parts(made.shell.parts)


def _castings_summary(made: MoldPlan) -> Iterator[Figure]:
    run = made.casting
    if run is None:
        return
    found = (
        run.casting_mass, run.mixed_mass, run.skin_thickness, run.film_limit, run.size, run.minutes_each, run.cycle,
        run.per_day, run.days, made.resin_total,
    )  # fmt: skip
    yield from (figure for figure in found if figure is not None)


def _castings_details(made: MoldPlan) -> Iterator[Figure]:
    if made.casting is not None:
        yield made.casting.skin_mass
        yield from _parts(made.casting.skin_parts)


def _mixes(mixes: tuple[Mix, ...]) -> Iterator[Figure]:
    for mix in mixes:
        yield mix.mass
        yield from _parts(mix.parts)


def _parts(parts: tuple[Part, ...]) -> Iterator[Figure]:
    return (part.mass for part in parts)


STAGE_PAGES: dict[str, StagePage] = {
    page.key: page
    for page in (
        StagePage(
            key="mold", template="jobs/mold.html", url_name="jobs:mold_show", form=MoldForm,
            summary=_mold_summary, details=_mold_details, stages=(Stage.CLIENT, Stage.PREPARE, Stage.FILL),
            remarks=("shell", "study", "verdict", "floppy", "freestanding", "scrap", "face", "chunk", "packing", "overrides",
                     "stretch", "wall", "stand", "key", "rib", "gap", "gauge"),
            cautions=attrgetter("blanket"),
        ),
        StagePage(
            key="coats", template="jobs/coats.html", url_name="jobs:coats_show", form=CoatsForm,
            summary=_coats_summary, details=_coats_details, stages=(Stage.COATS,),
            remarks=("shell", "print", "hard", "sag", "air", "vacuum", "gauge"), cautions=attrgetter("blanket"),
        ),
        StagePage(
            key="shell", template="jobs/shell.html", url_name="jobs:shell_show", form=ShellForm,
            summary=_shell_summary, details=_shell_details, stages=(Stage.SHELL, Stage.OPEN),
            remarks=("shell", "study", "lift", "wet"),
            cautions=attrgetter("shell"),
        ),
        StagePage(
            key="castings", template="jobs/castings.html", url_name="jobs:castings_show", form=CastingsForm,
            summary=_castings_summary, details=_castings_details, stages=(Stage.CAST, Stage.FINISH),
            remarks=("shell", "film", "few", "slow", "life", "frame", "heat", "warm"),
            cautions=attrgetter("castings"),
        ),
    )
}  # fmt: skip
