"""The shopping list, and which boards get labels."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, LengthOut, Whole
from jobs.api.kit.shapes import Shape
from jobs.documents.prints import PER_SHEET
from jobs.models import Board, Supply


class LabelsIn(Shape):
    """Where the labels begin on a sheet that is used up in part."""

    start = Whole(
        default=1,
        min_value=1,
        max_value=PER_SHEET,
        help_text="The first free label, counted row by row from the top left.",
    )


class BoardLabelsIn(LabelsIn):
    """The boards to label: one, those of one standing, or of one piece; at most 200."""

    board = Whole(required=False, min_value=1, max_value=999_999_999)
    step = serializers.ChoiceField(Board.Step.values, required=False)
    piece = serializers.CharField(required=False, max_length=26)


class CutOut(serializers.Serializer):
    """What the boards to buy must give for one piece."""

    piece = serializers.CharField()
    what = serializers.ChoiceField(("strips", "ends"))
    count = serializers.IntegerField()
    wide = LengthOut(allow_null=True, help_text="Least width of a board for one; else as it comes.")
    long = LengthOut()


class WholeBoardsOut(serializers.Serializer):
    """Boards alike."""

    count = serializers.IntegerField()
    width = LengthOut()
    length = LengthOut()


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
    whole = WholeBoardsOut(many=True, help_text="What there is to buy.")
    rough = LengthOut()
    cuts = CutOut(many=True)
    price_bf = AmountOut(allow_null=True, help_text="For the owner: of a board foot, where there is a price.")
    budget = AmountOut(allow_null=True, help_text="For the owner: of what is to buy, with waste.")
    to_buy = serializers.CharField(help_text="Those boards in words, empty where none are.")
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
    packs = serializers.IntegerField(
        allow_null=True, help_text="As the last container was, where one was told."
    )
    holds = AmountOut(allow_null=True)
    holds_unit = serializers.CharField()
    budget = AmountOut(allow_null=True, help_text="For the owner: of the packs, else of the amount.")
    sheet = serializers.CharField()
    pieces = serializers.ListField(child=serializers.CharField())
    shelf = OnShelfOut(many=True)
    buy = serializers.BooleanField()


class BudgetOut(serializers.Serializer):
    """What there is to buy at the shop's prices."""

    boards = AmountOut()
    store = AmountOut()
    total = AmountOut()
    currency = serializers.CharField()
    unpriced = serializers.ListField(
        child=serializers.CharField(), help_text="Without a price, so not in it."
    )


class ShoppingOut(serializers.Serializer):
    """The things still to be bought for everything accepted or in the shop."""

    boards = BoardsToBuyOut(many=True)
    supplies = SupplyToBuyOut(many=True)
    run_out = serializers.ListField(
        child=serializers.IntegerField(), help_text="Supplies that are low, empty or past their date."
    )
    budget = BudgetOut(allow_null=True, help_text="For the owner.")
    not_figured = serializers.ListField(child=serializers.CharField())
    waiting_for_deposit = serializers.ListField(
        child=serializers.CharField(), help_text="Orders whose deposit has not come; their wood waits."
    )
    pieces = serializers.IntegerField()
