"""The mix ratio of a material as weights, and the two mix-ups that spoil most cups."""

from materials.properties import MixBasis
from materials.science.material import MaterialSpec
from materials.science.mixing import component_shares, split_batch, weight_ratio_from_volume
from studio.figures import Figure, Given, Remark, Source, SourceKind, WorkingError

DIFFERS = 0.03
EXAMPLE = Given(label="Mix", value=1000, unit="g", source=Source(kind=SourceKind.COMPUTED, text="an example of 1 kg"))


def b_per_100_a(spec: MaterialSpec) -> Figure | None:
    """Return what is weighed of B to 100 of A, or None where nothing is mixed or the ratio is not known."""
    if spec.mix_basis is MixBasis.ONE_PART:
        return None
    try:
        share_a, share_b = component_shares(spec)
    except WorkingError:
        return None
    if share_a.value <= 0:
        return None
    return Figure(
        key="b_per_100_a",
        label="B to 100 of A by weight",
        value=100 * share_b.value / share_a.value,
        unit="1",
        formula="100 × share of B ÷ share of A",
        given=(share_a, share_b),
    )


def weight_from_volume(spec: MaterialSpec) -> Figure | None:
    """Return what a ratio by volume comes to by weight, as B to 100 of A, where densities and volumes are known."""
    parts = [spec.get(key) for key in ("parts_a_by_volume", "parts_b_by_volume", "density_a_kg_m3", "density_b_kg_m3")]
    known = [part for part in parts if part is not None]
    if len(known) != 4:
        return None
    a, b, rho_a, rho_b = known
    try:
        ratio = weight_ratio_from_volume(
            parts_a=a.value, parts_b=b.value, density_a_kg_m3=rho_a.value, density_b_kg_m3=rho_b.value
        )
    except WorkingError:
        return None
    return Figure(
        key="weight_from_volume",
        label="By volume, weighed: B to 100 of A",
        value=100 * ratio,
        unit="1",
        formula="100 × (volume B ÷ volume A) × (density B ÷ density A)",
        given=(a, b, rho_a, rho_b),
    )


def ratios_disagree(spec: MaterialSpec, *, by_more_than: float = DIFFERS) -> bool:
    """Say whether the ratio by weight and the one by volume contradict each other."""
    a, b, by_volume = spec.get("parts_a_by_weight"), spec.get("parts_b_by_weight"), weight_from_volume(spec)
    if a is None or b is None or by_volume is None or a.value <= 0:
        return False
    return abs(100 * b.value / a.value / by_volume.value - 1) > by_more_than


def ratio_remarks(spec: MaterialSpec) -> list[Remark]:
    """Return what to look at before the next cup is weighed."""
    remarks = [_weight_against_volume(spec), _same_by_both(spec), _base_or_mix(spec), _not_known(spec)]
    return [remark for remark in remarks if remark is not None]


def _weight_against_volume(spec: MaterialSpec) -> Remark | None:
    by_volume = weight_from_volume(spec)
    if by_volume is None or not ratios_disagree(spec):
        return None
    return Remark(
        key="weight_against_volume",
        text="The ratio by weight and the ratio by volume do not say the same with these densities. "
        "One of the six numbers is wrong: look at the sheet before weighing.",
        tone="stop",
        figures=(by_volume,),
    )


def _same_by_both(spec: MaterialSpec) -> Remark | None:
    """Warn of "1 : 1" that may have been meant by volume."""
    rho_a, rho_b = spec.get("density_a_kg_m3"), spec.get("density_b_kg_m3")
    a, b = spec.get("parts_a_by_weight"), spec.get("parts_b_by_weight")
    if spec.mix_basis is not MixBasis.BY_WEIGHT or weight_from_volume(spec) is not None:
        return None
    if rho_a is None or rho_b is None or a is None or b is None or abs(rho_b.value / rho_a.value - 1) <= DIFFERS:
        return None
    meant = Figure(
        key="if_by_volume",
        label="Weighed, if the parts were meant by volume: B to 100 of A",
        value=100 * b.value / a.value * rho_b.value / rho_a.value,
        unit="1",
        formula="100 × (part B ÷ part A) × (density B ÷ density A)",
        given=(a, b, rho_a, rho_b),
    )
    return Remark(
        key="same_by_both",
        text="A and B differ in density, so this ratio holds by weight only. Make sure the sheet does not state it by volume.",
        figures=(meant,),
    )


def _base_or_mix(spec: MaterialSpec) -> Remark | None:
    dose = spec.get("dose_percent")
    if spec.mix_basis not in {MixBasis.PERCENT_ON_BASE, MixBasis.PERCENT_OF_MIX} or dose is None or dose.value >= 100:
        return None
    on_base = split_batch(mass_g=EXAMPLE.value, parts_a=100, parts_b=dose.value)[1]
    figures = (
        Figure(key="b_on_base", label="B in 1 kg of mix, on the base", value=on_base, unit="g",
               formula="mix × dose ÷ (100 + dose)", given=(EXAMPLE, dose)),
        Figure(key="b_of_mix", label="B in 1 kg of mix, of the mix", value=EXAMPLE.value * dose.value / 100, unit="g",
               formula="mix × dose ÷ 100", given=(EXAMPLE, dose)),
    )  # fmt: skip
    chosen = "on the base" if spec.mix_basis is MixBasis.PERCENT_ON_BASE else "of the whole mix"
    return Remark(
        key="base_or_mix",
        text=f"B is weighed as a percentage {chosen}. The other reading gives another weight: see which one the sheet means.",
        figures=figures,
    )


def _not_known(spec: MaterialSpec) -> Remark | None:
    try:
        component_shares(spec)
    except WorkingError as unknown:
        return Remark(key="ratio_not_known", text=str(unknown), tone="stop")
    return None
