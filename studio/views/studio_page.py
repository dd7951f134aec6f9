"""The studio's start page: where its own settings are, with what they hold today."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Max, Min
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from studio.access import Right, account_of, needs
from studio.models import Account, Invitation, Person, RoomHour, Skill, Station, StudioProfile, WorkRate
from studio.services.absences import absences_from
from studio.web.context import current_profile
from studio.web.htmx import render_page
from studio.web.quantities import show
from studio.workrates import WORK_RATES


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the page: where it leads and what it holds."""

    title: str
    url_name: str
    holds: str


@require_safe
@needs(Right.SEE_STUDIO)
def studio_show(request: HttpRequest) -> HttpResponse:
    """List the studio's own pages with their key values."""
    account = account_of(request)
    sees_money = account.may(Right.SEE_MONEY)
    profile = current_profile()
    entries = [
        Entry(title="People and hours", url_name="studio:people_list", holds=_people()),
        Entry(title="Who is away when", url_name="studio:away_list", holds=_away()),
        Entry(title="Skills and rules", url_name="studio:skills_list", holds=_skills()),
        Entry(title="Stations", url_name="studio:stations_list", holds=_stations()),
        Entry(title="Room temperature", url_name="studio:room_show", holds=_room(profile)),
        Entry(title="Rates of work", url_name="studio:rates_list", holds=_rates()),
    ]
    if account.may(Right.CHANGE_STUDIO):
        entries.insert(0, Entry(title="Profile", url_name="studio:profile_edit", holds=_profile(profile)))
    if account.may(Right.MANAGE_ACCOUNTS):
        entries.append(Entry(title="Accounts and invitations", url_name="studio:accounts_list", holds=_accounts()))
    context = {"entries": entries, "facts": _facts(profile), "figures": _money(profile) if sees_money else []}
    return render_page(request, "studio/studio.html", context)


def _facts(profile: StudioProfile) -> list[tuple[str, str]]:
    return [
        ("Units", profile.get_units_display()),
        ("Paper", profile.get_paper_display()),
        ("Time zone", profile.time_zone),
        ("Workshop", str(show(profile.workshop_temp_c, "degC", profile))),
    ]


def _money(profile: StudioProfile) -> list[tuple[str, str]]:
    overhead = profile.overhead_per_year / profile.billable_hours_per_year
    return [
        ("Labour", str(show(profile.labour_rate_per_h, "money/h", profile))),
        ("Overhead", str(show(overhead, "money/h", profile))),
        ("Margin", _percent(profile.margin_percent)),
        (profile.tax_name, _percent(profile.tax_percent)),
    ]


def _percent(value: Decimal) -> str:
    return str(show(value, "%"))


def _profile(profile: StudioProfile) -> str:
    return f"{profile.name}; {profile.currency}; {profile.tax_name} {_percent(profile.tax_percent)}"


def _people() -> str:
    working = list(Person.objects.filter(active=True).values_list("name", flat=True)[:6])
    if not working:
        return "nobody yet"
    return ", ".join(working[:5]) + (" and more" if len(working) > 5 else "")


def _away() -> str:
    now = timezone.now()
    lines = list(absences_from(now)[:4])
    if not lines:
        return "nobody in the time ahead"
    said = [f"{line.person.name if line.person else 'everybody'}{' now' if line.starts_at <= now else ''}" for line in lines[:3]]
    return ", ".join(said) + (" and more" if len(lines) > 3 else "")


def _skills() -> str:
    names = list(Skill.objects.values_list("name", flat=True)[:4])
    if not names:
        return "no skills yet; the usual rules"
    return ", ".join(names[:3]) + (" and more" if len(names) > 3 else "")


def _stations() -> str:
    working = list(Station.objects.filter(active=True).values_list("name", flat=True)[:6])
    if not working:
        return "none yet"
    return ", ".join(working[:5]) + (" and more" if len(working) > 5 else "")


def _room(profile: StudioProfile) -> str:
    ahead = RoomHour.objects.filter(begins_at__gte=timezone.now()).aggregate(low=Min("temperature_c"), high=Max("temperature_c"))
    if ahead["low"] is None:
        return f"nothing typed; {show(profile.workshop_temp_c, 'degC', profile)} as usual"
    low, high = (show(ahead[name], "degC", profile) for name in ("low", "high"))
    return f"{low} to {high} expected" if low != high else f"{low} expected"


def _rates() -> str:
    own = WorkRate.objects.filter(key__in=WORK_RATES).count()
    if not own:
        return f"{len(WORK_RATES)} defaults, none replaced by your own yet"
    return f"{own} of {len(WORK_RATES)} are your own"


def _accounts() -> str:
    open_accounts = Account.objects.filter(is_active=True).count()
    waiting = Invitation.objects.still_open().count()
    links = f", {waiting} link{'s' if waiting > 1 else ''} waiting to be used" if waiting else ""
    return f"{open_accounts} open{links}"
