"""Other ways of doing the same job: each a few changed decisions, and why one might want them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from jobs.planning.brief import Deairing, Making, PlanBrief, ScrapSpec
from jobs.planning.rubber.fill import may_hold_scrap, takes_scrap
from jobs.planning.rubber.mix_minutes import air_minutes_per_mix
from jobs.planning.rubber.unthickened import coats_without_thickener
from materials.science.bonding import additive_verdict, scrap_verdict
from materials.science.life import RUN_SHARE
from materials.science.material import MaterialSpec
from studio.figures import Given

WARMER_C = 7.0
WARMEST_C = 30.0
Plain = str | int | float | bool | None

WHY_MAKING = {
    Making.BRUSHED: "The rubber is laid coat over coat: the least rubber, and the most hands-on hours.",
    Making.POURED: (
        "Clay keeps a gap of the wall’s width under the shell, and the rubber is poured into it at once: an even wall and no "
        "coats to watch, but clay and shell come first."
    ),
    Making.BLOCK: "A box takes the place of the shell: few hours, nothing to watch, but rubber out to every corner of the box.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One way of doing the job.

    `changes` maps the names of decisions to plain values: what is different from the plan in use. `brief` is the whole brief
    with these changes. `why` says in a sentence what is gained and what it costs.
    """

    key: str
    label: str
    why: str
    brief: PlanBrief
    changes: Mapping[str, Plain] = field(default_factory=dict)


def alternatives(
    brief: PlanBrief,
    *,
    thickener: MaterialSpec | None = None,
    scrap: ScrapSpec | None = None,
    castings_expected: float | None = None,
) -> tuple[Alternative, ...]:
    """List the plan in use and every sensible other way of doing its job.

    Parameters
    ----------
    brief : PlanBrief
        The plan in use.
    thickener : MaterialSpec, optional
        One at hand that this plan could take.
    scrap : ScrapSpec, optional
        A bin at hand that this plan could take.
    castings_expected : float, optional
        Castings that one mold may give.

    Returns
    -------
    tuple of Alternative
        The plan in use first. What is known not to cure or to bond is left out; whether the others can be planned is found
        when they are weighed.
    """
    found = (
        *_makings(brief, scrap),
        *_scrap(brief, scrap),
        *_thickener(brief, thickener),
        *_air(brief),
        *_room(brief),
        *_hands(brief),
        *_molds(brief, castings_expected),
    )
    used = Alternative(key="in_use", label="The plan in use", why="What is decided now.", brief=brief)
    return (used, *found)


def _makings(brief: PlanBrief, scrap: ScrapSpec | None) -> Iterator[Alternative]:
    for making in Making:
        if making is brief.making:
            continue
        made = replace(brief, making=making)
        yield Alternative(
            key=making.value, label=making.label, why=WHY_MAKING[making], brief=made, changes={"making": making.value}
        )
        if making is not Making.BRUSHED and _may_seat(made, scrap):
            assert scrap is not None
            yield Alternative(
                key=f"{making.value}_scrap",
                label=f"{making.label}, with old rubber",
                why=f"Chunks from “{scrap.name}” are seated clear of the face before the pour, in place of fresh rubber: less to "
                "buy, more hours to cut, wash and seat.",
                brief=_with_scrap(made, scrap),
                changes={"making": making.value, **_scrap_changes(scrap)},
            )


def _scrap(brief: PlanBrief, scrap: ScrapSpec | None) -> Iterator[Alternative]:
    if takes_scrap(brief):
        yield Alternative(
            key="fresh",
            label="Fresh rubber alone",
            why="No old rubber: nothing to cut, wash and seat, and more fresh rubber in its place.",
            brief=replace(brief, scrap_share_percent=_share(brief, 0.0)),
            changes={"scrap_share_percent": 0.0},
        )
    elif _may_seat(brief, scrap):
        assert scrap is not None
        yield Alternative(
            key="scrap",
            label="Old rubber in the fill" if brief.making is not Making.BLOCK else "Old rubber in the corners",
            why=f"Chunks from “{scrap.name}” take the place of fresh rubber: less to buy, more hours to cut, wash and seat.",
            brief=_with_scrap(brief, scrap),
            changes=_scrap_changes(scrap),
        )


def _thickener(brief: PlanBrief, thickener: MaterialSpec | None) -> Iterator[Alternative]:
    if brief.making is not Making.BRUSHED:
        return
    if brief.thickener is not None:
        coats = coats_without_thickener(brief)
        if coats is not None:
            yield Alternative(
                key="no_thickener",
                label="More coats, no thickener",
                why=(
                    "Nothing is stirred in: coats level by themselves and air leaves them, but so little of each stays on an "
                    f"upright wall that it wants {coats} build coats."
                ),
                brief=replace(brief, thickener=None, thicken_print_coat=False, build_coats=coats),
                changes={"thickener": None, "thicken_print_coat": False, "build_coats": coats},
            )
    elif thickener is not None and _stirs_in(brief, thickener):
        yield Alternative(
            key="thickener",
            label=f"Thickened with {thickener.name}",
            why="Thickened build coats stay on upright walls, so the wall stands in as many coats as the rubber holds.",
            brief=replace(brief, thickener=thickener, build_coats=None),
            changes={"thickener": thickener.key, "build_coats": None},
        )


def _air(brief: PlanBrief) -> Iterator[Alternative]:
    """A vacuum helps what is poured thick, where air does not rise out of a thin coat."""
    if air_minutes_per_mix(brief) is not None:
        way = Deairing.THIN if brief.making is Making.BRUSHED else Deairing.NONE
        why = {
            Deairing.THIN: "The print coat is laid so thin that bubbles rise out of it: no chamber is wanted.",
            Deairing.NONE: "Poured in a thin stream without a chamber: quicker, and some air stays in.",
        }[way]
        yield Alternative(
            key="no_vacuum", label="Without vacuum", why=why, brief=replace(brief, deairing=way), changes={"deairing": way.value}
        )
    elif brief.making is not Making.BRUSHED or brief.thicken_print_coat:
        yield Alternative(
            key="vacuum",
            label="Air drawn out under vacuum",
            why="Every mix that meets the face goes under vacuum first: fewer bubbles, but it takes the chamber and pot life.",
            brief=replace(brief, deairing=Deairing.VACUUM),
            changes={"deairing": Deairing.VACUUM.value},
        )


def _room(brief: PlanBrief) -> Iterator[Alternative]:
    day = brief.temperature_c
    warm = min(day.value + WARMER_C, WARMEST_C)
    if warm <= day.value + 0.5:
        return
    yield Alternative(
        key="warm",
        label=f"A room of {warm:.3g} °C ({warm * 1.8 + 32:.0f} °F)",
        why=(
            f"{warm - day.value:.2g} °C ({(warm - day.value) * 1.8:.2g} °F) warmer: the rubber cures sooner and coats follow "
            "closer, but mixes must be smaller, and a mold cured warm shrinks a little more."
        ),
        brief=replace(brief, temperature_c=replace(day, value=warm)),
        changes={"temperature_c": warm},
    )


def _hands(brief: PlanBrief) -> Iterator[Alternative]:
    if brief.making is not Making.BRUSHED or brief.people_per_coat > 1:
        return
    yield Alternative(
        key="two_hands",
        label="Two people brushing",
        why="Each brushes from a cup of their own: about as many hours of work, on the clock half as long at each coat.",
        brief=replace(brief, people_per_coat=2),
        changes={"people_per_coat": 2},
    )


def _molds(brief: PlanBrief, castings_expected: float | None) -> Iterator[Alternative]:
    run = brief.casting
    if brief.molds > 1:
        fewer = brief.molds - 1
        yield Alternative(
            key="fewer_molds",
            label="One mold" if fewer == 1 else f"{fewer} molds",
            why="One mold less to make; each of the others must give more castings.",
            brief=replace(brief, molds=fewer),
            changes={"molds": fewer},
        )
    if run is None or castings_expected is None or run.count <= RUN_SHARE * castings_expected * brief.molds:
        return
    yield Alternative(
        key="more_molds",
        label=f"{brief.molds + 1} molds",
        why=(
            f"The run of {run.count} is more than {RUN_SHARE:g} of the {castings_expected * brief.molds:.3g} castings that "
            f"{'one mold' if brief.molds == 1 else f'{brief.molds} molds'} may give; one more keeps the run from stopping, "
            "and molds can be cast side by side."
        ),
        brief=replace(brief, molds=brief.molds + 1),
        changes={"molds": brief.molds + 1},
    )


def _may_seat(brief: PlanBrief, scrap: ScrapSpec | None) -> bool:
    if scrap is None or scrap.available_g.value <= 0 or not may_hold_scrap(brief) or takes_scrap(brief):
        return False
    rubber = brief.rubber
    return scrap_verdict(
        rubber=rubber.chemistry, rubber_family=rubber.family, scrap=scrap.chemistry, scrap_family=scrap.family
    ).allowed


def _with_scrap(brief: PlanBrief, scrap: ScrapSpec) -> PlanBrief:
    return replace(brief, scrap=scrap, scrap_share_percent=_share(brief, 100.0))


def _scrap_changes(scrap: ScrapSpec) -> dict[str, Plain]:
    return {"scrap_bin": scrap.key, "scrap_share_percent": 100.0}


def _stirs_in(brief: PlanBrief, thickener: MaterialSpec) -> bool:
    return additive_verdict(rubber=brief.rubber.chemistry, additive=thickener.chemistry, name=thickener.name).allowed


def _share(brief: PlanBrief, percent: float) -> Given:
    now = brief.scrap_share_percent
    return Given(label="Share of the fill with scrap", value=percent, unit="%") if now is None else replace(now, value=percent)
