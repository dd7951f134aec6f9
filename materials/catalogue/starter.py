"""The starter catalogue: generic materials without brands and without prices, every value with its source.

Prices and pack sizes differ from supplier to supplier, so the catalogue states none: the studio puts in what it pays.
"""

from materials.catalogue.additives import ADDITIVES
from materials.catalogue.entry import StarterEntry
from materials.catalogue.resins import RESINS
from materials.catalogue.rubbers import RUBBERS
from materials.catalogue.shells import SHELLS
from materials.catalogue.sundries import SUNDRIES

STARTER: tuple[StarterEntry, ...] = (*RUBBERS, *ADDITIVES, *RESINS, *SHELLS, *SUNDRIES)
