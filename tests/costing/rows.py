"""Rows for pricing: a job that is measured, planned and has prices for its materials."""

from decimal import Decimal
from typing import Any

from jobs.models import Client, Job, Plan
from jobs.readings import GirthTyped, TapeReadings
from jobs.services.jobs import add_job
from jobs.services.pieces import keep_readings
from materials.models import Material
from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.models import Account
from tests.factories import MaterialFactory, PackFactory

RUBBER = {
    "parts_a_by_weight": 10.0,
    "parts_b_by_weight": 1.0,
    "density_kg_m3": 1100.0,
    "pot_life_min": 30.0,
    "gel_min": 90.0,
    "demold_min": 960.0,
    "reference_temp_c": 23.0,
    "activation_energy_kj_mol": 55.0,
    "held_thickness_mm": 3.0,
    "hardness_shore_a": 20.0,
    "shrinkage_percent": 0.4,
    "castings_expected": 30.0,
}
RESIN = {
    "parts_a_by_volume": 1.0,
    "parts_b_by_volume": 1.0,
    "density_a_kg_m3": 1120.0,
    "density_b_kg_m3": 1050.0,
    "density_kg_m3": 1050.0,
    "gel_min": 5.0,
    "demold_min": 20.0,
    "reference_temp_c": 23.0,
    "q10": 2.0,
    "shrinkage_percent": 0.3,
}
PLASTER = {"water_per_100": 70.0, "demold_min": 60.0, "reference_temp_c": 20.0, "density_kg_m3": 1600.0, "q10": 2.0}


def make_material(kind: MaterialKind, chemistry: Chemistry, basis: MixBasis, *, per_5kg: int | None, **values: float) -> Material:
    """Return a material with its properties, and a pack of 5 kg where it has a price."""
    material = MaterialFactory(kind=kind.value, chemistry=chemistry.value, mix_basis=basis.value, properties=values)
    if per_5kg is not None:
        PackFactory(material=material, mass_g=Decimal(5000), price=Decimal(per_5kg))
    return material


def make_job(
    *, title: str = "Garden finial", castings: int = 6, resin_priced: bool = True, by: Account | None = None, **plan: Any
) -> Job:
    """Return a measured and planned job of a round piece 400 mm high, 300 mm across its middle."""
    client = Client.objects.create(name="Orchard House", address="3 Mill Lane\nNether Wallop")
    job = add_job(title=title, client=client, piece_name="finial", by=by)
    girths = tuple(GirthTyped(girth_mm=girth, along_mm=100.0) for girth in (600.0, 900.0, 940.0, 700.0, 300.0))
    keep_readings(piece=job.piece, readings=TapeReadings(girths=girths, stands_on_board=True, flange_width_mm=60.0))
    decisions: dict[str, Any] = {
        "rubber": make_material(MaterialKind.RUBBER, Chemistry.TIN_SILICONE, MixBasis.BY_WEIGHT, per_5kg=110, **RUBBER),
        "resin": make_material(
            MaterialKind.RESIN, Chemistry.POLYURETHANE, MixBasis.BY_VOLUME, per_5kg=45 if resin_priced else None, **RESIN
        ),
        "shell_matrix": make_material(MaterialKind.SHELL, Chemistry.GYPSUM, MixBasis.ONE_PART, per_5kg=6, **PLASTER),
        "shell_kind": Plan.ShellKind.PLASTER,
        "castings": castings,
        "positions": 1,
        **plan,
    }
    Plan.objects.filter(job=job).update(**decisions)
    made: Job = Job.objects.select_related("client", "piece").get(pk=job.pk)
    return made
