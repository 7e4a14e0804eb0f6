"""The shopping list, and which boards get labels."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, Whole
from jobs.api.kit.shapes import Shape
from jobs.models import Board, Supply


class BoardLabelsIn(Shape):
    """The boards to label: one, those of one standing, or of one piece; at most 200."""

    board = Whole(required=False, min_value=1, max_value=999_999_999)
    step = serializers.ChoiceField(Board.Step.values, required=False)
    piece = serializers.CharField(required=False, max_length=26)


class BoardsToBuyOut(serializers.Serializer):
    """Stock of one species and thickness, in board feet."""

    species = serializers.CharField()
    quarters = serializers.CharField()
    wanted_bf = AmountOut()
    set_aside_bf = AmountOut(help_text="Reserved or used for these pieces.")
    no_use = serializers.ListField(
        child=serializers.IntegerField(),
        help_text="Numbers of boards set aside that give no strip: too thin, short or narrow, another wood.",
    )
    rack_bf = AmountOut(help_text="Free on the rack, and give strips by their measured sizes.")
    rack = serializers.ListField(child=serializers.IntegerField(), help_text="Numbers of those boards.")
    buy_bf = AmountOut()
    to_buy = serializers.CharField(help_text="Those boards in words, empty where none are to buy.")
    boards = serializers.IntegerField(help_text="As each piece is figured, before what is there.")
    pieces = serializers.ListField(child=serializers.CharField())


class OnShelfOut(serializers.Serializer):
    """A supply that serves."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    level = serializers.ChoiceField(Supply.Level.values)
    is_past = serializers.BooleanField()


class SupplyToBuyOut(serializers.Serializer):
    """One thing wanted; ``buy`` where nothing good of it stands on the shelf."""

    kind = serializers.ChoiceField(Supply.Kind.values)
    name = serializers.CharField()
    amount = AmountOut()
    unit = serializers.CharField()
    pieces = serializers.ListField(child=serializers.CharField())
    shelf = OnShelfOut(many=True)
    buy = serializers.BooleanField()


class ShoppingOut(serializers.Serializer):
    """The things still to be bought for everything accepted or in the shop."""

    boards = BoardsToBuyOut(many=True)
    supplies = SupplyToBuyOut(many=True)
    run_out = serializers.ListField(
        child=serializers.IntegerField(), help_text="Supplies that are low, empty or past their date."
    )
    not_figured = serializers.ListField(child=serializers.CharField())
    waiting_for_deposit = serializers.ListField(
        child=serializers.CharField(), help_text="Orders whose deposit has not come; their wood waits."
    )
    pieces = serializers.IntegerField()
