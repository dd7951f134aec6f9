"""What one entry of the starter catalogue is made of."""

from dataclasses import dataclass

from materials.properties import Chemistry, MaterialKind, MixBasis
from studio.figures import Source, SourceKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A property's usual value with its range and where it comes from."""

    key: str
    value: float
    low: float | None
    high: float | None
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class StarterEntry:
    """A generic material; `key` never changes, so that loading twice adds nothing twice. It has no price."""

    key: str
    name: str
    kind: MaterialKind
    chemistry: Chemistry
    mix_basis: MixBasis = MixBasis.ONE_PART
    note: str = ""
    properties: tuple[Stated, ...] = ()


def published(key: str, value: float, low: float | None = None, high: float | None = None, *, text: str) -> Stated:
    """State a value seen in a publication."""
    return _stated(key, value, low, high, SourceKind.PUBLISHED, text)


def practice(key: str, value: float, low: float | None = None, high: float | None = None, *, text: str = "") -> Stated:
    """State a value of common practice, for which there is no single source."""
    return _stated(key, value, low, high, SourceKind.COMMON_PRACTICE, text)


def memory(key: str, value: float, low: float | None = None, high: float | None = None, *, text: str = "") -> Stated:
    """State a value from memory, to be checked against the sheet of the material bought."""
    return _stated(key, value, low, high, SourceKind.FROM_MEMORY, text or "usual for its kind; put in your own sheet's value")


def _stated(key: str, value: float, low: float | None, high: float | None, kind: SourceKind, text: str) -> Stated:
    return Stated(key=key, value=value, low=low, high=high, source=Source(kind=kind, text=text))
