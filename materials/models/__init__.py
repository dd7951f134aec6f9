"""Rows of the materials app."""

from materials.models.expected import ExpectedDelivery
from materials.models.import_run import ImportRun
from materials.models.lot import Lot
from materials.models.material import Material, MaterialProperty, Pack
from materials.models.movement import Movement
from materials.models.pack_price import PackPrice
from materials.models.scrap import ScrapBin, ScrapCut
from materials.models.stock_book import CostLayer, CostMethodChosen, StockBook
from materials.models.stocktake import Stocktake, StocktakeLine
from materials.models.trial import MaterialTrial, OwnValuesTaken

__all__ = [
    "CostLayer", "CostMethodChosen", "ExpectedDelivery", "ImportRun", "Lot", "Material", "MaterialProperty", "MaterialTrial",
    "Movement", "OwnValuesTaken", "Pack", "PackPrice", "ScrapBin", "ScrapCut", "StockBook", "Stocktake", "StocktakeLine",
]  # fmt: skip
