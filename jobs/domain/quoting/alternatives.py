"""Apply chosen alternatives to a price: each changes the line of its piece, so nothing is billed twice."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from calcs.money.invoice import line_net
from jobs.domain.billing.prices import LONGEST_DESCRIPTION, Line
from jobs.models import OfferAlternative

FINEST = Decimal("0.0001")


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """A chosen alternative: its piece, its description and its difference, before tax unless ``with_tax``."""

    piece: str
    description: str
    difference: Decimal
    tax_category: str
    tax_pct: Decimal
    with_tax: bool = False


def with_chosen(lines: Sequence[Line], chosen: Sequence[Chosen], labels: Mapping[str, str]) -> list[Line]:
    """Return the lines of a price with these alternatives.

    The line of a piece takes difference and description. The difference becomes a line below where no line
    matches the piece. The same holds where the price would not come out to the cent or at the same tax.
    ``labels`` holds the labels of all pieces by number.
    """
    found = list(lines)
    for one in chosen:
        place = place_of(lines, one.piece, labels)
        changed = None if place is None else _changed(found[place], one, labels.get(one.piece, ""))
        if place is None or changed is None:
            found.append(difference_line(one, one.description))
        else:
            found[place] = changed
    return found


def place_of(lines: Sequence[Line], piece: str, labels: Mapping[str, str]) -> int | None:
    """Return the index of the line of a piece: the only line, or the one that begins with its label.

    An option in words has no piece, and so no line.
    """
    if not piece or len(lines) == 1:
        return 0 if piece else None
    label = labels.get(piece, "")
    twins = [number for number in sorted(labels) if labels[number] == label]
    named = [n for n, line in enumerate(lines) if _is_headed(line.description, label)]
    return named[twins.index(piece)] if label and len(named) == len(twins) else None


def _is_headed(description: str, label: str) -> bool:
    head, label = (text.strip().casefold() for text in (description.partition("\n")[0], label))
    return head == label or head.startswith((f"{label} (", f"{label},", f"{label}:"))


def _changed(line: Line, one: Chosen, label: str) -> Line | None:
    if (line.tax_category, line.tax_pct, line.with_tax) != (one.tax_category, one.tax_pct, one.with_tax):
        return None
    price = (line.unit_price + one.difference / line.quantity).quantize(FINEST)
    words = f"{line.description}\nChosen: {one.description.removeprefix(f'{label}: ')}"
    if price < 0 or len(words) > LONGEST_DESCRIPTION:
        return None
    wanted = line_net(quantity=line.quantity, unit_price=line.unit_price) + one.difference
    if line_net(quantity=line.quantity, unit_price=price) != wanted:
        return None
    return replace(line, unit_price=price.normalize() + Decimal("0.00"), description=words)


def difference_line(one: Chosen | OfferAlternative, description: str) -> Line:
    """Return the difference as a line; a saving has a negative quantity."""
    return Line(
        description=description,
        quantity=Decimal(1) if one.difference >= 0 else Decimal(-1),
        unit_price=abs(one.difference),
        tax_category=one.tax_category,
        tax_pct=one.tax_pct,
        with_tax=one.with_tax,
    )
