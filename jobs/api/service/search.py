"""Search: everything that words or a number are remembered of."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.kit.permissions import Worker
from jobs.api.kit.routes import view_route
from jobs.api.kit.shapes import Shape
from jobs.api.kit.view_bases import View
from jobs.domain.search.search import KINDS, search


class SearchIn(Shape):
    """The words to look for; every one has to stand somewhere in what is found."""

    q = serializers.CharField(max_length=200, trim_whitespace=False)


class HitOut(serializers.Serializer):
    """One thing that was found: ``key`` is its number, or its id where it has none."""

    key = serializers.CharField()
    title = serializers.CharField()
    about = serializers.CharField()
    state = serializers.CharField(
        help_text="How it stands, where it has steps: closed, paid, late, expired, void; else empty."
    )


class FoundOut(serializers.Serializer):
    """What was found of one kind, eight at most; ``more`` where there is more."""

    kind = serializers.ChoiceField([kind.name for kind in KINDS])
    hits = HitOut(many=True)
    more = serializers.BooleanField()


class SearchView(View):
    """What words are remembered of."""

    permission_classes = (Worker,)

    @extend_schema(parameters=[SearchIn], responses=FoundOut(many=True))
    def get(self, request: Request) -> Response:
        """Clients, commissions, pieces, papers, quotes, boards, supplies and notes with these words."""
        asked = self.query(SearchIn)
        return Response(search(asked["q"], with_money=self.with_money, today=timezone.localdate()))


ROUTES = [view_route("search/", "search", SearchView)]
