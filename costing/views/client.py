"""The page that a client opens with a private link, and the files that belong to it. Nobody signs in here."""

from collections.abc import Callable
from io import BytesIO
from urllib.parse import urlencode

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from costing.client import limits
from costing.client.reading import is_open, latest_print, picture_bytes, read_quote, ticked_in
from costing.client.tokens import link_of, note_reading
from costing.errors import AnswerRefused, CostingError, LinkOpensNothing
from costing.forms.answer import AnswerForm
from costing.models import QuoteAnswer, QuoteLink
from costing.printing import profile_when_frozen
from costing.services.agreement import Said
from costing.services.answers import answer_by_link
from studio.access import open_to_all
from studio.documents.files import path_of
from studio.models import StudioProfile
from studio.web import formats
from studio.web.context import using_profile
from studio.web.downloads import SANDBOX
from studio.web.htmx import render_page
from studio.web.secret_addresses import unlinked

TOO_OFTEN = "This link was opened very often within a short time. Wait ten minutes, then open it again."
TOO_MANY_TRIES = "Many addresses that open nothing were tried from here. Wait ten minutes, then open your link again."


@require_safe
@open_to_all
def client_quote(request: HttpRequest, token: str) -> HttpResponseBase:
    """Show a quote to its client, with the totals of the options ticked."""

    def shown(link: QuoteLink) -> HttpResponse:
        answer = quote_page(request, token, link, ticked_in(request.GET.getlist("option"), link.quote))
        # The studio's own looking is no reading; what is written down is when, and not more often than every five minutes.
        if request.method == "GET" and not request.user.is_authenticated:
            note_reading(link=link)
        return answer

    return unlinked(opened(request, token, shown, limits.may_read))


@require_safe
@open_to_all
def client_print(request: HttpRequest, token: str) -> HttpResponseBase:
    """Send the print of a quote to whoever has its link."""

    def sent(link: QuoteLink) -> HttpResponseBase:
        document = latest_print(link.quote)
        if document is None:
            return refusal(request, "The print of this quote is not made yet. Try again in a minute.", status=404)
        try:
            file = path_of(document).open("rb")
        except FileNotFoundError:
            return refusal(request, "The print of this quote is gone. Ask the studio to print it again.", status=404)
        return FileResponse(file, as_attachment=True, filename=document.file_name, content_type=document.content_type)

    return sandboxed(unlinked(opened(request, token, sent, limits.may_read)))


@require_safe
@open_to_all
def client_picture(request: HttpRequest, token: str, position: int) -> HttpResponseBase:
    """Send a picture of a quote to whoever has its link."""

    def sent(link: QuoteLink) -> HttpResponseBase:
        image = picture_bytes(link.quote, position)
        if image is None:
            return refusal(request, "There is no picture at this address.", status=404)
        # Photographs are kept as JPEG, what the program draws as PNG.
        kind = "jpeg" if image.startswith(b"\xff\xd8\xff") else "png"
        return FileResponse(BytesIO(image), content_type=f"image/{kind}", filename=f"picture-{position}.{kind}")

    return sandboxed(unlinked(opened(request, token, sent, limits.may_see_picture)))


@require_safe
@open_to_all
def client_logo(request: HttpRequest, token: str) -> HttpResponseBase:
    """Send the studio's logo for the page of a quote."""

    def sent(_link: QuoteLink) -> HttpResponseBase:
        logo = StudioProfile.objects.current().logo
        if not logo.name or not logo.storage.exists(logo.name):
            return refusal(request, "This studio has no logo.", status=404)
        return FileResponse(logo.open("rb"), content_type="image/png", filename="logo.png")

    return sandboxed(unlinked(opened(request, token, sent, limits.may_see_picture)))


@require_http_methods(["GET", "HEAD", "POST"])
@open_to_all
def client_answer(request: HttpRequest, token: str) -> HttpResponseBase:
    """Ask a client to confirm their answer, and take it."""
    post = request.method == "POST"

    def asked(link: QuoteLink) -> HttpResponse:
        sent = request.POST if post else request.GET
        ticked = ticked_in(sent.getlist("option"), link.quote)
        accepting = sent.get("to") != QuoteAnswer.Kind.DECLINED
        if not post:
            return answer_page(request, token, link, ticked, accepting=accepting)
        return _answered(request, token, link, ticked, accepting=accepting)

    return unlinked(opened(request, token, asked, limits.may_answer if post else limits.may_read), referrer="same-origin")


def _answered(request: HttpRequest, token: str, link: QuoteLink, ticked: tuple[int, ...], *, accepting: bool) -> HttpResponse:
    form = AnswerForm(request.POST, accepting=accepting)
    if not form.is_valid():
        return answer_page(request, token, link, ticked, accepting=accepting, form=form, status=422)
    typed = form.cleaned_data
    kind = QuoteAnswer.Kind.ACCEPTED if accepting else QuoteAnswer.Kind.DECLINED
    said = Said(name=typed["name"], words=typed["words"], positions=ticked)
    try:
        answer_by_link(link=link, kind=kind, said=said, shown_gross=typed["total"])
    except AnswerRefused as refused:
        link.quote.refresh_from_db()
        if not is_open(link.quote):
            return quote_page(request, token, link, ticked, problem=str(refused), status=409)
        form.add_error(None, str(refused))
        # The box was ticked for another total; it is ticked again for this one or not at all.
        form.data = request.POST.copy()
        form.data.pop("agreed", None)
        return answer_page(request, token, link, ticked, accepting=accepting, form=form, status=409)
    return redirect("costing:client_quote", token=token)


def answer_page(
    request: HttpRequest,
    token: str,
    link: QuoteLink,
    ticked: tuple[int, ...],
    *,
    accepting: bool,
    form: AnswerForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Render the page that sums up what is agreed to; a quote that cannot be answered is shown instead."""
    profile = profile_when_frozen(link.quote)
    with using_profile(profile):
        offer = read_quote(link, profile, ticked)
        if not offer.open:
            return quote_page(request, token, link, ticked)
        total = formats.money_text(offer.totals.gross, offer.currency, formats.locale_code(profile))
        form = form or AnswerForm(accepting=accepting)
        form.fields["agreed"].label = f"I agree to {offer.spoken} of {profile.name}, total {total}"
        context = {
            "profile": profile,
            "offer": offer,
            "token": token,
            "form": form,
            "accepting": accepting,
            # Sent back as it was shown, so that another total is noticed.
            "total_sent": str(offer.totals.gross),
            "ticked_query": f"?{urlencode([('option', place) for place in ticked])}" if ticked else "",
        }
        return render_page(request, "costing/client/answer.html", context, status=status)


def opened(
    request: HttpRequest, token: str, then: Callable[[QuoteLink], HttpResponseBase], may: Callable[[str], bool]
) -> HttpResponseBase:
    """Do something with the link of a token, or say in a plain page why it opens nothing; each within its limit."""
    try:
        link = link_of(token)
    except LinkOpensNothing as nothing:
        if not limits.may_try(request):
            return refusal(request, TOO_MANY_TRIES, status=429)
        return refusal(request, str(nothing), status=404)
    except CostingError as over:
        return refusal(request, str(over), status=410) if may(token) else refusal(request, TOO_OFTEN, status=429)
    if not may(token):
        return refusal(request, TOO_OFTEN, status=429)
    return then(link)


def quote_page(
    request: HttpRequest, token: str, link: QuoteLink, ticked: tuple[int, ...], *, problem: str = "", status: int = 200
) -> HttpResponse:
    """Render the page in the studio's name, money and units as they were frozen."""
    profile = profile_when_frozen(link.quote)
    with using_profile(profile):
        context = {
            "profile": profile,
            "offer": read_quote(link, profile, ticked),
            "token": token,
            "logo": bool(StudioProfile.objects.current().logo),
            "problem": problem,
        }
        return render_page(request, "costing/client/quote.html", context, partial="price", status=status)


def refusal(request: HttpRequest, sentence: str, *, status: int) -> HttpResponse:
    """Say in a plain page why nothing is opened: the same page for whatever must not be told apart."""
    answer = render_page(request, "costing/client/refused.html", {"sentence": sentence, "many": status == 429}, status=status)
    if status == 429:
        answer["Retry-After"] = str(limits.WITHIN_S)
    return answer


def sandboxed(answer: HttpResponseBase) -> HttpResponseBase:
    """Let a file do nothing inside the site."""
    if answer.streaming:
        answer["Content-Security-Policy"] = SANDBOX
        answer["X-Content-Type-Options"] = "nosniff"
    return answer
