"""The studio's rates of work as a plan asks for them."""

from collections.abc import Mapping

from jobs.planning.errors import BadBrief
from studio.figures import Given
from studio.workrates import WORK_RATES

DETAIL_AREA_M2 = 0.1


def rate(rates: Mapping[str, Given], key: str) -> Given:
    """Return the studio's own rate, or the table's default."""
    found = rates.get(key)
    if found is None:
        return WORK_RATES[key].as_given()
    if found.value < 0:
        raise BadBrief(f"The rate “{found.label}” cannot be less than nought; correct it under Studio, Rates of work.")
    return found


def rubber_loss(rates: Mapping[str, Given], area_m2: float) -> Given:
    """Return the loss in cups and brushes: small pieces lose more."""
    return rate(rates, "detail_loss_percent" if area_m2 <= DETAIL_AREA_M2 else "blanket_loss_percent")
