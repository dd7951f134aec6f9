"""The figures beside the forms of a plan's pages and in their own tables."""

from collections.abc import Iterator

from jobs.mixing_table import coats_table
from jobs.planning.results import MoldPlan, Part
from studio.figures import Figure


def mold_summary(made: MoldPlan) -> Iterator[Figure]:
    """Return what stands beside the form of the Mold page."""
    yield from (
        made.rubber_fresh, made.rubber_net, made.blanket_mass, made.scrap, made.coats_count, made.mixes_count, made.mold_hours,
        made.positions_count,
    )  # fmt: skip
    # The planned strip says its own length further down.
    yield from () if made.strip is not None else (made.seam,)


def nothing_more(_made: MoldPlan) -> Iterator[Figure]:
    """Return no figures: all stand in the page's parts."""
    return iter(())


def coats_summary(made: MoldPlan) -> Iterator[Figure]:
    """Return what stands beside the form of the Coats page."""
    yield from (made.rubber_fresh, made.coats_count, made.mixes_count, made.mold_hours, made.blanket_cure)


def coats_details(made: MoldPlan) -> Iterator[Figure]:
    """Return the figures of the coats, of their places, and of their cups."""
    for coat in made.coats:
        yield from (coat.thickness, coat.area, coat.net_mass, coat.mixed_mass, coat.mix_cap, coat.minutes, coat.earliest_next)
        yield from () if coat.latest_next is None else (coat.latest_next,)
        for place in coat.places:
            yield from (place.net_mass, place.minutes)
    yield from coats_table(made).every_figure()


def shell_summary(made: MoldPlan) -> Iterator[Figure]:
    """Return what stands beside the form of the Shell page."""
    if made.shell is not None:
        yield from (made.shell.area, made.shell.thickness, made.shell.mass, made.shell.piece_mass, made.shell.minutes)


def shell_details(made: MoldPlan) -> Iterator[Figure]:
    """Return the figures of the shell's pieces, of what goes into it, and of what is lifted."""
    if made.shell is not None:
        yield from (lift.mass for lift in made.shell.lifts)
        yield from () if made.shell.lifts else made.shell.piece_masses
        yield from _parts(made.shell.parts)


def castings_summary(made: MoldPlan) -> Iterator[Figure]:
    """Return what stands beside the form of the Castings page."""
    run = made.casting
    if run is None:
        return
    found = (
        run.casting_mass, run.mixed_mass, made.resin_total, run.minutes_each, run.cycle, run.per_day, run.days,
        None if run.steps else run.skin_thickness,
    )  # fmt: skip
    yield from (figure for figure in found if figure is not None)


def castings_details(made: MoldPlan) -> Iterator[Figure]:
    """Return the figures of the skins."""
    run = made.casting
    if run is None:
        return
    for step in run.steps:
        found = (step.thickness, step.turning, step.earliest_next, step.latest_next)
        yield from (figure for figure in found if figure is not None)
    yield run.skin_mass
    yield from _parts(run.skin_parts)


def _parts(parts: tuple[Part, ...]) -> Iterator[Figure]:
    return (part.mass for part in parts)
