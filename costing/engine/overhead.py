"""Overhead: what the studio costs when nobody works, laid on the hours or on the labour that is billed."""

from costing.engine.errors import EngineError
from studio.figures import Figure, Given


def overhead_per_billable_h(*, overhead_per_year: Given, billable_h_per_year: Given) -> Figure:
    """Spread a year's overhead over the hours that are billed.

    Parameters
    ----------
    overhead_per_year : Given
        Rent, insurance, heating, office and the like; not negative. [money]
    billable_h_per_year : Given
        Hours that clients pay for, not hours attended; above nought. [h]

    Returns
    -------
    Figure
        Overhead of one billable hour. [money/h]

    References
    ----------
    .. [1] Common practice of job costing; predetermined overhead rate as in OpenStax, Principles of Accounting vol. 2, §4.4.
    """
    if billable_h_per_year.value <= 0:
        raise EngineError("The billable hours of a year must be above nought; set them on the studio's profile.")
    return Figure(
        key="overhead_per_h",
        label="Overhead per billable hour",
        value=overhead_per_year.value / billable_h_per_year.value,
        unit="money/h",
        formula="overhead of a year ÷ billable hours of a year",
        given=(overhead_per_year, billable_h_per_year),
        note="Billable hours, not attended hours: talk, sweeping and buying are paid by the hours that are billed.",
    )


def overhead_on_labour(*, overhead: float, direct_labour: float) -> float:
    """Return the overhead that each unit of money spent on direct labour carries.

    Parameters
    ----------
    overhead, direct_labour : float
        Both of the same time or the same job. [money]

    Returns
    -------
    float
        Overhead per labour money. [1]

    References
    ----------
    .. [1] OpenStax, Principles of Accounting vol. 2 (2019), §4.4.
    """
    if direct_labour <= 0:
        raise EngineError("Overhead can only be laid on labour that costs something; set a labour rate above nought.")
    return overhead / direct_labour


def job_cost(*, materials: float, labour: float, overhead_rate: float) -> float:
    """Add up a job's cost with overhead laid on its labour: materials + labour × (1 + rate). [money]

    References
    ----------
    .. [1] OpenStax, Principles of Accounting vol. 2 (2019), §4.4.
    """
    return materials + labour * (1 + overhead_rate)
