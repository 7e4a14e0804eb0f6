"""A figure in two units is shown in the person's own."""

import pytest

from jobs.models import Person
from jobs.web.kit.own_units import own_units

BOTH = [
    ("it weighs 51.0 lb (23.1 kg), and two people may lift 40 lb (18 kg)",
     "it weighs 51.0 lb, and two people may lift 40 lb", "it weighs 23.1 kg, and two people may lift 18 kg"),
    ('up to 1,020 3/4" (≈ 25927.1 mm) or 1/8" (≈ 3.2 mm)', 'up to 1,020 3/4" or 1/8"',
     "up to ≈ 25927.1 mm or ≈ 3.2 mm"),
    ("1.58 L (1.7 qt) in all", "1.7 qt in all", "1.58 L in all"),
    ("at 58.6 °F (14.8 °C)", "at 58.6 °F", "at 14.8 °C"),
    ("glue (PVA), 3 strips (A-C)", "glue (PVA), 3 strips (A-C)", "glue (PVA), 3 strips (A-C)"),
]  # fmt: skip


@pytest.mark.parametrize("text, us, metric", BOTH)
def test_one_unit_is_left(text: str, us: str, metric: str):
    assert own_units(text, Person(unit="in", temperature_unit="F")) == us
    assert own_units(text, Person(unit="mm", temperature_unit="C")) == metric
