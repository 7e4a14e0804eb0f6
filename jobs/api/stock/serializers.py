"""Boards and supplies."""

from rest_framework import serializers

from jobs.api.kit.fields import AmountOut, LengthOut, TextField, Typed, Whole
from jobs.api.kit.serializer_bases import CommandIn, PageIn, UnitsIn, done, page
from jobs.domain.stock.bills import MOST_BOARDS
from jobs.domain.stock.boards import LENGTHS, LONGEST_NOTE, MEASURED
from jobs.domain.stock.supplies import UNITS
from jobs.models import Board, Supply


class BoardsIn(PageIn):
    """The boards to list: of one standing, or of one piece."""

    step = serializers.ChoiceField(Board.Step.values, required=False)
    piece = serializers.CharField(required=False, max_length=26)


class BoardChangeIn(CommandIn, UnitsIn):
    """Changes of a board; fields not given stay, an empty price or remark is taken out."""

    species = serializers.CharField(max_length=80, required=False)
    price = Typed(required=False, help_text="Of the whole board, in the shop's currency; the owner's.")
    note = TextField(LONGEST_NOTE)

    def get_fields(self) -> dict[str, serializers.Field]:
        return {**super().get_fields(), **{name: Typed(required=False) for name in LENGTHS}}


class BoardIn(BoardChangeIn):
    """A board as measured. Lengths as text such as 6 13/32 or 812 mm, or a number in the unit that holds."""

    def get_fields(self) -> dict[str, serializers.Field]:
        fields = super().get_fields()
        for name in MEASURED:
            fields[name].required = True
        return fields


class BillIn(CommandIn):
    """One bill for several boards."""

    boards = serializers.ListField(
        child=serializers.IntegerField(), min_length=1, max_length=MOST_BOARDS, help_text="Their numbers."
    )
    total = Typed(help_text="The sum without tax, in the shop's currency.")


class MoistureIn(CommandIn, UnitsIn):
    """A reading of a moisture meter."""

    pct = Typed(help_text="Moisture content [%].")
    depth = Typed(required=False, help_text="How deep the pins were.")


class ReserveIn(CommandIn):
    """The piece that a board is reserved for."""

    piece = serializers.CharField(max_length=26)


class UseIn(CommandIn):
    """The piece that uses a board; a reserved board knows its own."""

    piece = TextField(26)


class ReleaseIn(CommandIn):
    """It goes back on the rack."""


class OffcutIn(CommandIn, UnitsIn):
    """The rest of a used board; a side that is not given is the old board's."""

    length = Typed()
    width = Typed(required=False)
    thickness = Typed(required=False)
    note = TextField(LONGEST_NOTE)


class ReasonIn(CommandIn):
    """Why."""

    reason = serializers.CharField(max_length=20_000)


class ReadingOut(serializers.Serializer):
    """A reading of a moisture meter."""

    id = serializers.IntegerField()
    pct = AmountOut()
    at = serializers.DateTimeField()
    depth = LengthOut(allow_null=True)
    voided = serializers.BooleanField(help_text="Taken back: it counts no more.")


class BoardOut(serializers.Serializer):
    """A board. Its price is shown to the owner alone."""

    number = serializers.IntegerField()
    species = serializers.CharField()
    thickness = LengthOut()
    width = LengthOut()
    length = LengthOut()
    board_feet = AmountOut()
    step = serializers.ChoiceField(Board.Step.values)
    piece = serializers.CharField(help_text="The piece it is reserved for or was used by.")
    cut_from = serializers.IntegerField(allow_null=True)
    note = serializers.CharField()
    reason = serializers.CharField(help_text="Why it was written off.")
    moisture = ReadingOut(many=True)
    moisture_pct = AmountOut(allow_null=True, help_text="The newest reading that counts.")
    price = AmountOut(allow_null=True, required=False)
    currency = serializers.CharField(required=False)
    added_at = serializers.DateTimeField()
    version = serializers.IntegerField()


class SuppliesIn(PageIn):
    """The supplies to list; discarded ones only where they are asked for."""

    kind = serializers.ChoiceField(Supply.Kind.values, required=False)
    discarded = serializers.BooleanField(required=False)


class RefillIn(CommandIn):
    """A fresh lot in the place of an old one."""

    lot = TextField(40)
    got_on = serializers.DateField(required=False, help_text="When it came, if not today.")
    use_by = serializers.DateField(required=False, help_text="The date printed on the pack.")


class SupplyIn(RefillIn):
    """A container on the shelf."""

    kind = serializers.ChoiceField(Supply.Kind.values)
    name = serializers.CharField(max_length=120)
    sheet = TextField(60, help_text="Key of its product sheet.")
    opened_on = serializers.DateField(required=False)
    shelf_life_d = Whole(required=False, help_text="Days; empty: as on its sheet.")
    level = serializers.ChoiceField(Supply.Level.values, required=False)


class OpenIn(CommandIn):
    """The day it was opened."""

    opened_on = serializers.DateField(required=False, help_text="If not today.")


class LevelIn(CommandIn):
    """The level that is left."""

    level = serializers.ChoiceField(Supply.Level.values)


class PriceSupplyIn(CommandIn):
    """What a full container costs, without tax, and how much it holds."""

    price = Typed(help_text="In the shop's currency.")
    holds = Typed(help_text="How much of the unit a full one holds.")
    unit = serializers.ChoiceField(tuple(UNITS))


class SupplyOut(serializers.Serializer):
    """A container of glue, finish, abrasive or hardware."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(Supply.Kind.values)
    name = serializers.CharField()
    sheet = serializers.CharField()
    lot = serializers.CharField()
    got_on = serializers.DateField()
    opened_on = serializers.DateField(allow_null=True)
    shelf_life_d = serializers.IntegerField(allow_null=True, help_text="Its own, else its sheet's.")
    use_by = serializers.DateField(allow_null=True)
    best_before = serializers.DateField(allow_null=True)
    is_past = serializers.BooleanField()
    level = serializers.ChoiceField(Supply.Level.values)
    discarded_at = serializers.DateTimeField(allow_null=True)
    reason = serializers.CharField(help_text="Why it was discarded.")
    version = serializers.IntegerField()


BoardPage = page("BoardPage", BoardOut(many=True))
BoardDone = done("BoardDone", board=BoardOut(allow_null=True))
SupplyPage = page("SupplyPage", SupplyOut(many=True))
SupplyDone = done("SupplyDone", supply=SupplyOut(allow_null=True))
