"""What has to be at hand: every material and component with its mass and what it is for."""

from dataclasses import dataclass, field

from jobs.planning.brief import PlanBrief
from jobs.planning.results import CastingPlan, Coat, Component, FillPlan, Mix, Need, Part, ShellPlan, StripPlan
from jobs.planning.run.molds import of_all
from jobs.planning.sums import count, scaled, total
from materials.science.material import MaterialSpec
from studio.figures import Figure

_Slot = tuple[int | str, Component]


@dataclass(slots=True)
class _Gathered:
    """Masses wanted of one component, with the reasons in the order they came: for each mold, and once for the job."""

    label: str
    figures: list[Figure] = field(default_factory=list)
    once: list[Figure] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)


def plan_needs(
    brief: PlanBrief,
    coats: tuple[Coat, ...],
    fill: FillPlan | None,
    shell: ShellPlan | None,
    casting: CastingPlan | None,
    *,
    keys: tuple[Mix, ...] = (),
    strip: StripPlan | None = None,
) -> tuple[Need, ...]:
    """Gather the masses of everything that is weighed, by material and component, for all molds."""
    gathered: dict[_Slot, _Gathered] = {}
    for coat in coats:
        for mix in coat.mixes:
            _gather(gathered, mix.parts, "coats")
    for mix in keys:
        _gather(gathered, mix.parts, "keys")
    if strip is not None:
        for mix in (*strip.mixes, *strip.glue_mixes):
            _gather(gathered, mix.parts, "parting strip")
    if fill is not None:
        for mix in fill.mixes:
            _gather(gathered, mix.parts, "fill")
        if brief.scrap is not None and fill.scrap_mass.value > 0:
            slot = gathered.setdefault((brief.scrap.key, Component.SCRAP), _Gathered(label=brief.scrap.name))
            slot.figures.append(fill.scrap_mass)
            slot.reasons.append("fill")
    if shell is not None:
        _gather(gathered, shell.parts, "shell")
    if casting is not None:
        _gather(gathered, _run_parts(casting), "castings", once=True)
    _gather_coverings(gathered, brief, casting)
    return tuple(
        Need(
            material_key=key,
            name=found.label,
            component=component,
            mass=_mass(f"need_{key}_{component.value.replace(' ', '_')}", found, brief.molds),
            reason=", ".join(dict.fromkeys(found.reasons)),
        )
        for (key, component), found in gathered.items()
    )


def _mass(key: str, found: _Gathered, molds: int) -> Figure:
    if molds == 1 or not found.figures:
        return total(key, found.label, "g", (*found.figures, *found.once))
    each = of_all(total(f"{key}_mold", found.label, "g", found.figures), molds)
    return total(key, found.label, "g", (each, *found.once))


def _gather(gathered: dict[_Slot, _Gathered], parts: tuple[Part, ...], reason: str, *, once: bool = False) -> None:
    for part in parts:
        if part.material_key is None:
            continue
        slot = gathered.setdefault((part.material_key, part.component), _Gathered(label=part.label))
        (slot.once if once else slot.figures).append(part.mass)
        slot.reasons.append(reason)


def _gather_coverings(gathered: dict[_Slot, _Gathered], brief: PlanBrief, casting: CastingPlan | None) -> None:
    """Add sealer, once; and release: for the piece before each mold, and for every casting."""
    for spec, component in ((brief.release, Component.RELEASE), (brief.sealer, Component.SEALER)):
        if spec is not None:
            slot = gathered.setdefault((spec.key, component), _Gathered(label=spec.name))
            covering = slot.once if component is Component.SEALER else slot.figures
            covering.append(_covering(brief, spec, component))
            slot.reasons.append("preparing the piece")
            if component is Component.RELEASE and casting is not None:
                slot.once.append(_pulls(brief, spec, casting))
                slot.reasons.append("castings")


def _run_parts(casting: CastingPlan) -> tuple[Part, ...]:
    skins = casting.skins * casting.count
    times = count("run_skins", "Skins of the run", skins, formula="skins × castings")
    return tuple(
        Part(
            component=part.component,
            label=part.label,
            material_key=part.material_key,
            mass=scaled(part.mass, skins, key=f"run_{part.component.value.replace(' ', '_')}", label=part.label,
                        unit="g", formula="for one skin × skins of the run", given=(times,)),
        )
        for part in casting.skin_parts
    )  # fmt: skip


def _pulls(brief: PlanBrief, spec: MaterialSpec, casting: CastingPlan) -> Figure:
    """Return the release that the run takes: the inside of the mold is released before every casting. [g]"""
    run = count("release_pulls", "Castings in the run", casting.count, formula="as decided")
    one = _covering(brief, spec, Component.RELEASE).renamed(key="release_of_a_pull", label=f"{spec.name}, for one casting")
    return scaled(one, casting.count, key="release_run_mass", label=f"{spec.name}, for the run", unit="g",
                  formula="for one casting × castings", given=(run,))  # fmt: skip


def _covering(brief: PlanBrief, spec: MaterialSpec, component: Component) -> Figure:
    coverage = spec.need("coverage_m2_per_kg")
    return Figure(
        key=f"{component.value}_mass",
        label=spec.name,
        value=1000 * brief.takeoff.area.value * brief.takeoff.texture_factor.value / coverage.value,
        unit="g",
        formula="surface × texture ÷ coverage",
        given=(brief.takeoff.area, brief.takeoff.texture_factor, coverage),
    )
