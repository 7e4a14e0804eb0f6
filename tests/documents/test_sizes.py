"""A paper writes sizes in the shop's one system, rounded to what their reader measures."""

from decimal import Decimal

import pytest

from calcs.kit.units import inches, mm
from jobs.documents.kit.sizes import NBSP, Sizes
from jobs.domain.settings import shop_unit
from jobs.domain.workshop.commands import set_shop
from tests.documents.shop import a_shop

INCH, METRIC = Sizes(), Sizes(unit="mm")


def plain(text: str) -> str:
    return text.replace(NBSP, " ")


@pytest.mark.parametrize(
    "told, says",
    [
        # by hand: an inch is 25.4 mm (NIST SP 811, 2008, appendix B), the rounding beside each
        (METRIC.bench(inches(40)), "1016 mm"),
        (METRIC.bench(inches("643/16")), "1021 mm"),  # 1020.7625 mm
        (METRIC.bench(inches("643/16"), "down"), "1020 mm"),
        (METRIC.joint(inches("1/2")), "12.5 mm"),  # 12.7 mm
        (METRIC.joint(inches("1/2"), "up"), "13 mm"),
        (METRIC.about(inches(12)), "305 mm"),  # 304.8 mm
        (INCH.bench(mm(2400)), '94 1/2"'),  # 94.488 in, of which 94 8/16 is the nearest 16th
        (INCH.bench(mm(2400), "down"), '94 7/16"'),
        (INCH.joint(mm("12.3")), '31/64"'),  # 0.48425 in, 30.99 of 64
        (INCH.about(inches("101/16")), '6 1/4"'),
        (INCH.bench(inches("1/64")), '1/64"'),  # never zero
        (METRIC.bench(mm("0.3")), "0.3 mm"),
        (INCH.bare.bench(inches("7/4")), "1 3/4"),
        (METRIC.bare.bench(mm(44)), "44"),
        (INCH.finished(inches(98), inches(40), inches("7/4")), '98 × 40 × 1 3/4"'),
        (Sizes(unit="mm", both=True).finished(mm(2400), mm(914)), '2400 × 914 mm (94 1/2 × 36")'),
        (INCH.amount(Decimal("72.6"), "kg"), "160 lb"),  # 72.6 / 0.45359237 = 160.06
        (METRIC.amount(Decimal("72.6"), "kg"), "73 kg"),
        (INCH.amount(Decimal(283), "mL", "up"), "10 fl oz"),  # 283 / 29.5735 = 9.57
        (METRIC.amount(Decimal(283), "mL", "up"), "290 mL"),
        (INCH.temperature(Decimal("14.8")), "59 °F"),  # 58.64
        (METRIC.temperature(Decimal("14.8")), "15 °C"),
        (METRIC.text('≈ 94 31/64" (2400 mm) at 68 °F (20 °C)'), "2400 mm at 20 °C"),
    ],
)
def test_one_system_rounded_for_its_reader(told: str, says: str):
    assert plain(told) == says


@pytest.mark.django_db
def test_unit_of_a_shop_comes_from_its_country_unless_it_is_set():
    work, found = a_shop(), []
    for country, chosen in (
        ("", ""),
        ("US", ""),
        ("DE", ""),
        ("DE", "in"),
        ("US", "mm"),
        ("CA", "by country"),
    ):
        asked = {"settings": {"paper_units": chosen}} if chosen else {}
        set_shop(work.call(), country=country, **asked)
        found.append(shop_unit())
    assert found == ["in", "in", "mm", "in", "mm", "in"]
