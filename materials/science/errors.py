"""Refusals of the science core; each message says what the person can change."""

from studio.figures import WorkingError


class ScienceError(WorkingError):
    """The science core cannot compute honestly from these inputs."""


class MissingProperty(ScienceError):
    """A material lacks a property that the computation needs."""


class BadMixRatio(ScienceError):
    """A mix ratio or a loss is impossible."""


class PotLifeTooShort(ScienceError):
    """The mix would set before any of it could be spread."""


class ColdStall(ScienceError):
    """The room is colder than the material is known to cure in."""


class TemperatureOutOfRange(ScienceError):
    """The temperature lies outside the range in which the time laws hold."""


class CoatWillNotHold(ScienceError):
    """A coat cannot stay on the wall."""


class BadPacking(ScienceError):
    """A packing fraction or a scrap share is impossible."""


class BadThickness(ScienceError):
    """A thickness, mass or area is not usable."""


class BadBubble(ScienceError):
    """A bubble, a layer or a viscosity is outside what the law of slow bubbles covers."""


class BadVacuum(ScienceError):
    """A pressure, an altitude or a vessel is impossible."""


class BadRoom(ScienceError):
    """The hours or temperatures of a room are not usable."""


class OutsideRange(ScienceError):
    """An input lies outside the range for which a relation is known."""


class LargeDeflection(ScienceError):
    """A plate sags too far, or is too thick for its span, for the law of thin plates."""


class BadMoisture(ScienceError):
    """A cure by the air's moisture is asked for where it does not hold."""


class BadPostCure(ScienceError):
    """A warming of the cured rubber would do harm, or none is known."""


class DoseOutOfTolerance(ScienceError):
    """A dose strays further than is known to work."""


class ImpossibleTimings(ScienceError):
    """The studio's own timings contradict each other or the nature of a cure."""


class TooFewTimings(ScienceError):
    """More of the studio's own timings are wanted before anything can be said."""
