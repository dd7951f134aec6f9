"""What sets the four pages of a plan apart; everything else they share."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from jobs.forms.stages import CastingsForm, CoatsForm, MoldForm, ShellForm, StageForm
from jobs.planning.results import Mix, MoldPlan, Part
from studio.figures import Figure
from studio.workrates import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePage:
    """One page of a plan: its form, the figures it shows, and the work it lists."""

    key: str
    template: str
    url_name: str
    form: type[StageForm]
    figures: Callable[[MoldPlan], Iterator[Figure]]
    stages: tuple[Stage, ...]


def _mold(made: MoldPlan) -> Iterator[Figure]:
    yield from (
        made.rubber_fresh, made.rubber_net, made.scrap, made.coats_count, made.mixes_count, made.blanket_mass,
        made.mold_hours, made.hours_hands_on,
    )  # fmt: skip
    if made.fill is not None:
        fill = made.fill
        yield from (fill.volume, fill.scrap_mass, fill.scrap_wished, fill.fresh_volume, fill.mixed_mass)
        yield from _mixes(fill.mixes)


def _coats(made: MoldPlan) -> Iterator[Figure]:
    yield from (made.rubber_fresh, made.coats_count, made.mixes_count, made.mold_hours)
    for coat in made.coats:
        yield from (coat.thickness, coat.area, coat.net_mass, coat.mixed_mass, coat.mix_cap, coat.minutes, coat.earliest_next)
        if coat.latest_next is not None:
            yield coat.latest_next
        yield from _mixes(coat.mixes)


def _shell(made: MoldPlan) -> Iterator[Figure]:
    if made.shell is not None:
        shell = made.shell
        yield from (shell.area, shell.thickness, shell.mass, shell.piece_mass, shell.minutes)
        yield from _parts(shell.parts)


def _castings(made: MoldPlan) -> Iterator[Figure]:
    if made.casting is None:
        return
    run = made.casting
    yield from (
        run.skin_thickness, run.shot_mass, run.casting_mass, run.mixed_mass, run.skin_mass, run.minutes_each, run.cycle,
        run.per_day, run.days,
    )  # fmt: skip
    yield from (figure for figure in (run.film_limit, run.size, made.resin_total) if figure is not None)
    yield from _parts(run.skin_parts)


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
            key="mold", template="jobs/mold.html", url_name="jobs:mold_show", form=MoldForm, figures=_mold,
            stages=(Stage.CLIENT, Stage.PREPARE, Stage.FILL),
        ),
        StagePage(
            key="coats", template="jobs/coats.html", url_name="jobs:coats_show", form=CoatsForm, figures=_coats,
            stages=(Stage.COATS,),
        ),
        StagePage(
            key="shell", template="jobs/shell.html", url_name="jobs:shell_show", form=ShellForm, figures=_shell,
            stages=(Stage.SHELL, Stage.OPEN),
        ),
        StagePage(
            key="castings", template="jobs/castings.html", url_name="jobs:castings_show", form=CastingsForm,
            figures=_castings, stages=(Stage.CAST, Stage.FINISH),
        ),
    )
}  # fmt: skip
