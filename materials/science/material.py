"""A material as the computing core sees it: plain values with their sources."""

from collections.abc import Mapping
from dataclasses import dataclass

from materials.properties import PROPERTIES, Chemistry, MaterialKind, MixBasis
from materials.science.errors import MissingProperty
from studio.figures import Given


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialSpec:
    """A material with the properties that are known of it.

    `family` names materials of one maker and line that belong together; the same chemistry from another family is
    only bonded to after a test.
    """

    key: int | str
    name: str
    kind: MaterialKind
    chemistry: Chemistry
    family: str
    mix_basis: MixBasis
    properties: Mapping[str, Given]
    price_per_kg: Given | None = None
    pack_mass_g: float | None = None

    def get(self, key: str) -> Given | None:
        """Return a property, or None when it is not known."""
        return self.properties.get(key)

    def need(self, key: str) -> Given:
        """Return a property, or refuse with a sentence that says where to add it."""
        found = self.properties.get(key)
        if found is not None:
            return found
        kind = PROPERTIES.get(key)
        label = kind.label.lower() if kind else key.replace("_", " ")
        purpose = f" It is needed for {kind.required_for}." if kind and kind.required_for else ""
        raise MissingProperty(f"{self.name} has no {label}.{purpose} Add it on the material's page under Stock, Materials.")
