"""Rows of the materials app."""

from materials.models.lot import Lot
from materials.models.material import Material, MaterialProperty, Pack
from materials.models.movement import Movement
from materials.models.scrap import ScrapBin
from materials.models.trial import MaterialTrial, OwnValuesTaken

__all__ = ["Lot", "Material", "MaterialProperty", "MaterialTrial", "Movement", "OwnValuesTaken", "Pack", "ScrapBin"]
