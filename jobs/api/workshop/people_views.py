"""Oneself, the people of the shop, and tokens."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.permissions import Owner, Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.shapes import SECRET
from jobs.api.kit.view_bases import View
from jobs.api.workshop.people_serializers import (
    MeIn,
    NewTokenOut,
    PersonChangeIn,
    PersonIn,
    PersonOut,
    TokenIn,
    TokenOut,
    TokensIn,
)
from jobs.core.errors import Forbidden, Invalid, NotFound
from jobs.domain.workshop import accounts, passwords
from jobs.models import Person, Token


class MeView(View):
    """The person who is calling."""

    permission_classes = (Worker,)

    @extend_schema(responses=PersonOut)
    def get(self, request: Request) -> Response:
        """The person who is calling."""
        return Response(PersonOut(request.user).data)

    @extend_schema(request=MeIn, responses=PersonOut)
    def patch(self, request: Request) -> Response:
        """Change one's own settings; a new password ends one's tokens, this one too, and calendar links."""
        asked = self.body(MeIn)
        present = asked.pop("current_password", "")
        if "password" in asked and not passwords.is_present_password(request.user, present):
            raise Invalid(
                "a new password needs the present one", field="current_password", value=SECRET,
                allowed="the present password",
            )  # fmt: skip
        return Response(PersonOut(accounts.change_person(request.user, **asked)).data)


class PeopleView(View):
    """Everybody who works here."""

    permission_classes = (Owner,)

    @extend_schema(responses=PersonOut(many=True))
    def get(self, request: Request) -> Response:
        """Everybody, by their sign-in names."""
        return Response(PersonOut(Person.objects.order_by("username"), many=True).data)

    @extend_schema(request=PersonIn, responses={201: PersonOut})
    def post(self, request: Request) -> Response:
        """Add somebody."""
        person = accounts.add_person(**self.body(PersonIn))
        return Response(
            PersonOut(person).data, status=201, headers={"Location": f"{request.path}{person.id}/"}
        )


class PersonView(View):
    """One person."""

    permission_classes = (Owner,)

    @extend_schema(responses=PersonOut)
    def get(self, request: Request, person: str) -> Response:
        """One person."""
        return Response(PersonOut(find_person(person)).data)

    @extend_schema(request=PersonChangeIn, responses=PersonOut)
    def patch(self, request: Request, person: str) -> Response:
        """Change what a person may do, or a forgotten password, which ends their tokens and links."""
        return Response(
            PersonOut(accounts.change_person(find_person(person), **self.body(PersonChangeIn))).data
        )


class TokensView(View):
    """One's own tokens; the owner's also those of others."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[TokensIn], responses=TokenOut(many=True))
    def get(self, request: Request) -> Response:
        """A person's tokens, newest first."""
        tokens = self._whose(self.query(TokensIn)).tokens.order_by("-id")
        return Response(TokenOut(tokens, many=True).data)

    @extend_schema(request=TokenIn, responses={201: NewTokenOut})
    def post(self, request: Request) -> Response:
        """Make a token; its text is shown this once."""
        asked = self.body(TokenIn)
        whose = self._whose(asked)
        told = {name: asked[name] for name in ("label", "scope") if name in asked}
        token, text = accounts.make_token(whose, now=timezone.now(), **told)
        shown = NewTokenOut({"token": token, "text": text}).data
        return Response(shown, status=201, headers={"Location": f"{request.path}{token.id}/"})

    def _whose(self, asked: dict[str, Any]) -> Person:
        me: Person = self.request.user
        if asked.get("person", me.id) == me.id:
            return me
        if not me.is_owner:
            raise Forbidden("another person's tokens are the owner's", field="person", value=asked["person"])
        return find_person(asked["person"])


class TokenView(View):
    """One token."""

    permission_classes = (Worker,)

    @extend_schema(responses={200: TokenOut})
    def delete(self, request: Request, token: int) -> Response:
        """Revoke a token: from now on it opens nothing."""
        accounts.revoke_token(request.user, token=token, now=timezone.now())
        return Response(TokenOut(Token.objects.get(id=token)).data)


def find_person(key: str) -> Person:
    person = Person.objects.filter(id=key).first()
    if person is None:
        raise NotFound("there is no such person", field="person", value=key[:40])
    return person


ROUTES = [
    view_route("me/", "me", MeView),
    view_route("people/", "people", PeopleView),
    view_route("people/<str:person>/", "person", PersonView),
    view_route("tokens/", "tokens", TokensView),
    view_route("tokens/<key:token>/", "token", TokenView),
]
