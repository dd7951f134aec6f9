"""The shell: area, thickness, materials and minutes."""

from dataclasses import replace

from jobs.planning.brief import PlanBrief, ShellBrief, ShellKind
from jobs.planning.errors import BadBrief
from jobs.planning.rates import rate
from jobs.planning.results import Component, Part, ShellPlan
from jobs.planning.rubber.mixes import mixed_from_net, recipe, weigh
from jobs.planning.shell.joints import bolts, catalyst, sessions
from jobs.planning.shell.pieces import piece_masses, shell_area
from jobs.planning.sums import count, fact, scaled, total
from materials.properties import Chemistry, MixBasis
from materials.science.laminate import GLASS_DENSITY_KG_M3, laminate, solid_shell_g_m2
from materials.science.plaster import HOTTEST, plaster_layer
from studio.figures import Figure, Given, Source, SourceKind, high_end, low_end

GLASS_DENSITY = Given(
    label="Density of glass",
    value=GLASS_DENSITY_KG_M3,
    unit="kg/m3",
    source=Source(kind=SourceKind.COMMON_PRACTICE, text="E-glass"),
)


def plan_shell(brief: PlanBrief) -> ShellPlan | None:
    """Plan the shell over the finished blanket, or return None when none is wanted."""
    shell = brief.shell
    if shell is None:
        return None
    if not 1 <= shell.pieces <= 60:
        raise BadBrief("A shell comes off in 1 to 60 pieces.")
    if shell.flange_share_percent is not None and shell.flange_share_percent.value < 0:
        raise BadBrief("The share of the shell's flanges cannot be less than nought.")
    if (shell.kind is ShellKind.PLASTER) is not (shell.material.chemistry is Chemistry.GYPSUM):
        raise BadBrief(
            f"A shell of {shell.kind.label.lower()} cannot be made of {shell.material.name}; choose another material, "
            "or another kind of shell."
        )
    area = shell_area(brief, shell)
    loss = rate(brief.rates, "shell_loss_percent")
    wet: Figure | None = None
    if shell.kind is ShellKind.LAMINATE:
        thickness, mass, parts = _laminate(shell, area, loss)
    elif shell.kind is ShellKind.PLASTER:
        thickness, mass, wet, parts = _plaster(shell, area, loss)
    else:
        thickness, mass, parts = _solid(shell, area, loss)
    pieces = count("shell_pieces", "Shell pieces", shell.pieces, formula="as decided")
    each = piece_masses(brief, shell, mass)
    return ShellPlan(
        label=shell.kind.label,
        pieces=shell.pieces,
        area=area,
        thickness=thickness,
        mass=mass,
        piece_mass=_heaviest(each) if each else scaled(
            mass, 1 / shell.pieces, key="shell_piece_mass", label="Mean mass of a shell piece", unit="g",
            formula="mass of the shell ÷ pieces", given=(pieces,),
        ),
        piece_masses=each,
        parts=parts,
        minutes=_minutes(brief, shell, area, pieces),
        bolts=bolts(brief, shell),
        sessions=sessions(shell),
        catalyst=catalyst(shell, parts),
        wet_mass=wet,
    )  # fmt: skip


def _heaviest(each: tuple[Figure, ...]) -> Figure:
    return max(each, key=lambda mass: mass.value).renamed(key="shell_piece_mass", label="Heaviest shell piece")


def _laminate(shell: ShellBrief, area: Figure, loss: Given) -> tuple[Figure, Figure, tuple[Part, ...]]:
    glass_spec = shell.reinforcement
    if glass_spec is None:
        raise BadBrief("A shell of glass and resin wants a reinforcement; choose one.")
    layer_mass, per_glass = glass_spec.need("layer_mass_g_m2"), glass_spec.need("resin_per_glass")
    rho_resin = shell.material.need("density_kg_m3")
    rho_glass = glass_spec.get("density_kg_m3") or GLASS_DENSITY
    made = laminate(
        layers=shell.layers.value,
        layer_mass_g_m2=layer_mass.value,
        resin_per_glass=per_glass.value,
        resin_density_kg_m3=rho_resin.value,
        glass_density_kg_m3=rho_glass.value,
    )
    glass = scaled(area, made.glass_g_m2, key="shell_glass", label="Glass in the shell", unit="g",
                   formula="area × layers × mass of a layer", given=(shell.layers, layer_mass))  # fmt: skip
    resin = scaled(glass, per_glass.value, key="shell_resin", label="Resin in the shell", unit="g",
                   formula="glass × resin per glass", given=(per_glass,))  # fmt: skip
    thickness = Figure(
        key="shell_thickness", label="Thickness of the shell", value=made.thickness_mm, unit="mm",
        formula="glass ÷ its density + resin ÷ its density, per area",
        given=(shell.layers, layer_mass, per_glass, rho_glass, rho_resin),
    )  # fmt: skip
    mass = total("shell_mass", "Mass of the shell", "g", (glass, resin))
    buy = mixed_from_net(glass, loss, key="shell_glass_cut", label="Glass to cut")
    reinforcement = Part(component=Component.REINFORCEMENT, label=glass_spec.name, material_key=glass_spec.key, mass=buy)
    return thickness, mass, (*_mixed_parts(shell, resin, loss), reinforcement)


def _plaster(shell: ShellBrief, area: Figure, loss: Given) -> tuple[Figure, Figure, Figure, tuple[Part, ...]]:
    thickness, water = _thickness(shell), shell.material.need("water_per_100")
    made = plaster_layer(thickness_mm=thickness.value, water_per_100=water.value)
    powder = scaled(area, made.powder_g_m2, key="shell_powder", label="Plaster in the shell", unit="g",
                    formula="area × thickness ÷ slurry per mass of powder", given=(thickness, water))  # fmt: skip
    dry = scaled(area, made.dry_g_m2, key="shell_dry", label="Plaster when dry", unit="g",
                 formula="powder × 1.186 (water it combines with)", given=(powder,))  # fmt: skip
    mixed = mixed_from_net(powder, loss, key="shell_powder_mixed", label="Plaster to weigh")
    wet = scaled(mixed, water.value / 100, key="shell_water", label="Water to weigh", unit="g",
                 formula="plaster × water per 100 ÷ 100", given=(water,))  # fmt: skip
    parts = [
        Part(component=Component.ONE_PART, label=shell.material.name, material_key=shell.material.key, mass=mixed),
        Part(component=Component.WATER, label="Water", material_key=None, mass=wet),
    ]
    masses, wet_masses = [dry], [scaled(
        powder, 1 + water.value / 100, key="shell_slurry", label="Plaster and water in the shell", unit="g",
        formula="plaster × (1 + water per 100 ÷ 100)", given=(water,),
    )]  # fmt: skip
    if shell.reinforcement is not None:
        layer_mass = shell.reinforcement.need("layer_mass_g_m2")
        fibre = scaled(area, layer_mass.value * shell.layers.value, key="shell_fibre", label="Fibre in the shell",
                       unit="g", formula="area × layers × mass of a layer",
                       given=(shell.layers, layer_mass))  # fmt: skip
        masses.append(fibre)
        wet_masses.append(fibre)
        parts.append(
            Part(component=Component.REINFORCEMENT, label=shell.reinforcement.name,
                 material_key=shell.reinforcement.key, mass=fibre)
        )  # fmt: skip
    heat = (
        f"In bulk it warms to about {HOTTEST.value:g} °C ({HOTTEST.value * 1.8 + 32:g} °F) as it sets: let each layer cool "
        "before the next over oil clay or wax, and keep skin out of it."
    )
    wet_mass = total("shell_wet_mass", "Mass of the shell when it has just set", "g", wet_masses)
    return replace(thickness, note=heat), total("shell_mass", "Mass of the shell when dry", "g", masses), wet_mass, tuple(parts)


def _solid(shell: ShellBrief, area: Figure, loss: Given) -> tuple[Figure, Figure, tuple[Part, ...]]:
    thickness, density = _thickness(shell), shell.material.need("density_kg_m3")
    per_m2 = solid_shell_g_m2(thickness_mm=thickness.value, density_kg_m3=density.value)
    mass = scaled(area, per_m2, key="shell_mass", label="Mass of the shell", unit="g",
                  formula="area × thickness × density", given=(thickness, density))  # fmt: skip
    return thickness, mass, _mixed_parts(shell, mass, loss)


def _mixed_parts(shell: ShellBrief, net: Figure, loss: Given) -> tuple[Part, ...]:
    material = shell.material
    mixed = mixed_from_net(net, loss, key="shell_mixed", label="Resin or plastic to mix")
    if material.mix_basis is MixBasis.PERCENT_ON_BASE:
        # Peroxide is dosed on the resin and comes on top of what wets the glass.
        dose = material.need("dose_percent")
        mixed = scaled(mixed, 1 + dose.value / 100, key="shell_mixed", label="Resin with peroxide to mix", unit="g",
                       formula="resin × (1 + dose)", given=(dose,))  # fmt: skip
    return weigh(mixed, recipe(material), "shell")


def _thickness(shell: ShellBrief) -> Figure:
    given = shell.thickness_mm
    if given is None or given.value <= 0:
        raise BadBrief(f"Give the thickness of the shell ({shell.kind.label.lower()}).")
    return Figure(
        key="shell_thickness", label="Thickness of the shell", value=given.value, unit="mm", formula="as decided",
        given=(given,),
    )  # fmt: skip


def _minutes(brief: PlanBrief, shell: ShellBrief, area: Figure, pieces: Figure) -> Figure:
    key, layers = {
        ShellKind.LAMINATE: ("laminate_min_per_m2_layer", shell.layers),
        ShellKind.PLASTER: ("plaster_min_per_m2_layer", shell.layers),
        ShellKind.PUTTY: ("putty_min_per_m2", fact("Layers", 1.0, "1")),
        ShellKind.BRUSHED: ("brushed_min_per_m2_layer", shell.layers),
    }[shell.kind]
    if layers.value <= 0:
        raise BadBrief("A shell needs at least one layer.")
    laying = rate(brief.rates, key)
    setup, finish = rate(brief.rates, "shell_piece_min"), rate(brief.rates, "shell_finish_min")
    return Figure(
        key="shell_minutes",
        label="Hands-on minutes",
        value=area.value * layers.value * laying.value + shell.pieces * (setup.value + finish.value),
        unit="min",
        formula="area × layers × minutes per area + pieces × (setting up + drilling and trimming)",
        given=(area, layers, laying, pieces, setup, finish),
        low=low_end(area) * layers.value * low_end(laying) + shell.pieces * (low_end(setup) + low_end(finish)),
        high=high_end(area) * layers.value * high_end(laying) + shell.pieces * (high_end(setup) + high_end(finish)),
    )
