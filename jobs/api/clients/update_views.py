"""Updates for a client: news, questions, what is to be approved, the link to the client's page."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.clients.update_serializers import (
    ApprovalOut,
    ApprovalsDone,
    AskApprovalIn,
    DraftOut,
    LinkOut,
    NewLinkOut,
    QuestionDone,
    QuestionOut,
    SettleQuestionIn,
    UpdateDone,
    UpdateIn,
    UpdateOut,
)
from jobs.api.kit.output import present
from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.resources import Resource, row_made
from jobs.api.kit.routes import COMMISSION, route, view_route
from jobs.api.kit.view_bases import View
from jobs.domain import lookups
from jobs.domain.clients.approvals import approvals_of, ask_approval
from jobs.domain.clients.portal_links import address_of, link_of, links_of, make_link, revoke_links
from jobs.domain.clients.updates import (
    open_questions,
    question_views,
    questions_of,
    settle_question,
    tell_client,
    the_question,
    the_update,
    update_views,
)
from jobs.domain.overviews.client_portal import drafted
from jobs.log.commands import CommandResult


def _show_update(view: View, key: int) -> Any:
    return present(the_update(key))


def _show_question(view: View, key: int) -> Any:
    return present(question_views([the_question(key)])[0])


def _show_approvals(view: View, number: str) -> Any:
    return present(approvals_of(lookups.commission(number)))


def _commission_of(done: CommandResult) -> str:
    return str(done.events[0].data["commission"])


APPROVALS = Resource(name="approvals", done=ApprovalsDone, show=_show_approvals, key_of=_commission_of)
UPDATE = Resource(name="update", done=UpdateDone, show=_show_update, key_of=row_made)
QUESTION = Resource(name="question", done=QuestionDone, show=_show_question)


class UpdatesView(View):
    """News for the client of a commission."""

    permission_classes = (Worker,)

    @extend_schema(responses=UpdateOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """The updates that the client was told, the newest first."""
        found = lookups.commission(commission)
        return Response(present(update_views(found.updates.order_by("-told_at", "-id"))))

    post = UPDATE.makes(
        tell_client, UpdateIn, "Tell the client: into the shop diary, and by mail where an address is known."
    )


class UpdateDraftView(View):
    """News proposed."""

    permission_classes = (Worker,)

    @extend_schema(responses=DraftOut)
    def get(self, request: Request, commission: str) -> Response:
        """A draft of the news since the client was last told, in words for the client; nothing is sent."""
        return Response({"words": drafted(lookups.commission(commission), now=timezone.now())})


class ApprovalsView(View):
    """What the client of a commission is asked to approve."""

    permission_classes = (Worker,)

    @extend_schema(responses=ApprovalOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """The newest of each drawing and sample that was sent to approve, the newest first."""
        return Response(_show_approvals(self, commission))

    post = APPROVALS.makes(
        ask_approval, AskApprovalIn, "Ask the client to approve drawings and samples, as the pieces are now."
    )


class CommissionQuestionsView(View):
    """The questions of the client of a commission."""

    permission_classes = (Worker,)

    @extend_schema(responses=QuestionOut(many=True))
    def get(self, request: Request, commission: str) -> Response:
        """Every question, the newest first."""
        return Response(present(questions_of(lookups.commission(commission))))


class QuestionsView(View):
    """The questions of all clients."""

    permission_classes = (Worker,)

    @extend_schema(responses=QuestionOut(many=True))
    def get(self, request: Request) -> Response:
        """Questions that wait for an answer, the oldest first."""
        return Response(present(open_questions()))


class ClientLinkView(View):
    """The link that opens the client's page."""

    permission_classes = (Owner,)
    without_body = ("POST", "DELETE")

    @extend_schema(responses=LinkOut)
    def get(self, request: Request, commission: str) -> Response:
        """The link that was handed over, and every link that opens the page now."""
        return Response(_link(lookups.commission(commission).number))

    @extend_schema(request=None, responses={201: NewLinkOut})
    def post(self, request: Request, commission: str) -> Response:
        """Make a link; it is shown this once, and the one made before opens nothing any more."""
        link, token = make_link(request.user, commission=commission, now=timezone.now())
        shown = {**_link(link.commission), "url": address_of(token)}
        return Response(shown, status=201, headers={"Location": request.path})

    @extend_schema(responses={200: LinkOut})
    def delete(self, request: Request, commission: str) -> Response:
        """Revoke every link, those in mails too: from now on they open nothing."""
        revoke_links(commission=commission, now=timezone.now())
        return Response(_link(commission))


class OneClientLinkView(View):
    """One link that opens the client's page."""

    permission_classes = (Owner,)

    @extend_schema(responses={200: LinkOut})
    def delete(self, request: Request, commission: str, link: int) -> Response:
        """Revoke this link: from now on it opens nothing."""
        revoke_links(commission=commission, link=link, now=timezone.now())
        return Response(_link(commission))


def _link(commission: str) -> Any:
    link, links = link_of(commission), links_of(commission)
    told = {"made_at": link.made_at, "made_by": link.made_by} if link else {"made_at": None, "made_by": ""}
    parts = ("id", "made_at", "made_by", "mail")
    return present({**told, "links": [{name: getattr(one, name) for name in parts} for one in links]})


SETTLE = QUESTION.changes(
    settle_question, SettleQuestionIn, "Say that a question is dealt with, on the telephone or otherwise."
)
LINK = f"{COMMISSION}client-link/"
ROUTES = [
    view_route(f"{COMMISSION}updates/", "updates", UpdatesView),
    view_route(f"{COMMISSION}updates/draft/", "update-draft", UpdateDraftView),
    view_route(f"{COMMISSION}approvals/", "approvals", ApprovalsView),
    view_route(f"{COMMISSION}questions/", "commission-questions", CommissionQuestionsView),
    view_route(LINK, "client-link", ClientLinkView),
    view_route(f"{LINK}<key:link>/", "one-client-link", OneClientLinkView),
    view_route("questions/", "questions", QuestionsView),
    route("questions/<key:question>/settle/", "question-settle", Worker, post=SETTLE),
]
