"""What an owner sets up before the first job: asked for only while nothing is set up."""

from dataclasses import dataclass

from studio.access import Right
from studio.models import Account, Person, Station, StudioProfile, WorkingHours


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstStep:
    """One step: what to do, why it matters for a price, where, and whether it is done."""

    words: str
    reason: str
    url_name: str
    done: bool


def first_steps(account: Account) -> list[FirstStep]:
    """List the first steps for whoever may take them; empty once people and their hours are there."""
    has_hours = WorkingHours.objects.exists()
    if has_hours or not account.may(Right.CHANGE_STUDIO):
        return []
    named = StudioProfile.objects.current().name != StudioProfile._meta.get_field("name").default
    return [
        FirstStep(
            words="Give the studio its name, money and units",
            reason="They stand on every quote, and every figure is shown in them.",
            url_name="studio:profile_edit",
            done=named,
        ),
        FirstStep(
            words="Add who works here, with rates and hours",
            reason="A job's price is mostly hours, and a coat waits for somebody to lay it.",
            url_name="studio:people_list",
            done=Person.objects.exists() and has_hours,
        ),
        FirstStep(
            words="Add the stations",
            reason="One vacuum chamber serves one mix at a time.",
            url_name="studio:stations_list",
            done=Station.objects.exists(),
        ),
        FirstStep(
            words="Look through the rates of work",
            reason="The defaults are wide; your own minutes make every price surer.",
            url_name="studio:rates_list",
            done=False,
        ),
    ]
