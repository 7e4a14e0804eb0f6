"""The page that sends drawings and samples to a client to approve."""

from functools import partial
from typing import Any

from django import forms
from django.http import HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from jobs.domain import lookups
from jobs.domain.clients.approvals import Wanted, approvals_of, ask_approval, to_ask
from jobs.domain.clients.updates import LONGEST_WORDS
from jobs.domain.overviews.client_portal_steps import drawing_for_client
from jobs.domain.routes.approvals import What
from jobs.log.private_texts import Texts, read, refs_of
from jobs.models import Commission, Piece
from jobs.web.kit.access import worker
from jobs.web.kit.calls import SignedIn
from jobs.web.kit.command_pages import command_page
from jobs.web.kit.forms import PageForm, text_field

FIELDS = {What.DRAWING: "drawings", What.SAMPLE: "samples"}


class AskForm(PageForm):
    """The drawings and samples to send, and what the client reads."""

    drawings = forms.MultipleChoiceField(
        label=gettext_lazy("Drawings"), required=False, widget=forms.CheckboxSelectMultiple
    )
    samples = forms.MultipleChoiceField(
        label=gettext_lazy("Samples of wood and finish"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Where the client has the sample in hand."),
    )
    words = text_field(
        gettext_lazy("What the client reads"),
        lines=4,
        maxlength=str(LONGEST_WORDS),
        help_text=gettext_lazy("Empty: no mail goes out."),
    )

    def __init__(self, data: Any = None, *, wanted: Wanted, labels: dict[str, str], **more: Any) -> None:
        super().__init__(data, **more)
        for what, name in FIELDS.items():
            of = [(number, labels[number]) for number, open_ones in wanted.items() if what in open_ones]
            self.offer(name, of)
            if not of:
                del self.fields[name]


@worker
@sensitive_post_parameters("words")
@require_http_methods(["GET", "POST"])
def ask(request: SignedIn, number: str) -> HttpResponse:
    """Send drawings and samples of a commission to its client."""
    found = lookups.commission(number)
    wanted, pieces = to_ask(found), lookups.pieces(found)
    texts = Texts(refs_of(pieces))
    labels = {piece.number: texts[piece.label_ref] for piece in pieces}
    drawn = [one for one, open_ones in wanted.items() if What.DRAWING in open_ones]
    words = _(
        "Your drawing is ready. Look at it on your page: say yes there, or ask for a change. Nothing is cut"
        " before you say yes."
    )
    given = {"drawings": drawn, "samples": [], "words": words}
    form = AskForm(request.POST or None, wanted=wanted, labels=labels, initial=given, seen=found.version)
    return command_page(
        request, form, partial(ask_approval, commission=number),
        (_("It is with the client."), "web:client-talk", number), "web/clients/approval.html",
        lambda: {**_about(found, labels), "nothing": not wanted, "shown": _shown(pieces, drawn, labels)},
    )  # fmt: skip


def _shown(pieces: list[Piece], drawn: list[str], labels: dict[str, str]) -> list[str]:
    """Return the drawings as the client will see them."""
    of = [piece for piece in pieces if piece.number in drawn]
    return [drawing_for_client(piece, labels[piece.number]) for piece in of]


def _about(found: Commission, labels: dict[str, str]) -> dict[str, Any]:
    asked = [{**one, "label": labels.get(one["piece"], one["piece"])} for one in approvals_of(found)]
    return {
        "number": found.number,
        "title": read(found.title_ref),
        "client": read(found.client.name_ref),
        "address": read(found.client.email_ref),
        "asked": asked,
    }
