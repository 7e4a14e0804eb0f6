"""The sections of the shop's settings, and the page of each setting."""

from django.urls import reverse
from django.utils.translation import gettext_lazy

from jobs.web.kit.stored_translations import Text

PRICE_A_VOLUME = {"finish_prices": "finish", "glue_prices": "glue"}
"""Prices a litre or a quart, and the kind of sheet that each stands for."""
PRICE_A_WEIGHT = {"glue_kg_prices": "glue"}
CHOICE_LABELS = {
    "paper_size": gettext_lazy("Paper size"),
    "paper_units": gettext_lazy("Sizes on papers in"),
    "both_units": gettext_lazy("The other unit beside finished sizes"),
    "profit_as": gettext_lazy("Profit as"),
    "deposit_before_wood": gettext_lazy("Buy wood only after the deposit"),
}
HINTS: dict[str, Text] = {
    "quote_follow_up_days": gettext_lazy("0 for never"),
    "winter_rh_pct": gettext_lazy("Heated houses in a cold winter read 15 to 25"),
    "price_per_board_foot": gettext_lazy("Of every wood that has no price below"),
    "keep_papers_years": gettext_lazy("Of a client who was forgotten"),
    "paper_units": gettext_lazy("By country: inches in the US and Canada, else millimeters"),
    "both_units": gettext_lazy("In brackets, in specifications and final measurements"),
}
"""What a maker needs to choose; no other setting says more than its name and unit."""
SECTIONS: dict[str, tuple[Text, Text, tuple[str, ...]]] = {
    "shop": (
        gettext_lazy("Name and address"),
        gettext_lazy("As they stand on papers and mails"),
        ("name", "address", "postcode", "city", "country", "contact", "email", "tax_id"),
    ),
    "money": (
        gettext_lazy("Currency, tax, deposit"),
        gettext_lazy("What a price and a quote start from"),
        (
            "currency",
            "tax_pct",
            "deposit_pct",
            "deposit_before_wood",
            "quote_valid_days",
            "quote_follow_up_days",
        ),
    ),
    "papers": (
        gettext_lazy("Invoices and papers"),
        gettext_lazy("How to pay, terms, size of paper, inches or millimeters"),
        (
            "payment",
            "terms",
            "invoice_due_days",
            "paper_size",
            "paper_units",
            "both_units",
            "keep_papers_years",
        ),
    ),
    "look": (
        gettext_lazy("Look of papers"),
        gettext_lazy("Logo and color"),
        ("paper_color",),
    ),
    "rates": (
        gettext_lazy("Rates"),
        gettext_lazy("An hour of work, overhead, profit"),
        ("hourly_rate", "overhead_pct", "profit_pct", "profit_as"),
    ),
    "wood": (
        gettext_lazy("Wood and its price"),
        gettext_lazy("A board foot by species, waste, what the yard stocks"),
        ("price_per_board_foot", "lumber_prices", "waste_pct", "stocked_thicknesses"),
    ),
    "finish": (
        gettext_lazy("Glue, finish and parts"),
        gettext_lazy("What each costs"),
        ("finish_prices", "glue_prices", "glue_kg_prices", "joinery_prices", "hardware_prices", "disc_price"),
    ),
    "hours": (
        gettext_lazy("Hours"),
        gettext_lazy("When the day begins and ends, when to write to clients"),
        ("morning", "closing_time", "tell_client_days"),
    ),
    "hands": (
        gettext_lazy("Hands and machines"),
        gettext_lazy("How many people, how wide the machines are"),
        ("people_at_hand", "planer_width", "jointer_width"),
    ),
    "air": (
        gettext_lazy("Air"),
        gettext_lazy("Usual air in the shop, and where tops live"),
        ("places", "shop_c", "shop_rh_pct", "indoor_c", "winter_rh_pct", "summer_rh_pct"),
    ),
}
"""Title, what it is for, and the settings of each section."""
SECTION_OF = {setting: section for section, (_t, _w, settings) in SECTIONS.items() for setting in settings}


def setting_page(setting: str) -> str:
    """Return the address of the field of a setting."""
    return f"{reverse('web:shop-section', args=[SECTION_OF[setting]])}#id_{setting}"
